"""Reads a workbook that is open in Excel into grids: what stands on the screen, unsaved edits included."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeAlias

import xlwings as xw

from sheetcheck.plugins.errors import SheetTooLargeError
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.grid import CellStyle, Grid, Kind, Workbook
from sheetcheck.workbook.grid_builder import GridBuilder
from sheetcheck.workbook.limits import DEFAULT_LIMITS
from sheetcheck.workbook.number_formats import serial_number, shows_date

MOST_CELLS = 2_000_000  # of one sheet; more takes minutes to come over
_TRIM_FROM_ROWS = 10_000  # a used range this tall is probably empty formatted rows
_MOST_COLUMNS_TO_TRIM = 500

ERRORS = frozenset(
    {"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!", "#GETTING_DATA"}
)
Rows: TypeAlias = list[list[Any]]
Area: TypeAlias = tuple[int, int, int, int]  # first row, first column, last row, last column


def read_screen(book: xw.Book) -> Workbook:
    """Return the grids of an open workbook; the workbook is not touched.

    Raises
    ------
    SheetTooLargeError
        A sheet holds more cells than can be read this way.
    """
    budget = Budget(Path(book.name), DEFAULT_LIMITS)
    return Workbook(book.name, "", tuple(_read_sheet(sheet, budget) for sheet in book.sheets))


def _read_sheet(sheet: xw.Sheet, budget: Budget) -> Grid:
    used = _used_range(sheet)
    rows, columns = used.shape
    values, formulas = _values(used), two_dimensional(used.formula, rows, columns)
    _name_errors(used, values, formulas)
    builder = GridBuilder(Path(sheet.book.name), sheet.name, budget)
    codes = _number_formats(used) if any(v not in (None, "") for row in values for v in row) else [["General"]]
    styles: dict[str, int] = {"General": 0}
    for i, (row_values, row_formulas) in enumerate(zip(values, formulas, strict=True)):
        for j, (value, formula) in enumerate(zip(row_values, row_formulas, strict=True)):
            is_formula = isinstance(formula, str) and formula.startswith("=") and formula != value
            if value in (None, "") and not is_formula:
                continue
            code = codes[i][j]
            kind, number, text = _contents(value)
            if kind is Kind.DATE and not shows_date(code):
                code = "yyyy-mm-dd"
            place = used.row + i, used.column + j
            style = styles.setdefault(code, len(styles))
            builder.add(*place, Kind.NUMBER if kind is Kind.DATE else kind, number=number, text=text, style=style)
            if is_formula:
                builder.formulas[place] = formula.removeprefix("=")
    return builder.grid([CellStyle(number_format=code) for code in styles], hidden=not sheet.visible)


def _contents(value: object) -> tuple[Kind, float, str]:
    nan = float("nan")
    match value:
        case bool():
            return Kind.BOOL, float(value), ""
        case int() | float() | Decimal():
            return Kind.NUMBER, float(value), ""
        case datetime() | date():
            serial = serial_number(value.isoformat())
            return (Kind.TEXT, nan, value.isoformat()) if serial is None else (Kind.DATE, serial, "")
        case str() if value in ERRORS:
            return Kind.ERROR, nan, value
        case str() if value:
            return Kind.TEXT, nan, value
    return Kind.EMPTY_FORMULA, nan, ""


# --------------------------------------------------------------------------- values


def _values(area: xw.Range) -> Rows:
    """Return values as rows; error values by their names where the program tells them."""
    try:
        values: Rows = area.options(ndim=2, err_to_str=True).value
    except TypeError:  # macOS, xlwings 0.37.8: for ranges of more than one row
        values = area.options(ndim=2).value
    return values


def two_dimensional(data: object, rows: int, columns: int) -> Rows:
    """Return rows, whichever shape a program gives: a bare value for one cell, a flat row, tuples or lists."""
    if not isinstance(data, list | tuple):
        return [[data]]
    if not data or not isinstance(data[0], list | tuple):
        return [list(data)] if rows == 1 else [[value] for value in data]
    return [list(row) for row in data][:rows] if columns else []


def _name_errors(area: xw.Range, values: Rows, formulas: Rows) -> None:
    """Ask again, row by row, for rows with a formula that seems to have no value: it may be an error."""
    for i, (row_values, row_formulas) in enumerate(zip(values, formulas, strict=True)):
        silent = any(
            value is None and isinstance(formula, str) and formula.startswith("=")
            for value, formula in zip(row_values, row_formulas, strict=True)
        )
        if silent:
            row = area.sheet.range((area.row + i, area.column), (area.row + i, area.column + len(row_values) - 1))
            values[i] = row.options(ndim=2, err_to_str=True).value[0]


# --------------------------------------------------------------------------- number formats


def _number_formats(area: xw.Range) -> list[list[str]]:
    """Return the number format of each cell; a range that has one format throughout is asked once."""
    rows, columns = area.shape
    codes = [["General"] * columns for _ in range(rows)]
    top, left = area.row, area.column
    for (first_row, first_column, last_row, last_column), code in _uniform(
        area.sheet, (top, left, top + rows - 1, left + columns - 1)
    ):
        for row in range(first_row, last_row + 1):
            codes[row - top][first_column - left : last_column - left + 1] = [code] * (last_column - first_column + 1)
    return codes


def _uniform(sheet: xw.Sheet, area: Area) -> Iterator[tuple[Area, str]]:
    """Yield the parts of an area that have one number format: it is halved, columns first, where they are mixed."""
    first_row, first_column, last_row, last_column = area
    code = sheet.range((first_row, first_column), (last_row, last_column)).number_format
    if isinstance(code, str) and code:
        yield area, code
    elif first_column < last_column:
        middle = (first_column + last_column) // 2
        yield from _uniform(sheet, (first_row, first_column, last_row, middle))
        yield from _uniform(sheet, (first_row, middle + 1, last_row, last_column))
    elif first_row < last_row:
        middle = (first_row + last_row) // 2
        yield from _uniform(sheet, (first_row, first_column, middle, last_column))
        yield from _uniform(sheet, (middle + 1, first_column, last_row, last_column))
    else:
        yield area, "General"


# --------------------------------------------------------------------------- used range


def _used_range(sheet: xw.Sheet) -> xw.Range:
    """Return the used range, without the rows below the last value where it is suspiciously tall."""
    used = sheet.used_range
    rows, columns = used.shape
    if rows > _TRIM_FROM_ROWS and columns <= _MOST_COLUMNS_TO_TRIM:
        bottom = used.row + rows - 1
        last = max(_last_row(sheet, column, bottom) for column in range(used.column, used.column + columns))
        used = sheet.range((used.row, used.column), (max(last, used.row), used.column + columns - 1))
        rows, columns = used.shape
    if rows * columns > MOST_CELLS:
        raise SheetTooLargeError(sheet.name, rows, columns)
    return used


def _last_row(sheet: xw.Sheet, column: int, bottom: int) -> int:
    cell = sheet.range((bottom, column))
    if cell.value is not None:
        return bottom
    return int(cell.end("up").row)
