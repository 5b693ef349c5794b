"""A stand-in for Excel: an engine for xlwings over openpyxl, with the habits of Windows or of macOS.

    engine = StandIn("windows"); xw.engines.add(xw.Engine(impl=engine)); xw.engines[engine.name].activate()
    book = xw.books.open("recipes.xlsx")  # from here on xlwings' own Book, Sheet and Range

Windows gives tuples, error cells as numbers, and `SaveCopyAs`; macOS gives lists, a flat one for a row, error cells as
nothing, fails on error names of more than one row, and has no `SaveCopyAs`. It does not calculate: a formula keeps the
value that its file holds.
"""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.utils import get_column_letter, range_boundaries
from xlwings import XlwingsError, base_classes

ERRORS = {
    "#DIV/0!": -2146826281, "#N/A": -2146826246, "#NAME?": -2146826259, "#NULL!": -2146826288,
    "#NUM!": -2146826252, "#REF!": -2146826265, "#VALUE!": -2146826273,
}  # fmt: skip
ERROR_NAMES = {number: name for name, number in ERRORS.items()}
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
TOUCHED: set[tuple[str, str]] = set()  # class and member of an engine that xlwings' front end asked for
Box = tuple[int, int, int, int]


class Noted:
    """Notes which members of an engine are touched; a test looks each of them up in xlwings' real engines."""

    def __getattribute__(self, name: str) -> Any:
        if not name.startswith("_") and name in PUBLIC.get(type(self).__name__, ()):
            TOUCHED.add((type(self).__name__, name))
        return object.__getattribute__(self, name)

    def __setattr__(self, name: str, value: Any) -> None:
        if not name.startswith("_") and name in PUBLIC.get(type(self).__name__, ()):
            TOUCHED.add((type(self).__name__, f"{name}="))
        object.__setattr__(self, name, value)


class StandIn:
    type = "desktop"

    def __init__(self, platform: str) -> None:
        self.platform = platform
        self.name = f"stand-in-{platform}"
        self.apps = Apps(self)
        self.alerts: list[tuple[str, str, str]] = []  # title, text, buttons
        self.answers: list[str] = []
        self.saved: list[str] = []  # the plugin must leave this empty
        self.opened: list[str] = []
        self.range_reads = 0

    def clean_value_data(
        self, data: Any, datetime_builder: Any, empty_as: Any, number_builder: Any, err_to_str: bool
    ) -> Any:
        def clean(value: Any) -> Any:
            if value is None or value == "":
                return empty_as
            if self.platform == "windows" and isinstance(value, int) and value in ERROR_NAMES:
                return ERROR_NAMES[value] if err_to_str else None
            if number_builder is not None and isinstance(value, float):
                return number_builder(value)
            return value

        return [[clean(value) for value in row] for row in data]

    def prepare_xl_data_element(self, value: Any, _options: Any) -> Any:
        return "" if value is None else value


class Apps(Noted, base_classes.Apps):
    def __init__(self, engine: StandIn) -> None:
        self._apps = [App(engine)]

    def keys(self) -> list[int]:
        return [app.pid for app in self._apps]

    def __iter__(self) -> Iterator["App"]:
        return iter(self._apps)

    def __len__(self) -> int:
        return len(self._apps)

    def __getitem__(self, pid: int) -> "App":
        return next(app for app in self._apps if app.pid == pid)

    def cleanup(self) -> None:
        pass


class App(Noted, base_classes.App):
    def __init__(self, engine: StandIn) -> None:
        self._engine = engine
        self._books: list[Book] = []
        self._busy = 0  # calls still to be rejected: somebody is typing in a cell

    engine = property(lambda self: self._engine)
    api = property(lambda self: self)
    pid = property(lambda _: 4711)
    version = property(lambda _: "16.0")

    @property
    def books(self) -> "Books":
        return Books(self)

    visible = property(lambda _: True)

    def alert(self, prompt: str, title: str, buttons: str, _mode: Any, _callback: Any) -> str:
        self._engine.alerts.append((title, prompt, buttons))
        return self._engine.answers.pop(0) if self._engine.answers else "ok"

    def activate(self, steal_focus: bool = False) -> None:
        pass


class ExcelBusyError(Exception):
    """As in xlwings' engine for Windows."""


class Books(Noted, base_classes.Books):
    def __init__(self, app: App) -> None:
        if app._busy:
            app._busy -= 1
            raise ExcelBusyError
        self._app = app

    app = property(lambda self: self._app)
    api = property(lambda self: self)
    active = property(lambda self: self._app._books[-1])

    def __call__(self, key: int | str) -> "Book":
        if isinstance(key, int):
            return self._app._books[key - 1]
        for book in self._app._books:
            if book._name.lower() == key.lower():
                return book
        raise KeyError(key)

    def __len__(self) -> int:
        return len(self._app._books)

    def __iter__(self) -> Iterator["Book"]:
        return iter(list(self._app._books))

    def __contains__(self, key: str) -> bool:
        return any(book._name.lower() == key.lower() for book in self._app._books)

    def add(self) -> "Book":
        self._app._books.append(Book(self._app, None, f"Book{len(self) + 1}"))
        return self.active

    def open(self, fullname: str, *_: Any, **__: Any) -> "Book":
        name = Path(fullname).name
        assert name not in self, "Excel opens no two workbooks of one name"
        self._app._books.append(Book(self._app, Path(fullname), name))
        self._app._engine.opened.append(str(fullname))
        return self.active


class WindowsCommands:
    def __init__(self, book: "Book") -> None:
        self._book = book

    def SaveCopyAs(self, path: str) -> None:  # noqa: N802 - Excel's own name
        self._book._workbook.save(path)


class MacCommands:
    def __getattr__(self, name: str) -> Any:
        raise AttributeError(f"Unknown property, element or command: {name!r}")


class Book(Noted, base_classes.Book):
    def __init__(self, app: App, path: Path | None, name: str) -> None:
        self._app, self._path, self._name = app, path, name
        self._url: str | None = None  # a test sets it: a workbook on a cloud address
        if path is None:
            self._workbook = openpyxl.Workbook()
            self._stored = self._workbook
        else:
            self._workbook = openpyxl.load_workbook(path, keep_vba=path.suffix.lower() == ".xlsm")
            self._stored = openpyxl.load_workbook(path, data_only=True)
        self._results: dict[tuple[str, int, int], Any] = {}  # a test sets these: results of formulas on the screen

    app = property(lambda self: self._app)
    name = property(lambda self: self._name)

    @property
    def sheets(self) -> "Sheets":
        return Sheets(self)

    @property
    def api(self) -> Any:
        return WindowsCommands(self) if self._app._engine.platform == "windows" else MacCommands()

    @property
    def fullname(self) -> str:
        if self._url:
            raise XlwingsError(f"URL {self._url} not recognized")
        return str(self._path or self._name)

    def activate(self) -> None:
        pass

    def save(self, path: str | None = None, _password: str | None = None) -> None:
        self._app._engine.saved.append(path or self._name)


class Sheets(Noted, base_classes.Sheets):
    def __init__(self, book: Book) -> None:
        self._book = book

    api = property(lambda self: self)

    def __call__(self, key: int | str) -> "Sheet":
        sheets = self._book._workbook
        return Sheet(self._book, sheets.worksheets[key - 1] if isinstance(key, int) else sheets[key])

    def __len__(self) -> int:
        return len(self._book._workbook.worksheets)

    def __iter__(self) -> Iterator["Sheet"]:
        return (Sheet(self._book, sheet) for sheet in self._book._workbook.worksheets)

    def __contains__(self, key: str) -> bool:
        return key in self._book._workbook.sheetnames


class Sheet(Noted, base_classes.Sheet):
    def __init__(self, book: Book, sheet: Any) -> None:
        self._book, self._sheet = book, sheet

    api = property(lambda self: self)
    book = property(lambda self: self._book)
    name = property(lambda self: self._sheet.title)
    index = property(lambda self: self._book._workbook.worksheets.index(self._sheet) + 1)
    visible = property(lambda self: self._sheet.sheet_state == "visible")
    cells = property(lambda self: Range(self, (1, 1, LAST_ROW, LAST_COLUMN)))

    @property
    def used_range(self) -> "Range":
        first_column, first_row, last_column, last_row = range_boundaries(self._sheet.calculate_dimension())
        tall = getattr(self._book, "_tall", 0)
        return Range(self, (first_row, first_column, tall or last_row, last_column))

    def range(self, one: Any, other: Any = None) -> "Range":
        boxes = [_box(corner) for corner in (one, other) if corner is not None]
        return Range(self, (*map(min, zip(*[b[:2] for b in boxes], strict=True)),
                            *map(max, zip(*[b[2:] for b in boxes], strict=True))))  # fmt: skip


def _box(corner: Any) -> Box:
    if isinstance(corner, Range):
        return corner._box
    if isinstance(corner, str):
        first_column, first_row, last_column, last_row = range_boundaries(corner.replace("$", ""))
        return first_row, first_column, last_row, last_column
    if len(corner) == 4:  # row, column, number of rows, number of columns
        row, column, rows, columns = corner
        return row, column, row + rows - 1, column + columns - 1
    return corner[0], corner[1], corner[0], corner[1]


class Range(Noted, base_classes.Range):
    def __init__(self, sheet: Sheet, box: Box) -> None:
        self._sheet, self._box = sheet, box
        self.options: dict[str, Any] = {}

    api = property(lambda _: True)
    sheet = property(lambda self: self._sheet)
    row = property(lambda self: self._box[0])
    column = property(lambda self: self._box[1])
    shape = property(lambda self: (self._box[2] - self._box[0] + 1, self._box[3] - self._box[1] + 1))
    coords = property(lambda self: (self.row, self.column, *self.shape))

    @property
    def address(self) -> str:
        first_row, first_column, last_row, last_column = self._box
        return f"${get_column_letter(first_column)}${first_row}:${get_column_letter(last_column)}${last_row}"

    def __len__(self) -> int:
        rows, columns = self.shape
        return rows * columns

    def __call__(self, row: int, column: int | None = None) -> "Range":
        if column is None:
            row, column = divmod(row - 1, self.shape[1])
            row, column = row + 1, column + 1
        row, column = self.row + row - 1, self.column + column - 1
        return Range(self._sheet, (row, column, row, column))

    def _cells(self) -> Iterator[list[Any]]:
        first_row, first_column, last_row, last_column = self._box
        self._engine.range_reads += 1
        for row in range(first_row, last_row + 1):
            yield [self._sheet._sheet.cell(row, column) for column in range(first_column, last_column + 1)]

    @property
    def _engine(self) -> StandIn:
        return self._sheet._book._app._engine

    def _shown(self, cell: Any) -> Any:
        book, value = self._sheet._book, cell.value
        if isinstance(value, str) and value.startswith("="):
            place = cell.parent.title, cell.row, cell.column
            value = book._results.get(place, book._stored[place[0]].cell(*place[1:]).value)
        if isinstance(value, str) and value in ERRORS:
            return ERRORS[value] if self._engine.platform == "windows" else None
        if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
            return dt.datetime.combine(value, dt.time())
        return float(value) if isinstance(value, int) and not isinstance(value, bool) else value

    def _packed(self, rows: list[list[Any]]) -> Any:
        if len(self) == 1:
            return rows[0][0]
        if self._engine.platform == "windows":
            return tuple(map(tuple, rows))
        return list(rows[0]) if len(rows) == 1 else rows

    @property
    def raw_value(self) -> Any:
        names_wanted = self._engine.platform == "mac" and self.options.get("err_to_str")
        if names_wanted and self.shape[0] > 1:
            raise TypeError("'NoneType' object is not iterable")
        rows = [[self._shown(cell) for cell in row] for row in self._cells()]
        if names_wanted:
            for values, cells in zip(rows, self._cells(), strict=True):
                for i, cell in enumerate(cells):
                    place = cell.parent.title, cell.row, cell.column
                    result = self._sheet._book._results.get(place)
                    values[i] = result if result in ERRORS else values[i]
            return rows
        return self._packed(rows)

    @raw_value.setter
    def raw_value(self, data: Any) -> None:
        rows = data if isinstance(data, list | tuple) else [[data]]
        for values, cells in zip(rows, Range(self._sheet, (*self._box[:2], self.row + len(rows) - 1,
                                 self.column + len(rows[0]) - 1))._cells(), strict=True):  # fmt: skip
            for value, cell in zip(values, cells, strict=True):
                cell.value = None if value == "" else value

    @property
    def formula(self) -> Any:
        def text(cell: Any) -> str:
            value = getattr(cell.value, "text", cell.value)
            if isinstance(value, bool):
                return str(value).upper()
            return "" if value is None else str(value).removeprefix("_xlfn.").replace("_xlfn.", "")

        return self._packed([[text(cell) for cell in row] for row in self._cells()])

    @formula.setter
    def formula(self, value: str) -> None:
        next(self._cells())[0].value = value

    @property
    def number_format(self) -> str | None:
        codes = {cell.number_format for row in self._cells() for cell in row}
        return codes.pop() if len(codes) == 1 else None

    def end(self, direction: str) -> "Range":
        assert direction == "up"
        held = self._sheet._sheet._cells.items()
        rows = [row for (row, column), cell in held if column == self.column and cell.value is not None]
        row = max((row for row in rows if row < self.row), default=1)
        return Range(self._sheet, (row, self.column, row, self.column))

    @property
    def color(self) -> tuple[int, ...] | None:
        fill = next(self._cells())[0].fill
        return tuple(bytes.fromhex(fill.fgColor.rgb[-6:])) if fill.fill_type == "solid" else None

    @color.setter
    def color(self, rgb: tuple[int, ...] | None) -> None:
        fill = PatternFill() if rgb is None else PatternFill("solid", fgColor=bytes(rgb).hex().upper())
        next(self._cells())[0].fill = fill

    @property
    def note(self) -> "Note | None":
        cell = next(self._cells())[0]
        return Note(self, cell) if cell.comment else None

    def add_note(self, text: str) -> "Note":
        cell = next(self._cells())[0]
        assert cell.comment is None, "Excel refuses a second note"
        cell.comment = Comment(text.replace("\n", "\r\n") if self._engine.platform == "mac" else text, "maker")
        return Note(self, cell)


class Note(Noted, base_classes.Note):
    def __init__(self, area: Range, cell: Any) -> None:
        self._range, self._cell = area, cell

    api = property(lambda self: self)
    text = property(
        lambda self: self._cell.comment.text,
        lambda self, text: setattr(self._cell, "comment", Comment(text, "maker")),
    )

    def delete(self) -> None:
        self._cell.comment = None


PUBLIC = {
    name: {member for member in vars(getattr(base_classes, name)) if not member.startswith("_")}
    for name in ("Apps", "App", "Books", "Book", "Sheets", "Sheet", "Range", "Note")
}
