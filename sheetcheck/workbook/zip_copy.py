"""A zip file written entry by entry; entries of another archive are taken over with their compressed bytes unchanged.

The standard library can only inflate and deflate again, which is slow and gives other bytes. Written after the
published format (APPNOTE 6.3.3, sections 4.3.7 and 4.3.12), without encryption and without zip64.
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import BinaryIO

_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s6H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_UTF8_NAME, _DEFLATE_OPTIONS = 0x800, 0x006
_DATE_1980 = 0x21  # 1980-01-01: the same marks on the same book give the same bytes
_PIECE = 1 << 20
_MOST = 0xFFFFFFFF


class TooLargeError(Exception):
    """The zip file would need the 64-bit form."""


@dataclass(slots=True)
class Entry:
    """One entry as it was written."""

    name: bytes
    flags: int
    method: int
    time: int
    date: int
    crc: int
    packed: int
    size: int
    offset: int
    made_by: int = 20
    external: int = 0

    def local_header(self) -> bytes:
        """Return the header that stands before the entry's bytes."""
        return (
            _LOCAL.pack(
                b"PK\x03\x04", 20, self.flags, self.method, self.time, self.date,
                self.crc, self.packed, self.size, len(self.name), 0,
            )
            + self.name
        )  # fmt: skip

    def central_header(self) -> bytes:
        """Return the entry's line in the central directory."""
        return (
            _CENTRAL.pack(
                b"PK\x01\x02", self.made_by, 20, self.flags, self.method, self.time, self.date,
                self.crc, self.packed, self.size, len(self.name), 0, 0, 0, 0, self.external, self.offset,
            )
            + self.name
        )  # fmt: skip


class ZipCopy:
    """A zip file being written to an open, seekable file. Call `finish` at the end."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.entries: list[Entry] = []

    def take_over(self, source: BinaryIO, info: zipfile.ZipInfo) -> None:
        """Append an entry of another zip file with its name, date and compressed bytes as they are."""
        source.seek(info.header_offset)
        header = source.read(_LOCAL.size)
        if len(header) < _LOCAL.size or not header.startswith(b"PK\x03\x04"):
            raise EOFError(info.filename)
        *_, name_length, extra_length = _LOCAL.unpack(header)
        name = source.read(name_length)
        source.seek(extra_length, 1)
        year, month, day, hour, minute, second = info.date_time
        entry = Entry(
            name=name,
            flags=info.flag_bits & (_UTF8_NAME | _DEFLATE_OPTIONS),
            method=info.compress_type,
            time=hour << 11 | minute << 5 | second // 2,
            date=(year - 1980) << 9 | month << 5 | day,
            crc=info.CRC,
            packed=info.compress_size,
            size=info.file_size,
            offset=self._offset(),
            made_by=info.create_system << 8 | 20,
            external=info.external_attr,
        )
        self.file.write(entry.local_header())
        left = entry.packed
        while left:
            piece = source.read(min(left, _PIECE))
            if not piece:
                raise EOFError(info.filename)
            self.file.write(piece)
            left -= len(piece)
        self.entries.append(entry)

    def add(self, name: str, pieces: Iterable[bytes], level: int = 6) -> Entry:
        """Append an entry, deflating its pieces as they come."""
        entry = Entry(
            name.encode(),
            0 if name.isascii() else _UTF8_NAME,
            zipfile.ZIP_DEFLATED,
            0,
            _DATE_1980,
            0,
            0,
            0,
            self._offset(),
        )
        self.file.write(entry.local_header())
        deflate = zlib.compressobj(level, zlib.DEFLATED, -zlib.MAX_WBITS)
        for piece in pieces:
            entry.crc = zlib.crc32(piece, entry.crc)
            entry.size += len(piece)
            entry.packed += self.file.write(deflate.compress(piece))
        entry.packed += self.file.write(deflate.flush())
        if entry.size > _MOST:
            raise TooLargeError(name)
        end = self._offset()
        self.file.seek(entry.offset)
        self.file.write(entry.local_header())
        self.file.seek(end)
        self.entries.append(entry)
        return entry

    def finish(self) -> None:
        """Write the central directory."""
        start = self._offset()
        for entry in self.entries:
            self.file.write(entry.central_header())
        length, count = self._offset() - start, len(self.entries)
        if count > 0xFFFE:
            raise TooLargeError(f"{count} parts")
        self.file.write(_END.pack(b"PK\x05\x06", 0, 0, count, count, length, start, 0))

    def _offset(self) -> int:
        offset = self.file.tell()
        if offset > _MOST:
            raise TooLargeError(f"{offset} bytes")
        return offset
