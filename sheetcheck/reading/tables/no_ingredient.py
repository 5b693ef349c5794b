"""Numbers beside the amounts of a table that are surely no ingredient, and scents that may be a fat after all.

What no heading explains is taken for an unknown ingredient, so that no recipe is judged without it. Only evidence makes
it something else: how it is shown, what it repeats, or that the rows balance without it and would not with it.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.amounts.texts import amount_with_remark
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.roles_by_arithmetic import Amounts
from sheetcheck.reading.tables.table import Column, Table
from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import words
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Kind

_MOST = 0.8
_LEAST_ROWS = 3
_FAT_TAKES_UP = 0.136  # NaOH per g of a usual fat: olive and palm oil, lard; enough to tell a fat from a count of bars
_SOAP_OF_ITS_OWN = (-1.0, 15.0)  # percent of superfat at which a row needs nothing more
_FAR = 8.0  # points of superfat by which a row must be worse off with the column than without
_SAME = 0.01
_YEARS = (1950, 2100)
_MONEY = re.compile("[£$€¥]|EUR|USD|GBP|CHF")


def why_no_ingredient(amounts: Amounts, column: Column) -> str | None:
    """Return why numbers under a heading that says nothing are surely no amounts, None where they may be."""
    sheet, table = amounts.sheet, amounts.table
    grid = sheet.grid
    here = (grid.column == column.index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    weighed = (amount_with_remark(text) for text in grid.text[here & (grid.kind == Kind.TEXT)].tolist())
    if np.isin(grid.kind[here], (Kind.DATE, Kind.TEXT, Kind.BOOL)).all() and not any(weighed):
        return tr("it holds no numbers")
    values = amounts.of(column)
    rows = np.flatnonzero(values)
    return (
        _why_by_heading(column)
        or _why_by_format(sheet, table, column)
        or _why_by_look(sheet, table, column, values[rows])
        or _why_by_sum(table, amounts, values)
    )


def _why_by_heading(column: Column) -> str | None:
    """Tell by a word of its heading that a column counts or rates: `Oil temp F`, `Score /10`, `Bars cut`."""
    told = set(fold(column.text).split()) & words("no ingredient").keys()
    return tr("its heading counts or rates, and weighs nothing") if told else None


def _formats(sheet: Sheet, table: Table, column: Column) -> list[str]:
    cells = (sheet.cell(row, column.index) for row in _rows_with(sheet, table, column))
    return [cell.style.number_format for cell in cells if cell is not None and cell.kind is Kind.NUMBER]


def _why_by_format(sheet: Sheet, table: Table, column: Column) -> str | None:
    """Tell money and shares by how the numbers are shown; shares only where the fats are weighed."""
    formats = _formats(sheet, table, column)
    if formats and all(map(_MONEY.search, formats)):
        return tr("it holds money")
    if not formats or not all("%" in each for each in formats):
        return None
    weighed = [each for fat in table.of_role("fat") for each in _formats(sheet, table, fat)]
    if not any(fat.unit == "%" for fat in table.of_role("fat")) and not any("%" in each for each in weighed):
        return tr("it holds shares, and the fats are weighed")
    return None


def _why_by_look(sheet: Sheet, table: Table, column: Column, values: NDArray[np.float64]) -> str | None:
    whole = bool(np.all(values == np.round(values)))
    if len(values) > 1 and whole and np.all(np.diff(values) == 1):
        return tr("it numbers the rows")
    if len(values) and whole and np.all((values >= _YEARS[0]) & (values <= _YEARS[1])):
        return tr("it holds years")
    computed = [sheet.grid.formulas.get((row, column.index)) for row in _rows_with(sheet, table, column)]
    if not computed or not all(computed):
        return None
    typed = [
        (row, fat.index) not in sheet.grid.formulas
        for fat in table.of_role("fat")
        for row in _rows_with(sheet, table, fat)
    ]
    if typed and all(typed):
        return tr("it is computed from amounts that are typed")
    return None


def _rows_with(sheet: Sheet, table: Table, column: Column) -> list[int]:
    grid = sheet.grid
    here = (grid.column == column.index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    rows: list[int] = grid.row[here].tolist()
    return rows


def _why_by_sum(table: Table, amounts: Amounts, values: NDArray[np.float64]) -> str | None:
    """Tell a sum of the fats, or of all amounts, under a heading that does not say so."""
    sums = {
        ("fat",): later("it repeats the sum of the fats"),
        ("fat", "alkali", "liquid"): later("it repeats the sum of fats, lye and liquid"),
    }
    for roles, what in sums.items():
        total = sum((amounts.of(c) for c in table.of_role(*roles) if c.unit != "%"), np.zeros_like(values))
        rows = values > 0
        if rows.any() and np.mean(np.abs(values[rows] - total[rows]) <= _SAME * total[rows]) >= _MOST:
            return tr(what)
    return None
