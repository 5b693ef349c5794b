"""Marks in the open workbook, and all of them taken off again."""

import json
from pathlib import Path

import pytest
import xlwings as xw

from sheetcheck.model import CellMark, NewSheet, Signal
from sheetcheck.pipeline import audit
from sheetcheck.plugins.errors import NoJournalError
from sheetcheck.plugins.excel.marking import mark, unmark
from sheetcheck.report.marks import plan
from tests.plugins.excel.stand_in import Range, StandIn

MARKS = [
    CellMark("Batches", "D3", Signal.DANGER, "Free lye.\nLook at D3."),
    CellMark("Batches", "B3", Signal.CAUTION, "Look at the lard."),  # has a note of the maker's
    CellMark("Batches", "A4", Signal.NOTICE, "A remark."),  # is coloured by the maker
    NewSheet("Check findings", [["not in the open workbook"]]),
]
DANGER = (0xF2, 0x95, 0x8B)


@pytest.fixture
def book(excel: StandIn, book_file: Path) -> xw.Book:
    assert excel.saved == []
    return xw.books.open(str(book_file))


def looks(book: xw.Book) -> list[tuple[object, object]]:
    cells = [book.sheets["Batches"][address] for address in ("D3", "B3", "A4")]
    return [(cell.color, cell.note.text.strip() if cell.note else None) for cell in cells]


def test_all_of_it_comes_off(book: xw.Book, excel: StandIn) -> None:
    before = looks(book)
    marked = mark(book, MARKS)
    assert (marked.cells, marked.without_note) == (3, ("Batches!B3",))
    danger, lard, windowsill = looks(book)
    assert danger[0] == DANGER
    assert str(danger[1]).replace("\r\n", "\n") == "Free lye.\nLook at D3."
    assert lard[1] == "rendered at home"  # the maker's note is left as it is
    assert windowsill == ((0, 255, 0), "A remark.")  # and her colour
    assert [sheet.name for sheet in book.sheets] == ["Batches", "Prices", "Blank"]
    taken = unmark(book)
    assert (taken.cells, taken.left) == (3, ())
    assert looks(book) == before
    assert excel.saved == []
    with pytest.raises(NoJournalError, match="no marks to take off"):
        unmark(book)


def test_what_the_user_changed_is_left(book: xw.Book) -> None:
    mark(book, MARKS)
    note = book.sheets["Batches"]["D3"].note
    assert note is not None
    note.text = "my own words"
    book.sheets["Batches"]["B3"].color = (1, 2, 3)
    taken = unmark(book)
    assert taken.left == ("Batches!D3", "Batches!B3")
    assert looks(book)[0] == (None, "my own words")
    assert looks(book)[1][0] == (1, 2, 3)


def test_a_book_saved_under_another_name_is_known_by_its_notes(book: xw.Book, tmp_path: Path) -> None:
    before = looks(book)
    mark(book, MARKS)
    book.impl._path = tmp_path / "kitchen" / "new recipes.xlsx"
    assert unmark(book).left == ()
    assert looks(book) == before
    with pytest.raises(NoJournalError, match="no marks to take off"):
        unmark(book)
    assert len(list((tmp_path / "data").glob("marks-*.json"))) == 1  # the workbook of the old name may be there still


def test_marks_do_not_pile_up(book: xw.Book) -> None:
    before = looks(book)
    mark(book, MARKS)
    once = looks(book)
    mark(book, MARKS)
    assert looks(book) == once
    unmark(book)
    assert looks(book) == before


def test_journal_is_there_before_the_first_mark(book: xw.Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def lost(_: Range, __: str) -> None:
        (journal,) = (tmp_path / "data").glob("marks-*.json")
        seen.append(len(json.loads(journal.read_text(encoding="utf-8"))["steps"]))
        raise ConnectionError("Excel went away")

    monkeypatch.setattr(Range, "color", property(lambda _: None, lost))
    with pytest.raises(ConnectionError):
        mark(book, MARKS)
    assert seen == [3]
    monkeypatch.undo()


def test_a_cell_that_refuses_a_note_is_named(book: xw.Book, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Range, __: str) -> None:
        raise RuntimeError("This cell already has a conversation")

    monkeypatch.setattr(Range, "add_note", refuse)
    assert "Batches!D3" in mark(book, MARKS).without_note
    assert looks(book)[0] == (DANGER, None)


def test_the_plan_of_an_audit(book: xw.Book, book_file: Path) -> None:
    wanted = [m for m in plan(audit(book_file)) if isinstance(m, CellMark)]
    assert mark(book, plan(audit(book_file))).cells == len(wanted) > 0
    assert unmark(book).left == ()
