"""Results of recipes that are not rows of a table (cards, sheets, columns, lists), and the verdicts beside them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from sheetcheck.faults import otherwise
from sheetcheck.model import ACROSS_A_PAGE, CellContent, Formula, Link, NewSheet, ResultColumns, Styled, address
from sheetcheck.report.cells import TWO_ALKALIS_WIDTH, amount_cell, reason_cell, unit_of
from sheetcheck.report.fitting import LONGEST_TITLE, heights, verdict_width, wide_enough, word_width
from sheetcheck.report.places import RESULTS
from sheetcheck.report.results import Results
from sheetcheck.report.weighed import alkali_weighed
from sheetcheck.report.words import AS_WRITTEN_HEADINGS, in_unit, result_headings
from sheetcheck.report.workings import LYE
from sheetcheck.words import later, tr
from sheetcheck.workbook.ranges import quoted
from sheetcheck.workbook.results import with_own_columns

if TYPE_CHECKING:
    import pandas as pd

AS_WRITTEN = ("sheet", "row", "column", "name", "unit", "fat_g", "liquid_g")
WIDTHS = (22, 22, 66, 11, 18, 10, 12, 12, 10)
SOLUTION_WIDTHS, AS_WRITTEN_WIDTHS = (28, 12), (12, 12, 12)
NAME_WIDTH, VERDICT_WIDTH, REASON_LEAST = 16.0, 20.0, 12.0  # of what stands beside
END, END_WIDTH = Styled(" ", "text"), 3.0  # what a long reason ends at: LibreOffice prints a page for what goes on
FIRST_ROW = 2


@otherwise(None, later("The sheet of results is left out of the copy."))
def result_sheet(recipes: pd.DataFrame, results: Results, day: str) -> NewSheet:
    """Return one line for each recipe, linked to its place."""
    solution = results.has_solution(recipes)
    titles = (*result_headings(day, solution=solution), *(tr(heading) for heading in AS_WRITTEN_HEADINGS))
    rows: list[list[CellContent]] = [[Styled(title, "heading") for title in titles]]
    found = results.rows(recipes, range(FIRST_ROW, len(recipes) + FIRST_ROW), RESULTS)
    weighed = alkali_weighed(results.audit)
    records = recipes[list(AS_WRITTEN)].to_dict("records")
    for row, (number, r) in enumerate(zip(recipes.index, records, strict=True), FIRST_ROW):
        _, *cells = (with_own_columns(content, row, 1) for content in found[row])
        name = Link(str(r["sheet"]), address(r["row"], r["column"]), str(r["name"]))
        rows.append([name, *cells, *_as_written(r, weighed.get(int(number), math.nan))])
    least = [*WIDTHS, *(SOLUTION_WIDTHS if solution else ()), *AS_WRITTEN_WIDTHS]
    widths = [word_width(*pair) for pair in zip(least, titles, strict=True)]
    widths[0] = wide_enough(WIDTHS[0], recipes["name"].astype(str), LONGEST_TITLE)
    widths[1] = verdict_width(WIDTHS[1])
    if (recipes["alkali"] == "mixed").any():
        widths[LYE - 1] = TWO_ALKALIS_WIDTH
    return NewSheet(
        RESULTS,
        rows,
        widths=widths,
        heights=heights(rows, widths),
        freeze="B2",
        filter=f"A1:{address(len(rows), len(titles))}",
        landscape=True,
        repeat_rows=(1, 1),
        fit=False,
        repeat_columns=1,
    )


def _as_written(r: dict[Any, Any], lye_g: float) -> list[CellContent]:
    unit = unit_of(r["unit"])
    amounts = (in_unit(grams, unit) for grams in (r["fat_g"], lye_g, r["liquid_g"]))
    return [amount_cell(None if math.isnan(a) else a, unit, with_unit=True) for a in amounts]


def verdicts_beside(recipes: pd.DataFrame, results: Results) -> Iterator[ResultColumns]:
    """Yield, for each sheet, name, verdict and reason of its recipes beside them; live, as they stand in the results.

    Recipes side by side stand one below the other there: each line has the recipe's name.
    """
    places = {number: row for row, number in enumerate(recipes.index, FIRST_ROW)}
    verdict_as_wide = verdict_width(VERDICT_WIDTH)
    for sheet, group in recipes.groupby("sheet", sort=False):
        name = wide_enough(NAME_WIDTH, group["name"].astype(str))
        reasons = (results.reason_in_a_row(int(number)) for number in group.index)
        most = ACROSS_A_PAGE - name - verdict_as_wide - END_WIDTH
        beside = (name, verdict_as_wide, wide_enough(REASON_LEAST, reasons, most), END_WIDTH)
        values: dict[int, list[CellContent]] = {}
        for number, r in zip(group.index, group.to_dict("records"), strict=True):
            row = int(r["row"])
            while row in values:
                row += 1
            values[row] = [*_beside(results, int(number), r, places[number]), END]
        yield ResultColumns(str(sheet), min(values), (), dict(sorted(values.items())), beside, new_page=True)


def _beside(results: Results, number: int, r: Mapping[Any, Any], row: int) -> list[CellContent]:
    verdict, reason = results.verdict(number, r), results.reason_in_a_row(number)
    name = Styled(str(r["name"]), "text")
    if not results.live:
        return [name, verdict, Styled(reason or None, "one line")]
    inner = verdict.value
    text, link = (inner.text, inner) if isinstance(inner, Link) else (inner, None)
    verdict_there = f"{quoted(RESULTS)}!$B${row}"
    shown = Formula(verdict_there, text if isinstance(text, str) else None, link)
    return [name, Styled(shown, verdict.style), reason_cell(reason, verdict_there)]
