"""The parts of the book that a copy changes, kept in the copy as they were: its own zip file within the package.

With it a copy that nobody edited gives back the book's parts to the last byte, and a copy that somebody edited is told
from one that nobody did. Spreadsheet programs leave it out when they save; then the record on the hidden sheet serves.
"""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

from sheetcheck.errors import DamagedBookError
from sheetcheck.words import tr
from sheetcheck.workbook.archive import Archive, folded
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.zip_copy import ZipCopy

PART = "sheetcheck/original.dat"  # under ".bin" checkers look for a format of their own in it
_RELATIONSHIP = "urn:sheetcheck:relationships:original"
_TYPE = "application/vnd.sheetcheck.original+zip"  # RFC 6838, 3.2, and RFC 6839, 3.6
_RECORD = "sheetcheck.json"


def announce(edit: PackageEdit) -> None:
    """Declare the part in the package's types and relationships."""
    edit.relate("", _RELATIONSHIP, PART)
    edit.set_type(PART, _TYPE)


def append(out: ZipCopy, edit: PackageEdit) -> None:
    """Add the part to a copy that is otherwise written."""
    archive = edit.source.archive
    data = io.BytesIO()
    kept = ZipCopy(data)
    for key in edit.touched():
        kept.take_over(archive.file, archive.entries[key])
    record = {
        "version": 1,
        "parts": {entry.name.decode("latin-1"): entry.crc for entry in out.entries if not entry.name.endswith(b"/")},
        "order": [info.filename for info in archive.entries.values()],
    }
    kept.add(_RECORD, (json.dumps(record).encode(),))
    kept.finish()
    out.add(PART, (data.getvalue(),), level=0)


class Original:
    """The part as it is found in a copy."""

    def __init__(self, copy: Package) -> None:
        self.copy = copy
        self.file = io.BytesIO(copy.read(PART))
        self.archive = Archive(copy.path, self.file, copy.limits)
        try:
            self.record: dict[str, Any] = json.loads(self.archive.read(_RECORD))
            self.order: list[str] = self.record["order"]
            self.parts: dict[str, int] = self.record["parts"]
        except (ValueError, KeyError, TypeError) as error:
            raise DamagedBookError(copy.path, tr("{part} cannot be read", part=PART)) from error

    @classmethod
    def of(cls, copy: Package) -> Original | None:
        """Return what a workbook keeps of its original, None where it keeps nothing."""
        return cls(copy) if PART in copy else None

    def is_unedited(self) -> bool:
        """Whether every part of the copy is as it was written."""
        infos = (info for key, info in self.copy.archive.entries.items() if key != folded(PART))
        return {_raw_name(info): info.CRC for info in infos} == self.parts

    def write(self, out: ZipCopy) -> None:
        """Write the book as it was before it was marked.

        Raises
        ------
        DamagedBookError
            A part is not what its checksum says: parts are taken over as they are packed, so each is unpacked first.
        """
        for name in self.order:
            key = folded(name)
            holder = self.archive if key in self.archive.entries else self.copy.archive
            for _ in holder.chunks(name):
                pass
            out.take_over(holder.file, holder.info(name))
        for info in self.copy.archive.folders:
            out.take_over(self.copy.archive.file, info)


def _raw_name(info: zipfile.ZipInfo) -> str:
    return info.orig_filename.encode("utf-8" if info.flag_bits & 0x800 else "cp437", "replace").decode("latin-1")
