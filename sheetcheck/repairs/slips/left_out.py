"""A fat that the lye was made for and the recipe does not list."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, log

import numpy as np

from sheetcheck.repairs.row import Row, Slip

_TITLED = 10.0  # times as likely where the title names it
_LEAST, _MOST = 0.03, 1.5  # of the fats that are listed: less goes unnoticed, more is another slip


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with one more fat of its book, as much of it as the lye or a stated total asks for."""
    here = {cell.substance for cell in row.fats}
    absent = {fat: row.demand_of(fat) for fat in row.habits.values_by_fat if fat not in here}
    demands = {fat: each for fat, each in absent.items() if each > 0}
    if not (demands and row.fats and row.pure > 0 and row.demand > 0):
        return
    for fat, each in demands.items():
        chance = row.chance("fat left out") - log(len(demands)) + (log(_TITLED) if fat in row.titled else 0.0)
        for aim, share in row.lye_aims():
            yield from _with(row, fat, (row.pure * exp(-aim) - row.demand) / each, chance, ("superfat", log(share)))
        total = float(row.context.fats_total)
        if np.isfinite(total):
            yield from _with(row, fat, total - row.fat, chance, None)


def _with(row: Row, fat: str, grams: float, chance: float, aim: tuple[str, float] | None) -> Iterator[Slip]:
    if _LEAST * row.fat < grams < _MOST * row.fat:
        yield Slip("missing", (), chance, "solved", aim, missing=(fat, grams))
