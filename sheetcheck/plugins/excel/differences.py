"""What of a workbook on the screen is not in its file yet."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Sequence
from datetime import datetime

import openpyxl
import xlsxwriter

from sheetcheck.reading.units.units import unit_of_number_format
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook
from sheetcheck.workbook.sheet_overlay import ScreenCell, Shown

_TEXT = r'"(?:[^"]|"")*"'
_SPELLINGS = re.compile(rf"({_TEXT})|_xlfn\.|_xlws\.|\s|\b(TRUE|FALSE)\(\)", re.IGNORECASE)
_PREFIXES = re.compile(r"_xlfn\.|_xlws\.")
_SCREEN_ONLY = re.compile(rf"{_TEXT}|'(?:[^']|'')*'|([@#])")  # @ and # have another spelling in a file
_ELSEWHERE = re.compile(r"\[\d+\]|\.xl\w+\]|file:", re.IGNORECASE)  # a formula that refers to another workbook


def same_sheets(file: Workbook, screen: Workbook) -> bool:
    """Whether both have the same sheets in the same order."""
    return [grid.name for grid in file.grids] == [grid.name for grid in screen.grids]


def differences(file: Workbook, screen: Workbook) -> list[ScreenCell]:
    """Return the cells that stand otherwise on the screen; both workbooks have the same sheets."""
    cells = [cell for old, new in zip(file.grids, screen.grids, strict=True) for cell in _of_sheet(old, new)]
    spelled = iter(file_spelling([cell.formula for cell in cells if cell.formula is not None]))
    return [cell if cell.formula is None else _with_formula(cell, next(spelled)) for cell in cells]


def file_spelling(formulas: Sequence[str]) -> list[str]:
    """Return formulas as a file spells them: functions that came after the standard carry a prefix there."""
    if not formulas:
        return []
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True, "use_future_functions": True}) as book:
        sheet = book.add_worksheet()
        for row, formula in enumerate(formulas):
            sheet.write_formula(row, 0, f"={formula}")
    cells = openpyxl.load_workbook(made).worksheets[0]["A"]
    return [_text_of(cell.value) for cell in cells]


def _text_of(formula: object) -> str:
    """Return a formula's text; XlsxWriter puts its prefixes into quoted texts too, where they are taken out again."""
    text = str(getattr(formula, "text", formula)).removeprefix("=")
    return re.sub(_TEXT, lambda match: _PREFIXES.sub("", match.group()), text)


def _with_formula(cell: ScreenCell, formula: str) -> ScreenCell:
    return ScreenCell(
        cell.sheet, cell.row, cell.column, cell.value, formula, cell.number_format, is_error=cell.is_error
    )


def _of_sheet(file: Grid, screen: Grid) -> Iterator[ScreenCell]:
    places = {*_places(file), *_places(screen)}
    for row, column in sorted(places):
        cell = _difference(file.name, (row, column), file.cell(row, column), screen.cell(row, column))
        if cell is not None:
            yield cell


def _places(grid: Grid) -> Iterator[tuple[int, int]]:
    return zip(grid.row.tolist(), grid.column.tolist(), strict=True)


def _difference(sheet: str, place: tuple[int, int], old: Cell | None, new: Cell | None) -> ScreenCell | None:
    if new is None:
        return None if old is None else ScreenCell(sheet, *place, value=None)
    value, is_error = _shown(new), new.kind is Kind.ERROR
    code = new.style.number_format
    if old is not None and _same_formula(old.formula, new.formula):
        other_unit = unit_of_number_format(code) != unit_of_number_format(old.style.number_format)
        if _same_value(old, new) and not other_unit:
            return None
        return ScreenCell(
            sheet, *place, value, number_format=code if other_unit else None, is_error=is_error,
            only_result=new.formula is not None,
        )  # fmt: skip
    was = old.style.number_format if old is not None else "General"
    formula = new.formula if new.formula is not None and can_be_filed(new.formula) else None
    return ScreenCell(sheet, *place, value, formula, None if code == was else code, is_error=is_error)


def can_be_filed(formula: str) -> bool:
    """Whether a formula read from the screen says the same in a file."""
    return not any(match.group(1) for match in _SCREEN_ONLY.finditer(formula)) and not _ELSEWHERE.search(formula)


def _shown(cell: Cell) -> Shown:
    match cell.kind:
        case Kind.DATE:
            return _moment(cell)
        case Kind.NUMBER:
            return cell.number
        case Kind.BOOL:
            return bool(cell.number)
        case Kind.EMPTY_FORMULA:
            return None
    return cell.text


def _moment(cell: Cell) -> Shown:
    """Return a date as such, for a file may count its days from another year; a time of day is a number."""
    try:
        return datetime.fromisoformat(cell.text)
    except ValueError:
        return cell.number


def _same_formula(old: str | None, new: str | None) -> bool:
    """Whether two spellings are one formula; one that cannot be respelled counts as the file's."""
    if old is None or new is None:
        return old is new
    return _folded(old) == _folded(new) or not can_be_filed(new)


def _folded(formula: str) -> str:
    return _SPELLINGS.sub(lambda m: m[1] or (m[2] or "").upper(), formula).upper()


def _same_value(old: Cell, new: Cell) -> bool:
    numbers = (Kind.NUMBER, Kind.DATE)
    if old.kind in numbers and new.kind in numbers:
        if old.kind is new.kind is Kind.DATE and old.text == new.text:
            return True
        return math.isclose(old.number, new.number, rel_tol=1e-9, abs_tol=1e-12)
    if old.kind is Kind.EMPTY_FORMULA or new.kind is Kind.EMPTY_FORMULA:
        return old.kind is new.kind or not (old.text or new.text or not math.isnan(old.number + new.number))
    if old.kind is new.kind is Kind.BOOL:
        return old.number == new.number
    return old.kind is new.kind and old.text == new.text
