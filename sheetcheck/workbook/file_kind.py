"""What kind of file this is, by what it holds and not by its name; a sentence for those that cannot be read."""

from __future__ import annotations

import mmap
from enum import Enum, auto
from pathlib import Path
from typing import BinaryIO

from sheetcheck.errors import EncryptedBookError, NotAWorkbookError
from sheetcheck.words import later, tr
from sheetcheck.workbook.archive import Archive

_ZIP = b"PK"
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # Compound File Binary: .xls, and any encrypted workbook
_OLD_XLS = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")  # a stream of that name, MS-OFFCRYPTO 2.3.4.4
_DELIMITED = (".csv", ".tsv", ".tab", ".txt")
_OPENDOCUMENT = "application/vnd.oasis.opendocument."
_OTHERS = (
    (b"%PDF", later("it holds a PDF document")),
    (b"{\\rtf", later("it holds a text document")),
    (b"\x89PNG", later("it holds a picture")),
    (b"\xff\xd8\xff", later("it holds a picture")),
    (b"<html", later("it holds a web page")),
    (b"<!doctype html", later("it holds a web page")),
    (b"<?xml", later("it holds an XML file")),
    (b"\x1f\x8b", later("it holds a compressed archive")),
    (b"7z\xbc\xaf", later("it holds a compressed archive")),
    (b"Rar!", later("it holds a compressed archive")),
)


class FileKind(Enum):
    """The kinds that can be read."""

    PACKAGE = auto()  # a zip archive: Open XML or OpenDocument
    XLS = auto()
    DELIMITED = auto()


def file_kind(path: Path, file: BinaryIO) -> FileKind:
    """Return the kind of an open file, and leave it at its start.

    Raises
    ------
    EncryptedBookError, NotAWorkbookError
        Where it cannot be read; the sentence says what it seems to be.
    """
    file.seek(0)
    start = file.read(4096)
    file.seek(0)
    if start.startswith(_ZIP):
        return FileKind.PACKAGE
    if start.startswith(_COMPOUND):
        if _holds(file, _ENCRYPTED):
            raise EncryptedBookError(path)
        return FileKind.XLS
    if start.startswith(_OLD_XLS):
        return FileKind.XLS
    if path.name.startswith("~$"):
        raise NotAWorkbookError(path, tr("it is what the spreadsheet program keeps beside a book that is open"))
    for signature, meaning in _OTHERS:
        if start.removeprefix(b"\xef\xbb\xbf").lstrip()[: len(signature)].lower() == signature.lower():
            raise NotAWorkbookError(path, tr(meaning))
    if path.suffix.lower() in _DELIMITED:
        return FileKind.DELIMITED
    raise NotAWorkbookError(path)


def refuse_other_kinds(path: Path, file: BinaryIO) -> None:
    """Raise where an open file is no package.

    Raises
    ------
    EncryptedBookError, NotAWorkbookError
        As `file_kind` does.
    """
    if file_kind(path, file) is not FileKind.PACKAGE:
        raise NotAWorkbookError(path, tr("only Open XML workbooks can be edited"))


def is_opendocument(archive: Archive) -> bool:
    """Whether a zip archive is an OpenDocument spreadsheet.

    Raises
    ------
    NotAWorkbookError
        Where it is another OpenDocument file.
    """
    if "mimetype" not in archive or "content.xml" not in archive:
        return False
    media_type = archive.read("mimetype", 200).decode("ascii", "replace").strip()
    if not media_type.startswith(_OPENDOCUMENT):
        return False
    if not media_type.startswith(f"{_OPENDOCUMENT}spreadsheet"):
        raise NotAWorkbookError(archive.path, tr("a text document, a presentation or a drawing"))
    return True


def _holds(file: BinaryIO, wanted: bytes) -> bool:
    with mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
        return data.find(wanted) >= 0
