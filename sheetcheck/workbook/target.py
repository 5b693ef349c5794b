"""Where the annotated copy goes, and what stands in its way."""

from __future__ import annotations

from itertools import count
from pathlib import Path

from sheetcheck.errors import CopyIsBookError, CopyNotWritableError
from sheetcheck.words import tr

WITH_MACROS = {".xlsm", ".xltm"}  # their copy keeps the macros, and so is an .xlsm; every other copy is an .xlsx


def choose_target(book: Path, out: Path | None, *, overwrite: bool = False) -> Path:
    """Return the path that a copy of `book` may be written to.

    Without `out` it is `<name>.checked.xlsx` beside the book. A file there that this package did not make, or a copy
    that was changed since it was made, is left alone unless `overwrite` is true: the first free numbered name is
    returned instead.

    Raises
    ------
    CopyIsBookError
        `out` is the book, by whatever name or link.
    CopyNotWritableError
        Its folder does not exist, or is no folder.
    """
    target = out if out is not None else book.with_name(f"{book.stem}.checked{extension_of_copy(book)}")
    if out is not None and target.is_dir():
        target = target / f"{book.stem}.checked{extension_of_copy(book)}"
    if is_same_file(book, target):
        raise CopyIsBookError(target)
    if not target.parent.is_dir():
        raise CopyNotWritableError(target, tr("there is no folder {folder}", folder=target.parent))
    if overwrite or not target.exists() or _may_be_replaced(target):
        return target
    for number in count(2):
        numbered = target.with_name(f"{target.stem}-{number}{target.suffix}")
        if not numbered.exists() or (not is_same_file(book, numbered) and _may_be_replaced(numbered)):
            return numbered
    raise AssertionError  # count never ends


def extension_of_copy(book: Path) -> str:
    """Return the extension that an annotated copy of this book has."""
    return ".xlsm" if book.suffix.lower() in WITH_MACROS else ".xlsx"


def is_same_file(book: Path, target: Path) -> bool:
    """Tell whether two paths lead to one file."""
    if target.exists() and book.exists():
        return target.samefile(book)
    return target.absolute() == book.absolute()


def _may_be_replaced(target: Path) -> bool:
    from sheetcheck.workbook.copy import is_checked_copy, was_edited_since  # noqa: PLC0415 - loads lxml only if needed

    return target.is_file() and is_checked_copy(target) and not was_edited_since(target)
