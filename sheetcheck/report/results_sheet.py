"""Results of recipes that are not rows of a table: cards, sheets, columns, lists."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from sheetcheck.model import CellContent, Link, NewSheet, Styled, address
from sheetcheck.report.cells import amount_cell, unit_of
from sheetcheck.report.fitting import heights
from sheetcheck.report.places import RESULTS
from sheetcheck.report.results import COLUMNS, Results
from sheetcheck.report.words import AS_WRITTEN_HEADINGS, RESULT_HEADINGS, in_unit, verdict_heading
from sheetcheck.workbook.results import with_own_columns

if TYPE_CHECKING:
    import pandas as pd

FIRST_RESULT = 5  # column of the first result
WIDTHS = (28, 12, 13, 13, 13, 13, 11, 15, 15, 23, 64)


def result_sheet(recipes: pd.DataFrame, results: Results, day: str) -> NewSheet:
    """Return one line for each recipe, linked to its place."""
    titles = (*AS_WRITTEN_HEADINGS, *RESULT_HEADINGS[:-2], verdict_heading(day), RESULT_HEADINGS[-1])
    rows: list[list[CellContent]] = [[Styled(title, "heading") for title in titles]]
    records = zip(recipes.index, recipes[list(COLUMNS)].to_dict("records"), strict=True)
    for row, (number, r) in enumerate(records, 2):
        found = results.cells(int(number), r, RESULTS)
        rows.append([*_as_written(r), *(with_own_columns(c, row, FIRST_RESULT) for c in found)])
    return NewSheet(
        RESULTS,
        rows,
        widths=WIDTHS,
        heights=heights(rows[:1], WIDTHS),
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
