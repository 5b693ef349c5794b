"""Results of recipes that are not rows of a table: cards, sheets, columns, lists."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from sheetcheck.faults import otherwise
from sheetcheck.model import CellContent, Link, NewSheet, Styled, address
from sheetcheck.report.cells import TWO_ALKALIS_WIDTH, amount_cell, unit_of
from sheetcheck.report.fitting import LONGEST_TITLE, heights, wide_enough
from sheetcheck.report.places import RESULTS
from sheetcheck.report.results import Results
from sheetcheck.report.words import AS_WRITTEN_HEADINGS, in_unit, result_headings
from sheetcheck.words import later, tr
from sheetcheck.workbook.results import with_own_columns

if TYPE_CHECKING:
    import pandas as pd

AS_WRITTEN = ("name", "sheet", "row", "column", "unit", "fat_g", "alkali_g", "liquid_g")
FIRST_RESULT = 5  # column of the first result
WIDTHS = (28, 13, 13, 13, 14, 14, 12, 19, 16, 23, 64)


@otherwise(None, later("The sheet of results is left out of the copy."))
def result_sheet(recipes: pd.DataFrame, results: Results, day: str) -> NewSheet:
    """Return one line for each recipe, linked to its place."""
    titles = (*(tr(heading) for heading in AS_WRITTEN_HEADINGS), *result_headings(day))
    rows: list[list[CellContent]] = [[Styled(title, "heading") for title in titles]]
    found = results.rows(recipes, range(2, len(recipes) + 2), RESULTS)
    for row, r in enumerate(recipes[list(AS_WRITTEN)].to_dict("records"), 2):
        rows.append([*_as_written(r), *(with_own_columns(c, row, FIRST_RESULT) for c in found[row])])
    widths: list[float] = [wide_enough(WIDTHS[0], recipes["name"].astype(str), LONGEST_TITLE), *WIDTHS[1:]]
    if (recipes["alkali"] == "mixed").any():
        widths[FIRST_RESULT - 1] = TWO_ALKALIS_WIDTH
    return NewSheet(
        RESULTS,
        rows,
        widths=widths,
        heights=heights(rows[:1], widths),
        freeze="B2",
        filter=f"A1:K{len(rows)}",
        landscape=True,
        repeat_rows=(1, 1),
    )


def _as_written(r: dict[Any, Any]) -> list[CellContent]:
    unit = unit_of(r["unit"])
    amounts = (in_unit(r[column], unit) for column in ("fat_g", "alkali_g", "liquid_g"))
    name = str(r["name"])
    return [
        Link(str(r["sheet"]), address(r["row"], r["column"]), name),
        *(amount_cell(None if math.isnan(a) else a, unit, with_unit=True) for a in amounts),
    ]
