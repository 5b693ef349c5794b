"""An .xls file written byte by byte."""

from __future__ import annotations

import struct
from pathlib import Path


def record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def write_old_xls(path: Path) -> Path:
    """A sheet of the oldest kind: a bare stream of records."""
    place = struct.pack("<HH", 4, 1) + bytes(3)
    records = [
        record(0x0009, struct.pack("<HH", 2, 0x10)),
        record(0x0004, struct.pack("<HH", 0, 0) + bytes(3) + b"\x04Lard"),
        record(0x0003, place + struct.pack("<d", 80.5)),
        record(0x0005, struct.pack("<HH", 5, 1) + bytes(3) + b"\x07\x01"),
        record(0x000A, b""),
    ]
    path.write_bytes(b"".join(records))
    return path
