"""Marks in the workbook that is open in Excel, with a journal by which all of them can be taken off again.

Excel's own undo does not survive an edit from outside, so the journal is written before the first mark.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

import xlwings as xw

from sheetcheck.model import CellMark, Mark
from sheetcheck.plugins.errors import NoJournalError
from sheetcheck.plugins.excel.attach import bounded, is_busy
from sheetcheck.plugins.places import own_folder
from sheetcheck.words import tr
from sheetcheck.workbook.palette import SIGNAL_FILLS


@dataclass(frozen=True)
class Step:
    """One cell: what was put there. A fill that the user gave the cell is never covered, nor a note replaced."""

    sheet: str
    cell: str
    note: str | None
    fill: tuple[int, int, int] | None


@dataclass(frozen=True)
class Marked:
    """What was marked, and where a note could not stand."""

    cells: int
    without_note: tuple[str, ...] = ()


@dataclass(frozen=True)
class Unmarked:
    """What was taken off, and what the user has changed since and was left."""

    cells: int
    left: tuple[str, ...] = ()


def mark(book: xw.Book, marks: Iterable[Mark]) -> Marked:
    """Put notes and fills into an open workbook; it is not saved.

    Earlier marks are taken off first. Cells that the user coloured keep their colour, cells with a note keep it.

    Raises
    ------
    ProgramError
    """
    with bounded():
        journal = _journal(book)
        if journal.exists() or _journal_of_another_name(book) is not None:
            unmark(book)
        steps = [_step(book, one) for one in marks if isinstance(one, CellMark)]
        _write(journal, book, steps)
        without = [f"{step.sheet}!{step.cell}" for step in steps if not _carry_out(book, step)]
    return Marked(len(steps), tuple(without))


def unmark(book: xw.Book) -> Unmarked:
    """Take the marks off an open workbook; a note or a fill that the user has changed since is left.

    Raises
    ------
    NoJournalError
        None were put there, or they were taken off already.
    ProgramError
    """
    with bounded():
        own = _journal(book)
        journal = own if own.exists() else _journal_of_another_name(book)
        if journal is None:
            raise NoJournalError(tr("{book}: there are no marks to take off.", book=book.name))
        known, steps = {sheet.name for sheet in book.sheets}, _read(journal)
        left = [
            f"{step.sheet}!{step.cell}" for step in reversed(steps) if step.sheet not in known or not _undo(book, step)
        ]
    if journal == own:  # another may be that of a second workbook still, which this one was saved from
        journal.unlink()
    return Unmarked(len(steps) - len(left), tuple(reversed(left)))


# --------------------------------------------------------------------------- one cell


def _step(book: xw.Book, wanted: CellMark) -> Step:
    cell = book.sheets[wanted.sheet].range(wanted.cell)
    fill = _rgb(str(wanted.signal)) if cell.color is None else None
    return Step(wanted.sheet, wanted.cell, wanted.note if cell.note is None else None, fill)


def _carry_out(book: xw.Book, step: Step) -> bool:
    """Mark a cell; say whether its note is there."""
    cell = book.sheets[step.sheet].range(step.cell)
    if step.fill is not None:
        cell.color = step.fill
    if step.note is None:
        return False
    try:
        cell.add_note(step.note)
    except Exception as error:  # a cell with a conversation refuses a note, each platform in its own way
        if is_busy(error):
            raise
        return False
    return True


def _undo(book: xw.Book, step: Step) -> bool:
    """Take a mark off; say whether all of it was as we had left it."""
    cell = book.sheets[step.sheet].range(step.cell)
    note, untouched = cell.note, True
    if step.note is not None and note is not None:
        untouched = _plain(note.text) == _plain(step.note)
        if untouched:
            note.delete()
    if step.fill is not None and cell.color is not None:
        if tuple(cell.color) == tuple(step.fill):
            cell.color = None
        else:
            untouched = False
    return untouched


def _plain(text: str) -> str:
    """Return a note's text whichever line ends the program gives it."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def _rgb(signal: str) -> tuple[int, int, int]:
    fill = SIGNAL_FILLS[signal]
    return int(fill[:2], 16), int(fill[2:4], 16), int(fill[4:], 16)


# --------------------------------------------------------------------------- journal


def _journal(book: xw.Book) -> Path:
    """Return where the journal of a workbook lies: by its full name, for two books may share a name."""
    try:
        full_name = book.fullname
    except (xw.XlwingsError, OSError):
        full_name = book.name
    digest = hashlib.sha256(full_name.encode()).hexdigest()[:16]
    return own_folder() / f"marks-{digest}.json"


def _journal_of_another_name(book: xw.Book) -> Path | None:
    """Return the newest journal whose notes stand in this workbook, which was marked under another name."""
    found = sorted(own_folder().glob("marks-*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    known = {sheet.name for sheet in book.sheets}
    return next((path for path in found if any(_stands(book, step, known) for step in _read(path))), None)


def _stands(book: xw.Book, step: Step, known: Collection[str]) -> bool:
    """Whether the note of a step is in the workbook, word for word."""
    if step.note is None or step.sheet not in known:
        return False
    note = book.sheets[step.sheet].range(step.cell).note
    return note is not None and _plain(note.text) == _plain(step.note)


def _read(journal: Path) -> list[Step]:
    return [Step(**step) for step in json.loads(journal.read_text(encoding="utf-8"))["steps"]]


def _write(journal: Path, book: xw.Book, steps: Iterable[Step]) -> None:
    draft = journal.with_suffix(".draft")  # half a journal would be worse than none
    with draft.open("w", encoding="utf-8") as file:
        json.dump({"book": book.name, "steps": [asdict(step) for step in steps]}, file, indent=1, ensure_ascii=False)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(journal)
