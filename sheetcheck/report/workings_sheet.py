"""The sheet of workings: texts in grams, and whether headings are what they were."""

from __future__ import annotations

import math

from sheetcheck.faults import otherwise
from sheetcheck.model import CellContent, Formula, Link, NewSheet, Styled
from sheetcheck.report.amounts import Amount
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import FIRST_SUBSTANCE, MORE, SETTING_COLUMN, VALUES, WATER, WORKINGS, Values
from sheetcheck.report.results import Results
from sheetcheck.report.words import HEADINGS_SENTENCE, TITLES, WORKINGS_HEADINGS, WORKINGS_SENTENCE
from sheetcheck.words import later, tr
from sheetcheck.workbook.ranges import quoted
from sheetcheck.workbook.tabs import tab_name

WIDTHS = (34, 34, 34, 14)


@otherwise(None, later("The sheet of workings is left out of the copy."))
def workings_sheet(results: Results) -> NewSheet | None:
    """Return the sheet that formulas take texts from; None where results are plain values."""
    if not results.live:
        return None
    texts, headings = results.amounts.texts, results.tables.headings
    names = results.audit.recipes["name"]
    recipe_of = {a.line: r for r, amounts in results.amounts.by_recipe.items() for a in amounts}
    *said, grams = WORKINGS_HEADINGS
    rows: list[list[CellContent]] = [
        [Styled(tr(TITLES["workings"]), "title")],
        [Styled(tr(WORKINGS_SENTENCE), "sentence")],
        [],
        [*(Styled(tr(h), "heading") for h in said), Styled(tr(grams), "heading of numbers")],
        *(_text_row(a, str(names.at[recipe_of[a.line]])) for a in texts),
        [],
        [Styled(tr(HEADINGS_SENTENCE), "sentence")],
        [Styled(tab_name(VALUES), "text"), _still((_same_values(results.values),))],
        *([Styled(sheet, "text"), _still(conditions)] for (sheet, _), conditions in headings.items()),
    ]
    across = {row: float(sum(WIDTHS)) for row in (2, len(texts) + 6)}
    return NewSheet(
        WORKINGS,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, across),
        merges=tuple(f"A{row}:D{row}" for row in across),
        freeze="A5",
        hidden=True,
    )


def _text_row(amount: Amount, name: str) -> list[CellContent]:
    where = f"{quoted(amount.sheet)}!{amount.cell}"
    link = Link(amount.sheet, amount.cell, f"{amount.sheet}!{amount.cell}")
    grams = Formula(f"IF({amount.same('') or 'FALSE'},{amount.grams!r},NA())", amount.grams)
    return [Styled(name, "wrap"), link, Styled(Formula(where, amount.held), "wrap"), Styled(grams, "grams")]


def _same_values(values: Values) -> str:
    """Return the condition that what formulas use of the values sheet adds up to what it did."""
    columns = [[value for _, value in values.of(s)] for s in values.listed]
    numbers = [*(value for row in columns for value in row if not math.isnan(value))]
    numbers += [value for value in values.settings.values() if not math.isnan(value)]
    last_substance = FIRST_SUBSTANCE + max(len(values.listed), 1) - 1
    last_setting = values.first_setting + len(values.settings) - 1
    sheet = quoted(VALUES)
    ranges = (
        f"{sheet}!{WATER}{FIRST_SUBSTANCE}:{MORE}{last_substance}",
        f"{sheet}!{SETTING_COLUMN}{values.first_setting}:{SETTING_COLUMN}{last_setting}",
    )
    return f"ABS(SUM({','.join(ranges)})-{math.fsum(numbers)!r})<1E-9"


def _still(conditions: tuple[str, ...]) -> CellContent:
    return Styled(Formula(f"AND({','.join(conditions)})", value=True), "text")
