"""The results of many recipes as plain values, column by column."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from sheetcheck.model import CellContent, Link, Numbers, Styled
from sheetcheck.report.cells import STYLE_OF_UNIT, amount_cell, reason_cell, unit_of, verdict_cell
from sheetcheck.report.words import GRAMS_PER, both_alkalis, range_text

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

PLAIN_DIGITS = 3  # what no scale shows would only make the copy larger
PERCENT = "percent"


def plain_columns(
    recipes: pd.DataFrame,
    column_unit: str | None,
    reasons: Mapping[int, str],
    links: Mapping[int, Link],
    little_margin: Collection[int],
) -> list[Sequence[CellContent]]:
    """Return the results of recipes in their order; cells that are alike are one object."""
    return [
        [Styled(name, "text") for name in recipes["name"].astype(str)],
        list(_verdicts(recipes, links, little_margin)),
        list(_reasons(recipes, reasons)),
        _percentages(recipes, "superfat_typical"),
        list(_ranges(recipes)),
        _percentages(recipes, "recomputed_superfat"),
        _lye(recipes, column_unit),
        _amounts(recipes, "liquid_recomputed_g", column_unit),
        _percentages(recipes, "lye_concentration"),
    ]


def _percentages(recipes: pd.DataFrame, column: str) -> Numbers:
    return Numbers(_floats(recipes, column), PERCENT, PLAIN_DIGITS)


def _amounts(recipes: pd.DataFrame, column: str, column_unit: str | None) -> Sequence[CellContent]:
    """Return amounts in the unit of the column; where it has none, each in its own, which then stands beside it."""
    grams = _floats(recipes, column)
    if column_unit is not None:
        unit = unit_of(None, column_unit)
        return Numbers(grams / GRAMS_PER[unit], STYLE_OF_UNIT[unit], PLAIN_DIGITS)
    units = map(unit_of, recipes["unit"])
    return [
        amount_cell(round(amount / GRAMS_PER[unit], PLAIN_DIGITS), unit, with_unit=True)
        for amount, unit in zip(grams.tolist(), units, strict=True)
    ]


def _lye(recipes: pd.DataFrame, column_unit: str | None) -> Sequence[CellContent]:
    """Return what to weigh of the lye, or of each alkali where a recipe has both."""
    plain = _amounts(recipes, "alkali_recomputed_g", column_unit)
    mixed = np.flatnonzero((recipes["alkali"] == "mixed").to_numpy(dtype=bool))
    if not len(mixed):
        return plain
    cells = list(plain)
    naoh, koh, units = (
        _floats(recipes, "naoh_recomputed_g"),
        _floats(recipes, "koh_recomputed_g"),
        list(recipes["unit"]),
    )
    for index in mixed.tolist():
        unit = unit_of(units[index], column_unit)
        in_naoh, in_koh = (float(grams[index]) / GRAMS_PER[unit] for grams in (naoh, koh))
        if not math.isnan(in_naoh + in_koh):
            cells[index] = amount_cell(both_alkalis(in_naoh, in_koh, unit), unit, with_unit=column_unit is None)
    return cells


def _ranges(recipes: pd.DataFrame) -> Iterator[CellContent]:
    said: dict[tuple[str, str], str | None] = {}
    ends = (_floats(recipes, column).tolist() for column in ("superfat_low", "superfat_high"))
    for low, high in zip(*ends, strict=True):
        shown = f"{low:.1f}", f"{high:.1f}"
        if shown not in said:
            said[shown] = range_text(low, high)
        yield said[shown]


def _verdicts(
    recipes: pd.DataFrame, links: Mapping[int, Link], little_margin: Collection[int]
) -> Iterator[CellContent]:
    made: dict[tuple[str, str | None, Link | None, bool], CellContent] = {}
    for number, verdict, signal in zip(recipes.index.tolist(), recipes["verdict"], recipes["signal"], strict=True):
        key = verdict, signal, links.get(number), number in little_margin
        if key not in made:
            made[key] = verdict_cell(verdict, signal, None, key[2], little_margin=key[3])
        yield made[key]


def _reasons(recipes: pd.DataFrame, reasons: Mapping[int, str]) -> Iterator[CellContent]:
    made: dict[str, CellContent] = {}
    for number in recipes.index.tolist():
        reason = reasons.get(number, "")
        if reason not in made:
            made[reason] = reason_cell(reason)
        yield made[reason]


def _floats(recipes: pd.DataFrame, column: str) -> NDArray[np.float64]:
    return recipes[column].to_numpy(dtype=np.float64)
