"""Where the annotated copy goes, and what stands in its way."""

from __future__ import annotations

import re
from itertools import count
from pathlib import Path

from sheetcheck.errors import CopyIsBookError, CopyNotWritableError
from sheetcheck.words import tr

_OF_A_COPY = re.compile(r"\.checked(-\d+)?$")
WITH_MACROS = {".xlsm", ".xltm"}  # their copy keeps the macros, and so is an .xlsm; every other copy is an .xlsx


def choose_target(book: Path, out: Path | None, *, overwrite: bool = False) -> Path:
    """Return the path that a copy of `book` may be written to.

    Without `out` it is `<name>.checked.xlsx` beside the book. A file there that this package did not make, or a copy
    that was changed since it was made, is left alone unless `overwrite` is true: the first free numbered name is
    returned instead.

    Raises
    ------
    CopyIsBookError
        `out` is the book, by whatever name or link, or the one that `book` is a checked copy of.
    CopyNotWritableError
        Its folder does not exist, or is no folder.
    """
    target = out if out is not None else book.with_name(f"{book.stem}.checked{extension_of_copy(book)}")
    if out is not None and target.is_dir():
        target = target / f"{book.stem}.checked{extension_of_copy(book)}"
    if is_original(book, target):
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


def is_original(book: Path, target: Path) -> bool:
    """Tell whether a target is the book, or the one that a book named as our copies are was made of."""
    own_name = _OF_A_COPY.sub("", book.stem)
    originals = [book] if own_name == book.stem else [book, *_beside(book.parent, own_name)]
    return any(is_same_file(original, target) for original in originals)


def _beside(folder: Path, stem: str) -> list[Path]:
    """Return the workbooks of a name, whatever their kind."""
    return [path for path in folder.iterdir() if path.stem == stem] if folder.is_dir() else []


def is_same_file(book: Path, target: Path) -> bool:
    """Tell whether two paths lead to one file."""
    if target.exists() and book.exists():
        return target.samefile(book)
    return target.absolute() == book.absolute()


def _may_be_replaced(target: Path) -> bool:
    from sheetcheck.workbook.copy import is_checked_copy, was_edited_since  # noqa: PLC0415 - loads lxml only if needed

    return target.is_file() and is_checked_copy(target) and not was_edited_since(target)
