"""The zip archive of a workbook, opened so that a hostile one cannot exhaust the machine.

The central directory is judged before anything is inflated, and bytes are counted while inflating, since headers lie.
Nothing is ever unpacked to disk. The file is opened for reading only.
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO
from urllib.parse import unquote

from lxml import etree

from sheetcheck.errors import (
    DamagedBookError,
    EncryptedBookError,
    HostileBookError,
    NotAWorkbookError,
    UnsafeBookError,
)
from sheetcheck.words import number, tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.limits import Limits

CHUNK = 1 << 16
_END_RECORD = b"PK\x05\x06"
_END_RECORD_64 = b"PK\x06\x06"
_FEWEST_BYTES_PER_ENTRY = 47  # of a directory entry with a name of one letter
_BYTES_PER_ENTRY = 256  # names of parts are short: more on average means padding
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # Open Packaging Conventions, annex C.5


def folded(name: str) -> str:
    """Return a part name as names are compared: no leading slash, no escapes, no difference of case."""
    return unquote(name.replace("\\", "/").lstrip("/")).lower()


class Archive:
    """The entries of a zip file, by folded name.

    Raises
    ------
    DamagedBookError, EncryptedBookError, HostileBookError, NotAWorkbookError
        When opened, or while a part is read.
    """

    def __init__(self, path: Path, file: BinaryIO, limits: Limits) -> None:
        self.path = path
        self.file = file
        self.limits = limits
        self._refuse_long_directory()
        try:
            self._zip = zipfile.ZipFile(file)
        except (zipfile.BadZipFile, NotImplementedError, OSError, ValueError, struct.error) as error:
            raise DamagedBookError(path, _reason(error)) from error
        self.entries: dict[str, zipfile.ZipInfo] = {}
        self.folders: list[zipfile.ZipInfo] = []  # some programs list them beside the parts
        for info in self._zip.infolist():
            self._admit(info)
        if not self.entries:
            raise NotAWorkbookError(path, tr("an empty archive"))
        self._refuse_large_contents()

    def _refuse_long_directory(self) -> None:
        """Judge the length of the central directory before an object is made of each entry."""
        length = _directory_length(self.file)
        longest = self.limits.parts * _BYTES_PER_ENTRY
        if length is not None and length > longest:
            said = tr(
                "its list of parts has {bytes} bytes, at most {most} are read",
                bytes=number(length, 0),
                most=number(longest, 0),
            )
            raise HostileBookError(self.path, said)

    def _admit(self, info: zipfile.ZipInfo) -> None:
        if not info.filename:
            raise DamagedBookError(self.path, tr("it holds a part without a name"))
        if info.is_dir():
            self.folders.append(info)
            return
        key = folded(info.filename)
        if key in self.entries:
            raise DamagedBookError(self.path, tr("it holds two parts named {part}", part=info.filename))
        self.entries[key] = info

    def _refuse_large_contents(self) -> None:
        limits, entries = self.limits, self.entries
        count = len(entries) + len(self.folders)
        if count > limits.parts:
            said = tr(
                "{parts} parts, at most {most} are read",
                parts=number(count, 0),
                most=number(limits.parts, 0),
            )
            raise HostileBookError(self.path, said)
        total = sum(info.file_size for info in entries.values())
        most = limits.package_bytes
        if total > most:
            said = tr("{size} inside, at most {most} are read", size=_megabytes(total), most=_megabytes(most))
            raise HostileBookError(self.path, said)
        packed = sum(info.compress_size for info in entries.values())
        if total > limits.package_ratio_from and total > limits.part_ratio * packed:
            times = number(total // max(packed, 1), 0)
            raise HostileBookError(self.path, tr("it unpacks to {times} times its size", times=times))
        for info in entries.values():
            size, packed = info.file_size, max(info.compress_size, 1)
            if size > limits.part_bytes:
                said = tr("{part} holds {size}", part=info.filename, size=_megabytes(size))
                raise HostileBookError(self.path, said)
            if size > limits.part_ratio_from and size > limits.part_ratio * packed:
                times = number(size // packed, 0)
                said = tr("{part} unpacks to {times} times its size", part=info.filename, times=times)
                raise HostileBookError(self.path, said)

    def __contains__(self, name: str) -> bool:
        return folded(name) in self.entries

    def chunks(self, name: str, most: int | None = None) -> Iterator[bytes]:
        """Inflate a part piece by piece, never past its declared size or `most` bytes."""
        info = self.info(name)
        most = self.limits.part_bytes if most is None else most
        count = 0
        try:
            with self._zip.open(info) as part:
                while chunk := part.read(CHUNK):
                    count += len(chunk)
                    if count > most:
                        said = tr("{part} holds more than {size}", part=info.filename, size=_megabytes(most))
                        raise HostileBookError(self.path, said)
                    yield chunk
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, struct.error) as error:
            raise DamagedBookError(self.path, f"{info.filename}: {_reason(error)}") from error

    def read(self, name: str, most: int | None = None) -> bytes:
        """Inflate a whole part."""
        return b"".join(self.chunks(name, most))

    def tree(self, name: str) -> etree._Element:
        """Return the root element of a part that is small enough to be held as a tree; DTDs are refused."""
        with self.parsing(name):
            return safe_xml.tree(self.read(name, self.limits.tree_bytes))

    @contextmanager
    def parsing(self, name: str) -> Iterator[None]:
        """Turn faults of a part's XML into errors that name the part."""
        try:
            yield
        except safe_xml.RefusedXmlError as error:
            raise UnsafeBookError(self.path, f"{name} {error}") from error
        except safe_xml.BrokenXmlError as error:
            raise DamagedBookError(self.path, f"{name}: {error}") from error

    def info(self, name: str) -> zipfile.ZipInfo:
        """Return the directory entry of a part."""
        info = self.entries.get(folded(name))
        if info is None:
            raise DamagedBookError(self.path, tr("its part {part} is missing", part=name))
        if info.flag_bits & 1:
            raise EncryptedBookError(self.path)
        if info.compress_type not in _METHODS:
            said = tr("{part} is packed in a way that workbooks are not", part=info.filename)
            raise DamagedBookError(self.path, said)
        return info

    def close(self) -> None:
        """Close the archive and the file."""
        self._zip.close()
        self.file.close()


def _directory_length(file: BinaryIO) -> int | None:
    """Length in bytes of the central directory as the end record states it, None where there is no such record."""
    size = file.seek(0, 2)
    start = file.seek(max(0, size - 65_600))
    tail = file.read()
    end = tail.rfind(_END_RECORD)
    if end < 0 or end + 22 > len(tail):
        return None
    length = int(struct.unpack_from("<L", tail, end + 12)[0])
    if length == 0xFFFFFFFF and end >= 20:  # the zip64 record holds it; a locator of 20 bytes says where that is
        offset = struct.unpack_from("<Q", tail, end - 12)[0]
        return _directory_length_64(file, min(offset, max(start, 0) + end), length)
    return length


def _directory_length_64(file: BinaryIO, offset: int, otherwise: int) -> int:
    file.seek(offset)
    record = file.read(56)
    if len(record) < 56 or not record.startswith(_END_RECORD_64):
        return otherwise
    return int(struct.unpack_from("<Q", record, 40)[0])


def _reason(error: Exception) -> str:
    return str(error) or type(error).__name__


def _megabytes(size: int) -> str:
    return f"{size / (1 << 20):,.0f} MB"
