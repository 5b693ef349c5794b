"""Results kept as columns are written as the same results row by row would be."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from sheetcheck.model import (
    CellContent,
    Choice,
    Formula,
    Link,
    Mark,
    NewSheet,
    Numbers,
    ResultColumns,
    ResultRows,
    Styled,
)
from sheetcheck.workbook.copy import write_copy
from sheetcheck.workbook.new_sheets import write_sheets
from tests.packages import Parts
from tests.workbook import hard_books

ROWS = (2, 3, 5)
HEADINGS = ("Lye", "Says", "Verdict", "Twice")
LEADS = Styled(Link("Findings", "A2", "DANGER"), "DANGER")
FORMULA = Styled(Formula("2*{{1}}", 2.0), "percent")
COLUMNS: dict[str, list[CellContent]] = {
    "texts": ["=1+1", None, Styled("fine <&>", "text")],
    "links": [LEADS, LEADS, None],
    "formulas": [FORMULA, None, 7.5],
    "truth": [True, 1.0, 1],
}


def both_ways(*more: list[CellContent]) -> tuple[list[Mark], list[Mark]]:
    numbers = np.array([11.00049, math.nan, math.inf])
    columns = ResultRows(ROWS, [Numbers(numbers, "percent", 3), *more])
    rows = {row: columns[row] for row in columns}
    findings = NewSheet("Findings", [["Findings"], ["one"]])
    return tuple([ResultColumns("Recipes", 1, HEADINGS, values), findings] for values in (columns, rows))  # type: ignore[return-value]  # a pair


@pytest.mark.parametrize("name", ["plain", "prefixed elements", "furniture", "no room", "white space between"])
@pytest.mark.parametrize("kinds", [("texts", "links", "truth"), ("formulas", "links")])
def test_columns_and_rows_give_the_same_copy(name: str, kinds: tuple[str, ...], tmp_path: Path) -> None:
    book = hard_books.build(name, tmp_path / "book.xlsx")
    copies = []
    for number, marks in enumerate(both_ways(*(COLUMNS[kind] for kind in kinds))):
        write_copy(book, tmp_path / f"{number}.xlsx", marks)
        copies.append((tmp_path / f"{number}.xlsx").read_bytes())
    assert copies[0] == copies[1]


def test_a_row_is_made_of_the_columns() -> None:
    rows = ResultRows((2, 4), [Numbers(np.array([1.23456, math.nan]), "grams", 2), ["a", None]])
    assert dict(rows) == {2: [Styled(1.23, "grams"), "a"], 4: [None, None]}
    assert 3 not in rows
    assert "2" not in rows
    with pytest.raises(KeyError):
        rows[3]


@pytest.mark.parametrize(
    "options", [tuple(f"answer {i} of a long list" for i in range(30)), ("yes, at once", "no"), ("=1", "x" * 300)]
)
def test_a_drop_down_of_any_length_offers_all_its_choices(options: tuple[str, ...], tmp_path: Path) -> None:
    choices = (Choice("B2:B9", options), Choice("C2:C9", ("yes", "no")))
    sheets = [NewSheet("Answers", [["what", "answer", "sure"]], widths=(10, 30, 9), choices=choices)]
    for build in (lambda target: write_sheets(sheets, target), lambda target: grafted(sheets, target)):
        build(tmp_path / "copy.xlsx")
        sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Answers"]
        long, short = sheet.data_validations.dataValidation
        assert [cell.value for (cell,) in sheet[long.formula1.replace("$", "")]] == list(options)
        assert sheet.column_dimensions[long.formula1[1]].hidden
        assert short.formula1 == '"yes,no"'


def grafted(sheets: list[NewSheet], target: Path) -> None:
    book = hard_books.build(hard_books.NAMES[0], target.with_name("book.xlsx"))
    write_copy(book, target, sheets)
    assert "Answers" in Parts(target).sheets()
