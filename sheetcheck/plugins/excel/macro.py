"""The add-in's macro, changed where it would ask the workbook in front of the user for settings.

The template's macro looks for its settings on a sheet of the active workbook, then on one of the add-in, then in a file
beside the active workbook; one of them is the interpreter that the button runs. So a workbook from a stranger could
name the program. It is made to ask the add-in in each of these places, and to tell the shell the name of the add-in,
not of the workbook: with no workbook open it would end in an error, and a shell carries out some of the signs that a
name may hold. Which workbook is in front, our Python asks Excel itself. The template holds its macros as source alone
(MS-OVBA 2.3.4.1: version 0xFFFF, nothing compiled is used), compressed in chunks (MS-OVBA 2.4.1) of which only those
that change are written anew.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import olefile

from sheetcheck.plugins.errors import InstallError
from sheetcheck.words import tr

STREAM = ["VBA", "xlwings"]
_ASKED = re.compile(rb"ActiveWorkbook((?:\.\w+)?)")
ASKING = (  # every place where the active workbook is asked for what the macro is to do
    b"            Set wb = ActiveWorkbook\n        Else\n            Set wb = ThisWorkbook",
    b"GetDirectoryPath(ActiveWorkbook) & pathSeparator",
    b'If SheetExists(ActiveWorkbook, PROJECT_NAME & ".conf") = True Then',
    b"If GetConfigFromSheet(ActiveWorkbook).Exists(configKey) = True Then",
    b"GetConfig = GetConfigFromSheet(ActiveWorkbook).Item(configKey)",
    b'If GetFullName(ActiveWorkbook) <> "" Then',
    b'If InStr(ActiveWorkbook.FullName, "://") = 0 Then',
    b"ActiveFullName = ToPosixPath(ActiveWorkbook.FullName)",
    b"        Else\n            ActiveFullName = ActiveWorkbook.FullName",
    b"    #Else\n        ActiveFullName = ActiveWorkbook.FullName",
    b'ParameterString + "|" + ActiveWorkbook.Name',
    b'" --wb=" & """" & ActiveWorkbook.Name',
)
_SOURCE_ALONE = b"\xff\xff"
_CHUNK = 4096  # bytes of text that a chunk holds
_SHORTEST = 3  # bytes that are worth a reference to an earlier place
_SIGNATURE, _COMPRESSED = 0b011 << 12, 1 << 15
_SIZE_IN_ENTRY, _ENTRY = 120, 128  # of a directory entry (MS-CFB 2.6.1)


def asks_the_add_in(project: bytes) -> bytes:
    """Return a macro project that takes its settings from the add-in alone.

    Raises
    ------
    InstallError
        The project is not as expected.
    """
    with olefile.OleFileIO(io.BytesIO(project)) as parts:
        if parts.openstream(["VBA", "_VBA_PROJECT"]).read()[2:4] != _SOURCE_ALONE:
            raise InstallError(_other_template())
        stream = parts.openstream(STREAM).read()
        start = _start_of_source(stream)
        return _with_stream(parts, project, stream[:start] + _changed(stream[start:]))


def _other_template() -> str:
    return tr("The macro in the add-in template of xlwings is not as expected. Install another version of xlwings.")


def _start_of_source(stream: bytes) -> int:
    """Return where the compressed source begins: what no program compiled goes before it."""
    start = stream.find(b"\x00Attribut")
    if start < 3:
        raise InstallError(_other_template())
    return start - 3


# --------------------------------------------------------------------------- the source


def _changed(container: bytes) -> bytes:
    chunks = list(_chunks(container))
    texts = [_unpacked(chunk) for chunk in chunks]
    text = bytearray(b"".join(texts))
    for asking in ASKING:
        if text.count(asking) != 1:
            raise InstallError(_other_template())
        text[:] = text.replace(asking, _ASKED.sub(rb"ThisWorkbook\1  ", asking))  # of one length: chunks keep theirs
    ends = [0]
    for old in texts:
        ends.append(ends[-1] + len(old))
    after = [bytes(text[first:end]) for first, end in pairwise(ends)]
    packed = [chunk if old == new else _packed(new) for chunk, old, new in zip(chunks, texts, after, strict=True)]
    return b"\x01" + b"".join(packed)


def _chunks(container: bytes) -> Iterator[bytes]:
    place = 1
    while place < len(container):
        size = (int.from_bytes(container[place : place + 2], "little") & 0x0FFF) + 3
        yield container[place : place + size]
        place += size


def _unpacked(chunk: bytes) -> bytes:
    """Return the text of a chunk (MS-OVBA 2.4.1.3.1 to 2.4.1.3.5)."""
    if not int.from_bytes(chunk[:2], "little") & _COMPRESSED:
        return chunk[2:]
    text, place = bytearray(), 2
    while place < len(chunk):
        flags, place = chunk[place], place + 1
        for bit in range(8):
            if place >= len(chunk):
                break
            if flags >> bit & 1:
                token, place = int.from_bytes(chunk[place : place + 2], "little"), place + 2
                bits = _bits_of_length(len(text))
                offset, length = (token >> bits) + 1, (token & (1 << bits) - 1) + _SHORTEST
                for _ in range(length):
                    text.append(text[-offset])
            else:
                text.append(chunk[place])
                place += 1
    return bytes(text)


def _packed(text: bytes) -> bytes:
    """Return a chunk that holds a text (MS-OVBA 2.4.1.3.7 to 2.4.1.3.19)."""
    data, place = bytearray(), 0
    while place < len(text):
        flags, tokens = 0, bytearray()
        for bit in range(8):
            if place >= len(text):
                break
            offset, length = _earlier(text, place)
            if length:
                flags |= 1 << bit
                token = (offset - 1) << _bits_of_length(place) | (length - _SHORTEST)
                tokens += token.to_bytes(2, "little")
            else:
                tokens.append(text[place])
            place += length or 1
        data.append(flags)
        data += tokens
    if len(data) >= _CHUNK:
        raise InstallError(_other_template())
    return (len(data) - 1 | _SIGNATURE | _COMPRESSED).to_bytes(2, "little") + bytes(data)


def _bits_of_length(place: int) -> int:
    """Return how many bits of a reference tell the length, at so many bytes of text (CopyToken Help)."""
    return 16 - max((place - 1).bit_length(), 4)


def _earlier(text: bytes, place: int) -> tuple[int, int]:
    """Return how far back the longest run lies that goes on as the text does here, and its length; 0, 0 for none."""
    most = min((1 << _bits_of_length(place)) - 1 + _SHORTEST, len(text) - place)
    found = 0, 0
    for length in range(_SHORTEST, most + 1):
        at = text.rfind(text[place : place + length], 0, place + length - 1)
        if at < 0:
            break
        found = place - at, length
    return found


# --------------------------------------------------------------------------- the compound file


def _with_stream(
    parts: Any,  # noqa: ANN401 - its stubs know too little
    project: bytes,
    stream: bytes,
) -> bytes:
    """Put another stream in the place of the module's: it fills the same sectors, or it is refused."""
    number = parts._find(STREAM)  # noqa: SLF001 - the library has no other name for it
    entry, size = parts.direntries[number], parts.sector_size
    sectors = _chain(parts.fat, entry.isectStart)
    if len(stream) > size * len(sectors) or len(stream) <= parts.minisectorcutoff:
        raise InstallError(_other_template())
    made = bytearray(project)
    padded = stream.ljust(size * len(sectors), b"\x00")
    for place, sector in enumerate(sectors):
        made[size * (sector + 1) : size * (sector + 2)] = padded[size * place : size * (place + 1)]
    directory = _chain(parts.fat, parts.first_dir_sector)
    at = size * (directory[number * _ENTRY // size] + 1) + number * _ENTRY % size + _SIZE_IN_ENTRY
    made[at : at + 4] = len(stream).to_bytes(4, "little")
    return bytes(made)


def _chain(fat: list[int], first: int) -> list[int]:
    """Return the sectors of a stream, in order."""
    found = []
    while first < len(fat):
        found.append(first)
        first = fat[first]
    return found
