"""The annotated copy: the package of the book, edited where the marks are and copied byte for byte elsewhere."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from lxml import etree

from sheetcheck.errors import (
    BookError,
    CopyIsBookError,
    DamagedBookError,
    NoMarksError,
    StandsThereError,
    UneditableBookError,
)
from sheetcheck.model import CopyReport, Mark
from sheetcheck.words import tr
from sheetcheck.workbook import original, self_check
from sheetcheck.workbook.marking import Marking
from sheetcheck.workbook.original import Original
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.record import read_record
from sheetcheck.workbook.replacing import replacing, store
from sheetcheck.workbook.safe_xml import BrokenXmlError, RefusedXmlError
from sheetcheck.workbook.target import is_original, is_same_file
from sheetcheck.workbook.unmark import unmarked
from sheetcheck.workbook.workbook_type import conform_type
from sheetcheck.workbook.zip_copy import TooLargeError, ZipCopy

_ODD = (
    ValueError,
    LookupError,
    etree.LxmlError,
    BrokenXmlError,
    RefusedXmlError,
)  # what a value that no program writes ends with


def write_copy(source: str | Path, target: str | Path, marks: Sequence[Mark]) -> CopyReport:
    """Write a copy of a workbook with marks in it; the workbook itself is only read.

    Marks from an earlier copy are taken off first, so that they do not pile up. The copy appears whole or not at all.

    Raises
    ------
    CopyIsBookError
        The target is the book, by whatever name or link.
    CopyNotWritableError
        The target cannot be written.
    UneditableBookError
        The book cannot be edited without losing something of it.
    BookError
        The book cannot be opened.
    """
    source, target = Path(source), Path(target)
    if is_same_file(source, target):
        raise CopyIsBookError(target)
    if not is_checked_copy(source):
        return _write_marked(source, target, marks)
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / source.name
        remove_marks(source, book)
        return _write_marked(book, target, marks)


def remove_marks(copy: str | Path, target: str | Path, *, overwrite: bool = False) -> None:
    """Write the user's workbook that a copy was made of, with all that was edited in the copy since.

    For a copy that nobody edited the parts are those of the book, to the last byte. A file that stands at the target is
    replaced only with `overwrite`, and the book that the copy was made of never.

    Raises
    ------
    StandsThereError
        A file stands there, and `overwrite` is false.
    NoMarksError
        It is no copy of ours, or its record is gone.
    CopyError, BookError
        As of `write_copy`.
    """
    copy, target = Path(copy), Path(target)
    if is_original(copy, target):
        raise CopyIsBookError(target)
    if target.exists() and not overwrite:
        raise StandsThereError(target)
    with Package.open(copy) as package, _understood(package):
        kept = Original.of(package)
        if kept is not None and kept.is_unedited():
            _write(target, kept.write, lambda _: None)
            return
        record = read_record(package)
        if record is None:
            raise NoMarksError(copy)
        edit = unmarked(package, record)
        _write(target, edit.write, lambda draft: self_check.check_unmarked(edit, draft, record))


def is_checked_copy(path: str | Path) -> bool:
    """Whether a file is a copy of ours, whatever was edited in it since."""
    try:
        with Package.open(path) as package:
            return original.PART in package or read_record(package) is not None
    except (BookError, *_ODD):
        return False


def was_edited_since(path: str | Path) -> bool:
    """Whether a copy of ours was saved or changed since it was made; true of any other file."""
    try:
        with Package.open(path) as package:
            kept = Original.of(package)
            return kept is None or not kept.is_unedited()
    except (BookError, *_ODD):
        return True


def our_sheets(path: str | Path) -> tuple[str, ...]:
    """Names that our sheets have in a copy now; none for a file that is no copy."""
    try:
        with Package.open(path) as package:
            record = read_record(package)
            return record.sheets if record else ()
    except (BookError, *_ODD):
        return ()


def _write_marked(source: Path, target: Path, marks: Sequence[Mark]) -> CopyReport:
    with Package.open(source) as book, _understood(book):
        marking = Marking(book, marks)
        conform_type(marking.edit, target)

        def write(out: ZipCopy) -> None:
            marking.edit.write(out)
            original.append(out, marking.edit)

        _write(target, write, lambda draft: self_check.check_marked(marking, draft))
    return marking.report()


def _write(target: Path, write: Callable[[ZipCopy], None], check: Callable[[Path], None]) -> None:
    """Write a package beside the target, check it, and put it in the target's place."""
    with replacing(target) as (file, draft):
        out = ZipCopy(file)
        write(out)
        out.finish()
        store(file)
        check(draft)


@contextmanager
def _understood(book: Package) -> Iterator[None]:
    """Turn what an odd or damaged package makes go wrong into an error that names the book."""
    try:
        yield
    except TooLargeError as error:
        raise UneditableBookError(book.path, tr("the copy would be larger than 4 GB: {error}", error=error)) from error
    except EOFError as error:
        raise DamagedBookError(book.path, tr("{part} is cut short", part=error)) from error
    except _ODD as error:
        raise UneditableBookError(book.path, tr("something in it is not understood: {error}", error=error)) from error
