"""A file equal to a workbook that is open in Excel, unsaved edits included; the workbook itself is not saved."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import xlwings as xw

from sheetcheck.errors import BookError, EncryptedBookError, UneditableBookError
from sheetcheck.plugins.excel.attach import bounded, is_busy, local_path
from sheetcheck.plugins.excel.differences import differences, same_sheets
from sheetcheck.plugins.excel.screen import read_screen
from sheetcheck.words import later, tr
from sheetcheck.workbook.marked import OPEN_XML
from sheetcheck.workbook.overlay import lay_over
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.rebuilt import write_as_xlsx

BUILT_ANEW = later(
    "The copy was built anew from what stands on the screen: values, formulas and number formats are kept, fonts and "
    "colours are not. Save the workbook and check again for a copy that keeps everything."
)


@dataclass(frozen=True)
class Snapshot:
    """The file, and what there is to say of it."""

    path: Path
    how: str  # Excel's own copy | the file | the file with unsaved edits | built anew
    warnings: tuple[str, ...] = ()


def take(book: xw.Book, folder: Path) -> Snapshot:
    """Write the snapshot into a folder, under the workbook's own name.

    Raises
    ------
    EncryptedBookError
        The workbook has a password: no copy without one is made of it.
    ProgramError, BookError, CopyError
    """
    with bounded():
        return _own_copy(book, folder) or _file_with_edits(book, folder) or _built_anew(book, folder)


def _own_copy(book: xw.Book, folder: Path) -> Snapshot | None:
    """Let Excel write a copy, which only Excel for Windows can (macOS has no such command)."""
    target = _target(book, folder)
    if target is None:
        return None
    try:
        book.api.SaveCopyAs(str(target))
        read_workbook(target)  # of a book of another format it is no Open XML file, whatever its name
    except Exception as error:  # each platform's bridge has errors of its own
        if is_busy(error) or isinstance(error, EncryptedBookError):
            raise
        target.unlink(missing_ok=True)
        return None
    return Snapshot(target, "Excel's own copy")


def _target(book: xw.Book, folder: Path) -> Path | None:
    name = Path(book.name)
    extension = name.suffix.lower() or ".xlsx"  # a book never saved has none
    return folder / f"{name.stem}{extension}" if extension in OPEN_XML else None


def _file_with_edits(book: xw.Book, folder: Path) -> Snapshot | None:
    path = local_path(book)
    if path is None or path.suffix.lower() not in OPEN_XML:
        return None
    try:
        file, screen = read_workbook(path), read_screen(book)
        if not same_sheets(file, screen):
            return None
        edits = differences(file, screen)
        if not edits:
            return Snapshot(path, "the file")
        lay_over(path, folder / path.name, edits)
    except EncryptedBookError:
        raise
    except (BookError, UneditableBookError):
        return None  # what is on the screen can still be read
    return Snapshot(folder / path.name, "the file with unsaved edits")


def _built_anew(book: xw.Book, folder: Path) -> Snapshot:
    target = folder / f"{Path(book.name).stem}.xlsx"
    write_as_xlsx(read_screen(book), target)
    return Snapshot(target, "built anew", (tr(BUILT_ANEW),))
