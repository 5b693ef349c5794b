"""Opening a book that may be a checked copy, and writing the copy of a book of any format."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sheetcheck.model import CopyReport, Mark, NewSheet
from sheetcheck.words import tr
from sheetcheck.workbook.copy import is_checked_copy, remove_marks, write_copy
from sheetcheck.workbook.grid import Workbook
from sheetcheck.workbook.limits import DEFAULT_LIMITS, Limits
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.weigh_record import without_weigh_sheets

OPEN_XML = {".xlsx", ".xlsm", ".xltx", ".xltm"}


def open_unmarked(path: Path, limits: Limits = DEFAULT_LIMITS) -> Workbook:
    """Read a workbook; of an annotated copy, the maker's own part; of a rescaled book, its recipes.

    Raises
    ------
    BookError
    """
    workbook = without_weigh_sheets(read_workbook(path, limits))
    if path.suffix.lower() not in OPEN_XML or not is_checked_copy(path):
        return workbook
    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        own = Path(folder) / path.name
        remove_marks(path, own)
        return replace(without_weigh_sheets(read_workbook(own, limits)), name=workbook.name, sha256=workbook.sha256)


def write_marked_copy(book: Path, target: Path, marks: Sequence[Mark]) -> CopyReport:
    """Write an annotated copy: an edit of the package, or of a fresh .xlsx with the cells of another format.

    Raises
    ------
    CopyError
    """
    if book.suffix.lower() in OPEN_XML:
        return write_copy(book, target, marks)
    from sheetcheck.workbook.rebuilt import write_as_xlsx  # noqa: PLC0415 - only other formats need it

    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        base = Path(folder) / f"{book.stem}.xlsx"
        write_as_xlsx(read_workbook(book), base)
        report = write_copy(base, target, marks)
    rebuilt = tr(
        "The copy was built anew from a {suffix} file: values are kept, fonts and colours are not.", suffix=book.suffix
    )
    return replace(report, warnings=(rebuilt, *report.warnings))


def write_findings_alone(target: Path, marks: Sequence[Mark], reason: str) -> CopyReport:
    """Write the sheets of findings as a workbook of their own, for a book that cannot be edited without loss.

    Raises
    ------
    CopyError
    """
    from sheetcheck.workbook.new_sheets import write_sheets  # noqa: PLC0415 - seldom needed
    from sheetcheck.workbook.tabs import said  # noqa: PLC0415 - as above

    write_sheets(said([m for m in marks if isinstance(m, NewSheet)]), target)
    return CopyReport(marked=0, warnings=(reason,))
