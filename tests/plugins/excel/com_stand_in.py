# ruff: noqa: N802 - the names are those of Excel
"""The little of Excel's COM objects that xlwings' engine for Windows reaches, over openpyxl.

Shapes are those of COM: tuples of tuples, a bare value for one cell, numbers as float, error cells as negative numbers,
None for an empty value and "" for an empty formula.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.utils import range_boundaries

from tests.plugins.excel.stand_in import ERRORS

NO_COLOUR = -4142  # xlColorIndexNone


class Count:
    def __init__(self, count: int) -> None:
        self.Count = count


class Application:
    def __init__(self, time_type: Any) -> None:
        self.time_type = time_type
        self.Hwnd, self.Version, self.DisplayAlerts = 4711, "16.0", True
        self.Workbooks = Workbooks(self)
        self.ActiveWorkbook: Workbook | None = None


class Workbooks:
    def __init__(self, application: Application) -> None:
        self.Application = application
        self._books: list[Workbook] = []

    @property
    def Count(self) -> int:
        return len(self._books)

    def __iter__(self) -> Iterator["Workbook"]:
        return iter(list(self._books))

    def __call__(self, key: Any) -> "Workbook":
        import pywintypes

        for book in self._books:
            if book.Name.lower() == str(key).lower():
                return book
        raise pywintypes.com_error(key)

    def Open(self, path: str, *_: Any) -> "Workbook":
        book = Workbook(self.Application, Path(path))
        self._books.append(book)
        self.Application.ActiveWorkbook = book
        return book


class Workbook:
    def __init__(self, application: Application, path: Path) -> None:
        self.Application = application
        self.FullName, self.Name, self.Path = str(path), path.name, str(path.parent)
        self._workbook = openpyxl.load_workbook(path)
        self._stored = openpyxl.load_workbook(path, data_only=True)
        self.saved: list[str] = []

    @property
    def Worksheets(self) -> "Worksheets":
        return Worksheets(self)

    def SaveCopyAs(self, path: str) -> None:
        self._workbook.save(path)

    def Save(self) -> None:
        self.saved.append(self.FullName)


class Worksheets:
    def __init__(self, book: Workbook) -> None:
        self.Parent = book

    @property
    def Count(self) -> int:
        return len(self.Parent._workbook.worksheets)

    def __call__(self, key: Any) -> "Worksheet":
        workbook = self.Parent._workbook
        return Worksheet(self.Parent, workbook.worksheets[key - 1] if isinstance(key, int) else workbook[key])

    def __iter__(self) -> Iterator["Worksheet"]:
        return (Worksheet(self.Parent, sheet) for sheet in self.Parent._workbook.worksheets)


class Worksheet:
    def __init__(self, book: Workbook, sheet: Any) -> None:
        self.Parent, self._sheet = book, sheet

    @property
    def Name(self) -> str:
        return str(self._sheet.title)

    @property
    def Visible(self) -> int:
        return -1 if self._sheet.sheet_state == "visible" else 0

    @property
    def UsedRange(self) -> "Range":
        return self.Range(self._sheet.calculate_dimension())

    def Cells(self, row: int, column: int) -> "Range":
        return Range(self, (row, column, row, column))

    def Range(self, one: Any, other: Any = None) -> "Range":
        if isinstance(one, str):
            first_column, first_row, last_column, last_row = range_boundaries(one.replace("$", ""))
            return Range(self, (first_row, first_column, last_row, last_column))
        first, last = one._box, (other or one)._box
        return Range(self, (*map(min, first[:2], last[:2]), *map(max, first[2:], last[2:])))


class Interior:
    def __init__(self, area: "Range") -> None:
        self._cell = area._first

    @property
    def ColorIndex(self) -> int:
        return NO_COLOUR if self._cell.fill.fill_type is None else 3

    @ColorIndex.setter
    def ColorIndex(self, _: int) -> None:
        self._cell.fill = PatternFill()

    @property
    def Color(self) -> int:
        return int.from_bytes(bytes.fromhex(self._cell.fill.fgColor.rgb[-6:]), "little")

    @Color.setter
    def Color(self, value: float) -> None:
        self._cell.fill = PatternFill("solid", fgColor=int(value).to_bytes(3, "little").hex().upper())


class Note:
    def __init__(self, area: "Range") -> None:
        self.Parent, self._cell = area, area._first

    def Text(self, text: str | None = None) -> str:
        if text is not None:
            self._cell.comment = Comment(text, "maker")
        return str(self._cell.comment.text)

    def Delete(self) -> None:
        self._cell.comment = None


class Range:
    def __init__(self, sheet: Worksheet, box: tuple[int, int, int, int]) -> None:
        self.Worksheet = self.Parent = sheet
        self._box = box
        self.Row, self.Column = box[:2]
        self.Rows, self.Columns = Count(box[2] - box[0] + 1), Count(box[3] - box[1] + 1)
        self.Count = self.Rows.Count * self.Columns.Count

    def __call__(self, row: int, column: int | None = None) -> "Range":
        if column is None:
            row, column = divmod(row - 1, self.Columns.Count)
            row, column = row + 1, column + 1
        return self.Worksheet.Cells(self.Row + row - 1, self.Column + column - 1)

    def _cells(self) -> list[list[Any]]:
        first_row, first_column, last_row, last_column = self._box
        sheet = self.Worksheet._sheet
        columns = range(first_column, last_column + 1)
        return [[sheet.cell(row, column) for column in columns] for row in range(first_row, last_row + 1)]

    @property
    def _first(self) -> Any:
        return self._cells()[0][0]

    def _packed(self, of: Callable[[Any], Any]) -> Any:
        rows = tuple(tuple(of(cell) for cell in row) for row in self._cells())
        return rows[0][0] if self.Count == 1 else rows

    def _value(self, cell: Any) -> Any:
        value, book = cell.value, self.Worksheet.Parent
        if isinstance(value, str) and value.startswith("="):
            value = book._stored[self.Worksheet.Name].cell(cell.row, cell.column).value
        if isinstance(value, dt.date):
            return book.Application.time_type(value.year, value.month, value.day, tzinfo=dt.UTC)
        if isinstance(value, str) and value in ERRORS:
            return ERRORS[value]
        return float(value) if isinstance(value, int) and not isinstance(value, bool) else value

    @property
    def Value(self) -> Any:
        return self._packed(self._value)

    @Value.setter
    def Value(self, data: Any) -> None:
        rows = data if isinstance(data, list | tuple) else ((data,),)
        for values, cells in zip(rows, self._cells(), strict=True):
            for value, cell in zip(values, cells, strict=True):
                cell.value = value

    @property
    def Formula(self) -> Any:
        return self._packed(lambda cell: "" if cell.value is None else str(cell.value).replace("_xlfn.", ""))

    @property
    def NumberFormat(self) -> str | None:
        codes = {cell.number_format for row in self._cells() for cell in row}
        return codes.pop() if len(codes) == 1 else None

    @property
    def Interior(self) -> Interior:
        return Interior(self)

    @property
    def Comment(self) -> Note | None:
        return Note(self) if self._first.comment else None

    def AddComment(self, text: str) -> Note:
        assert self.Comment is None, "Excel refuses a second note"
        self._first.comment = Comment(text, "maker")
        return Note(self)
