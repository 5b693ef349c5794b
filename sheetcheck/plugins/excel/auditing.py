"""The audit of the workbook that is open in Excel, and the checked copy of it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import xlwings as xw

from sheetcheck.model import Audit
from sheetcheck.pipeline import Checked, annotate, audit
from sheetcheck.plugins.excel.attach import bounded, local_path
from sheetcheck.plugins.excel.snapshot import Snapshot, take
from sheetcheck.plugins.places import folder_beside, time_stamped
from sheetcheck.settings import Settings


@dataclass(frozen=True)
class OpenAudit:
    """The audit of a workbook as it stood on the screen; `write_copy` works as long as the block lasts."""

    book: xw.Book
    snapshot: Snapshot
    audit: Audit

    def write_copy(self, *, open_it: bool = True) -> Checked:
        """Write the checked copy beside the workbook under a time-stamped name, and open it in Excel.

        Raises
        ------
        ProgramError, CopyError
        """
        with bounded():
            names = [book.name for book in self.book.app.books]
            target = time_stamped(self.book.name, folder_beside(local_path(self.book)), names)
            done = annotate(self.audit, self.snapshot.path, target)
            if open_it:
                self.book.app.books.open(str(done.copy))
        report = replace(done.copy_report, warnings=(*self.snapshot.warnings, *done.copy_report.warnings))
        return replace(done, copy_report=report)


@contextmanager
def audited(book: xw.Book, settings: Settings | None = None) -> Iterator[OpenAudit]:
    """Audit an open workbook, unsaved edits included; nothing in it is changed, and it is not saved.

    Raises
    ------
    ProgramError, BookError
    """
    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        snapshot = take(book, Path(folder))
        yield OpenAudit(book, snapshot, audit(snapshot.path, settings))
