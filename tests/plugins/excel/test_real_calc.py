"""The plugin for Excel, unchanged, on a real spreadsheet program: LibreOffice Calc behind xlwings."""

from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
import xlwings as xw

from sheetcheck.plugins.excel import snapshot
from sheetcheck.plugins.excel.auditing import audited
from sheetcheck.plugins.excel.differences import differences
from sheetcheck.plugins.excel.marking import mark, unmark
from sheetcheck.plugins.excel.screen import read_screen
from sheetcheck.report.marks import plan
from sheetcheck.workbook.read import read_workbook
from tests.plugins.excel.calc_engine import CalcEngine
from tests.plugins.excel.conftest import activated
from tests.plugins.office import Office


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with Office(tmp_path_factory.mktemp("office") / "profile") as running:
        yield running


@pytest.fixture
def calc(office: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[CalcEngine]:
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path)
    engine = CalcEngine(office)
    with activated(engine):
        yield engine
    for document in office.documents():
        document.setModified(False)
        document.close(True)


@pytest.fixture
def book(calc: CalcEngine, book_file: Path) -> xw.Book:
    assert calc.saved == []
    return xw.books.open(str(book_file))


def test_an_unchanged_book_has_no_differences(book: xw.Book, book_file: Path) -> None:
    """Its formula with CONCAT has another spelling in the file, and is not an edit."""
    edits = differences(read_workbook(book_file), read_screen(book))
    assert [edit for edit in edits if edit.formula is not None or not edit.only_result] == []


def test_an_unsaved_edit_is_calculated_and_seen(book: xw.Book) -> None:
    sheet = book.sheets["Batches"]
    sheet["D2"].value = 13
    assert sheet["E2"].value == pytest.approx(13 / (13 + 24.29))
    with audited(book) as done:
        assert {f.cell for f in done.audit.findings if f.signal == "DANGER"} == {"D2", "D3"}


def test_an_error_keeps_its_name(book: xw.Book) -> None:
    book.sheets["Batches"]["E3"].formula = "=D3/0"
    cell = read_screen(book).grids[0].cell(3, 5)
    assert cell is not None
    assert (cell.text, cell.formula) == ("#DIV/0!", "D3/0")


@pytest.mark.parametrize("own_copy", [True, False])
def test_copy(
    book: xw.Book, book_file: Path, calc: CalcEngine, monkeypatch: pytest.MonkeyPatch, own_copy: bool
) -> None:
    """By the program's own copy as on Windows, and by the file with the edits laid over it as on macOS."""
    if not own_copy:
        monkeypatch.setattr(snapshot, "_own_copy", lambda *_: None)
    before = book_file.read_bytes()
    sheet = book.sheets["Batches"]
    sheet["D2"].value = 13
    sheet["E9"].formula = "=Prices!B1*2"
    with audited(book) as done:
        copied = done.write_copy()
    assert book_file.read_bytes() == before
    assert calc.saved == []
    written = openpyxl.load_workbook(copied.copy)["Batches"]
    assert written["D2"].value == 13
    assert written["D2"].comment.text.startswith("DANGER")
    assert written["E9"].value == "=Prices!B1*2"
    shown = xw.books[copied.copy.name].sheets["Batches"]  # the program has opened it
    assert shown["D2"].note.text.startswith("DANGER")
    assert shown["E9"].value == pytest.approx(5)
    assert shown["E2"].value == pytest.approx(13 / (13 + 24.29))


def test_marks_on_and_off(book: xw.Book) -> None:
    sheet = book.sheets["Batches"]
    with audited(book) as done:
        assert mark(book, plan(done.audit)).cells > 0
    assert sheet["D3"].note.text.startswith("DANGER")
    assert sheet["D3"].color == (0xF2, 0x95, 0x8B)
    assert sheet["B3"].note.text == "rendered at home"
    assert unmark(book).left == ()
    assert (sheet["D3"].note, sheet["D3"].color) == (None, None)
    assert sheet["B3"].note.text == "rendered at home"
