"""A real spreadsheet program behind xlwings on Linux: an engine that drives LibreOffice Calc over UNO.

It calculates, keeps unsaved edits, notes and fills, and writes copies, as Excel does and the stand-in cannot.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from xlwings import base_classes

from tests.plugins.excel import stand_in
from tests.plugins.office import Office, property_

XLSX = "Calc MS Excel 2007 XML"
FIRST_DAY = dt.datetime(1899, 12, 30)
DATE_CONSTANTS, FORMULAS = 2, 16  # com.sun.star.sheet.CellFlags
ERROR = 4  # com.sun.star.sheet.FormulaResult


class CalcEngine:
    name, type = "calc", "desktop"

    def __init__(self, office: Office) -> None:
        self.office = office
        self.alerts: list[str] = []
        self.answers: list[str] = []
        self.saved: list[Any] = []
        self.apps = Apps(self)

    def clean_value_data(
        self, data: Any, datetime_builder: Any, empty_as: Any, number_builder: Any, err_to_str: bool
    ) -> Any:
        return [[empty_as if value in (None, "") else value for value in row] for row in data]

    def prepare_xl_data_element(self, value: Any, _options: Any) -> Any:
        return "" if value is None else value


class Apps(base_classes.Apps):
    def __init__(self, engine: CalcEngine) -> None:
        self.app = App(engine)

    def keys(self) -> list[int]:
        return [self.app.pid]

    def __iter__(self) -> Iterator["App"]:
        return iter([self.app])

    def __len__(self) -> int:
        return 1

    def __getitem__(self, _: int) -> "App":
        return self.app


class App(base_classes.App):
    def __init__(self, engine: CalcEngine) -> None:
        self._engine = engine

    engine = property(lambda self: self._engine)
    api = property(lambda self: self._engine.office.desktop)
    pid = property(lambda self: self._engine.office.process.pid)

    @property
    def books(self) -> "Books":
        return Books(self)

    def alert(self, prompt: str, *_: Any) -> str:
        self._engine.alerts.append(prompt)
        return self._engine.answers.pop(0) if self._engine.answers else "ok"


class Books(base_classes.Books):
    def __init__(self, app: App) -> None:
        self._app = app

    app = property(lambda self: self._app)
    api = property(lambda self: self._app.api)

    @property
    def active(self) -> "Book":
        return list(self)[-1]

    def __iter__(self) -> Iterator["Book"]:
        return (Book(self._app, document) for document in self._app._engine.office.documents())

    def __len__(self) -> int:
        return len(list(iter(self)))

    def __call__(self, key: Any) -> "Book":
        for number, book in enumerate(self, 1):
            if key in (number, book.name):
                return book
        raise KeyError(key)

    def open(self, fullname: str, *_: Any, **__: Any) -> "Book":
        return Book(self._app, self._app._engine.office.open(Path(fullname)))


class Commands:
    def __init__(self, book: "Book") -> None:
        self._book = book

    def SaveCopyAs(self, path: str) -> None:  # noqa: N802 - Excel's own name
        url = self._book._office.uno.systemPathToFileUrl(path)
        self._book.document.storeToURL(url, (property_("FilterName", XLSX),))


class Book(base_classes.Book):
    def __init__(self, app: App, document: Any) -> None:
        self._app, self.document = app, document
        self._office = app._engine.office

    app = property(lambda self: self._app)
    name = property(lambda self: Path(self.fullname).name)

    @property
    def api(self) -> Any:
        return Commands(self)

    @property
    def fullname(self) -> str:
        url = self.document.URL
        return str(self._office.uno.fileUrlToSystemPath(url) if url else self.document.Title)

    @property
    def sheets(self) -> "Sheets":
        return Sheets(self)

    def save(self, path: Any = None, _password: Any = None) -> None:
        self._app._engine.saved.append(path)


class Sheets(base_classes.Sheets):
    def __init__(self, book: Book) -> None:
        self._book = book

    api = property(lambda self: self._book.document.Sheets)

    def __len__(self) -> int:
        return int(self.api.Count)

    def __iter__(self) -> Iterator["Sheet"]:
        return (Sheet(self._book, self.api.getByIndex(number)) for number in range(len(self)))

    def __call__(self, key: Any) -> "Sheet":
        return Sheet(self._book, self.api.getByIndex(key - 1) if isinstance(key, int) else self.api.getByName(key))


class Sheet(base_classes.Sheet):
    def __init__(self, book: Book, sheet: Any) -> None:
        self._book, self.uno = book, sheet

    api = property(lambda self: self.uno)
    book = property(lambda self: self._book)
    name = property(lambda self: self.uno.Name)
    visible = property(lambda self: self.uno.IsVisible)
    cells = property(lambda self: Range(self, (1, 1, 1_048_576, 1024)))

    @property
    def used_range(self) -> "Range":
        cursor = self.uno.createCursor()
        cursor.gotoEndOfUsedArea(False)
        return Range(self, (1, 1, cursor.RangeAddress.EndRow + 1, cursor.RangeAddress.EndColumn + 1))

    def range(self, one: Any, other: Any = None) -> "Range":
        boxes = [c._box if isinstance(c, Range) else stand_in._box(c) for c in (one, other) if c is not None]
        return Range(self, (*map(min, zip(*[b[:2] for b in boxes], strict=True)),
                            *map(max, zip(*[b[2:] for b in boxes], strict=True))))  # fmt: skip


class Range(base_classes.Range):
    def __init__(self, sheet: Sheet, box: tuple[int, int, int, int]) -> None:
        self._sheet, self._box = sheet, box
        self.options: dict[str, Any] = {}

    sheet = property(lambda self: self._sheet)
    row = property(lambda self: self._box[0])
    column = property(lambda self: self._box[1])
    shape = property(lambda self: (self._box[2] - self._box[0] + 1, self._box[3] - self._box[1] + 1))
    coords = property(lambda self: (self.row, self.column, *self.shape))

    @property
    def api(self) -> Any:
        first_row, first_column, last_row, last_column = (number - 1 for number in self._box)
        return self._sheet.uno.getCellRangeByPosition(first_column, first_row, last_column, last_row)

    @property
    def _cell(self) -> Any:
        return self.api.getCellByPosition(0, 0)

    def __len__(self) -> int:
        return int(self.shape[0] * self.shape[1])

    def _packed(self, rows: list[list[Any]]) -> Any:
        return tuple(map(tuple, rows)) if len(self) > 1 else rows[0][0]

    def _replace(self, rows: list[list[Any]], cells: Any, value: Callable[[Any], Any]) -> None:
        for area in cells.RangeAddresses:
            for row in range(area.StartRow, area.EndRow + 1):
                for column in range(area.StartColumn, area.EndColumn + 1):
                    cell = self._sheet.uno.getCellByPosition(column, row)
                    rows[row + 1 - self.row][column + 1 - self.column] = value(cell)

    @property
    def raw_value(self) -> Any:
        rows = [list(row) for row in self.api.DataArray]
        dates = self.api.queryContentCells(DATE_CONSTANTS)
        self._replace(rows, dates, lambda cell: FIRST_DAY + dt.timedelta(days=cell.Value))
        self._replace(rows, self.api.queryFormulaCells(ERROR), lambda cell: cell.String)
        return self._packed(rows)

    @raw_value.setter
    def raw_value(self, data: Any) -> None:
        for i, row in enumerate(data if isinstance(data, list | tuple) else [[data]]):
            for j, value in enumerate(row):
                cell = self._sheet.uno.getCellByPosition(self.column - 1 + j, self.row - 1 + i)
                if isinstance(value, str):
                    cell.String = value
                else:
                    cell.Value = value

    @property
    def _parser(self) -> Any:
        document = self._sheet._book.document
        parser = document.createInstance("com.sun.star.sheet.FormulaParser")
        parser.CompileEnglish, parser.FormulaConvention = True, 3  # as Excel writes references
        return parser

    @property
    def formula(self) -> Any:
        rows, parser = [list(row) for row in self.api.FormulaArray], self._parser
        formulas = self.api.queryContentCells(FORMULAS)
        self._replace(rows, formulas, lambda cell: f"={parser.printFormula(cell.getTokens(), cell.CellAddress)}")
        return self._packed(rows)

    @formula.setter
    def formula(self, text: str) -> None:
        self._cell.setTokens(self._parser.parseFormula(text.removeprefix("="), self._cell.CellAddress))

    @property
    def number_format(self) -> str | None:
        """The code of one cell; a range is mixed where Calc has no one key for it."""
        key = self.api.getPropertyValue("NumberFormat")
        if key is None or self.api.getPropertyState("NumberFormat").value == "AMBIGUOUS_VALUE":
            return None
        return str(self._sheet._book.document.NumberFormats.getByKey(key).FormatString)

    @property
    def color(self) -> tuple[int, ...] | None:
        colour = self._cell.CellBackColor
        return None if colour == -1 else tuple(int(colour).to_bytes(3, "big"))

    @color.setter
    def color(self, rgb: tuple[int, ...] | None) -> None:
        self._cell.CellBackColor = -1 if rgb is None else int.from_bytes(bytes(rgb), "big")

    @property
    def note(self) -> "Note | None":
        return Note(self) if self._cell.Annotation.String else None

    def add_note(self, text: str) -> "Note":
        self._sheet.uno.Annotations.insertNew(self._cell.CellAddress, text)
        return Note(self)


class Note(base_classes.Note):
    def __init__(self, area: Range) -> None:
        self._range = area

    @property
    def text(self) -> str:
        return str(self._range._cell.Annotation.String)

    @text.setter
    def text(self, text: str) -> None:
        self._range._cell.Annotation.String = text

    def delete(self) -> None:
        notes = self._range._sheet.uno.Annotations
        here = self._range._cell.CellAddress
        for number in range(notes.Count):
            position = notes.getByIndex(number).Position
            if (position.Row, position.Column) == (here.Row, here.Column):
                notes.removeByIndex(number)
                return
