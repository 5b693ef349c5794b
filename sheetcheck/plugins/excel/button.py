"""What the button in Excel runs: the add-in's own file name says so, for its macro runs `main` of the module named."""

from __future__ import annotations

import contextlib
import sys

import xlwings as xw

from sheetcheck.errors import SheetcheckError
from sheetcheck.plugins.errors import ProgramBusyError
from sheetcheck.plugins.excel.attach import bounded, calling_book
from sheetcheck.plugins.excel.auditing import audited
from sheetcheck.plugins.verdict import spoken
from sheetcheck.words import speaking, tr

TITLE = "Sheetcheck"


def main() -> None:
    """Audit the workbook in which the button was pressed; write the checked copy if the user says so."""
    book = None
    try:
        book = calling_book()
        _show(book, tr("Sheetcheck is checking this workbook …"))
        with audited(book) as done:
            _show(book, None)
            with speaking(done.audit.book.manner.voice()):
                offer = tr("Write a checked copy and open it? Your workbook stays as it is.")
                question = f"{spoken(done.audit)}\n\n{offer}"
            if _asked(book, question):
                copied = done.write_copy()
                for warning in copied.copy_report.warnings:
                    _tell(book, warning)
    except SheetcheckError as error:
        _tell(book, str(error))
    finally:
        _show(book, None)


def _show(book: xw.Book | None, text: str | None) -> None:
    """Say in Excel's status bar that it works, or give the bar back; where Excel does not take it, do without."""
    with contextlib.suppress(Exception):
        if book is not None:
            book.app.status_bar = text or False


def _asked(book: xw.Book, question: str) -> bool:
    try:
        with bounded():
            return bool(book.app.alert(question, title=TITLE, buttons="yes_no") == "yes")
    except ProgramBusyError:  # on macOS a question that nobody answers for a minute: no answer is a no
        return False


def _tell(book: xw.Book | None, text: str) -> None:
    """Show a sentence in Excel; where Excel cannot show it, in the log that xlwings shows."""
    with contextlib.suppress(Exception):
        app = book.app if book is not None else xw.apps.active
        if app is not None:
            app.alert(text, title=TITLE, buttons="ok")
            return
    print(text, file=sys.stderr)  # noqa: T201 - the last resort
