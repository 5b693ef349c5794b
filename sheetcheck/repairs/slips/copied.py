"""The amount of the recipe before or after, and any other fat amount that is from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, log

import numpy as np

from sheetcheck.repairs.row import Cell, Row, Slip, round_like

_WIDEST = log(100)


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield, for each amount that a neighbour has too, what it should be by the rest of the row."""
    for cell in row.whole(row.fats):
        yield from _fat(row, cell)
    if len(row.lye) == 1 and _same_as_neighbour(row.lye[0]) and row.demand > 0:
        lye = row.lye[0]
        for aim, share in row.lye_aims():
            wanted = row.demand * exp(aim) / row.pure
            if abs(wanted - 1) > 0.01:
                yield _copied(row, lye, round_like(lye, lye.value * wanted), ("superfat", log(share)))
    if len(row.liquids) == 1 and _same_as_neighbour(row.liquids[0]):
        wet = row.liquids[0]
        for grams, share in row.water_aims():
            wanted = grams - (row.wet - wet.grams)
            if wanted > 0 and abs(wanted / wet.grams - 1) > 0.02:
                yield _copied(row, wet, round_like(wet, wanted / wet.factor), ("water", log(share)))


def _same_as_neighbour(cell: Cell) -> bool:
    return any(value == cell.value and unit == cell.unit for value, unit in cell.neighbours)


def _copied(row: Row, cell: Cell, value: float, aim: tuple[str, float] | None) -> Slip:
    log_prior = row.chance("copied", cell) + log(0.5)
    return Slip("copied", row.edits(cell, value), log_prior, "copied" if aim else "exchanged", aim)


def _fat(row: Row, cell: Cell) -> Iterator[Slip]:
    """Solve a fat from a stated total, from the usual batches, or from the lye."""
    same = _same_as_neighbour(cell)
    for grams, aim in _wanted(row, cell):
        value = round_like(cell, grams / cell.factor)
        if min(grams, value, cell.grams) <= 0:
            continue
        ratio = grams / cell.grams
        if abs(ratio - 1) < 0.01 or abs(log(ratio)) > _WIDEST:
            continue
        if same:
            yield _copied(row, cell, value, aim)
        log_prior = row.chance("any other", cell) - log(2 * _WIDEST)
        yield Slip("other", row.edits(cell, value), log_prior, "solved" if aim else "exact", aim)


def _wanted(row: Row, cell: Cell) -> Iterator[tuple[float, tuple[str, float] | None]]:
    rest = row.fat - cell.grams
    total = float(row.context.fats_total)
    if np.isfinite(total):
        yield total - rest, None
        return
    for size, _ in row.habits.batch.modes(4, 0.04):
        yield exp(size) - rest, None
    each = float(row.per_gram[cell.entry, 0])
    if row.lye and each > 0 and row.pure > 0:
        for aim, share in row.lye_aims():
            yield cell.grams + (row.pure * exp(-aim) - row.demand) / each, ("superfat", log(share))
