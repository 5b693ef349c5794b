"""The cells of a worksheet part, read in one pass into arrays and never by the size that the part declares.

A part in the plain form that most programs write is split by one regular expression; any other is first rewritten in
that form (canonical.py). What stands before and after the cells (columns, merges, links) is small and becomes a tree.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from lxml import etree

from sheetcheck.errors import DamagedBookError, HostileBookError
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.canonical import canonical
from sheetcheck.workbook.cells import CellArrays, CellGatherer
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.places import PastTheSheetError, PlaceError
from sheetcheck.workbook.texts import NotPlainError

_START = re.compile(rb"<((?:[\w.-]+:)?)sheetData(?:\s[^<>]*?)?(/?)>")
_END = b"</sheetData>"
_ROW_END = b"</row>"
_LONGEST_HEAD = 1 << 22
_SHORTEST_CELL = len(b"<c><v>1</v></c>")
_CELL_END = re.compile(rb"</(?:[\w.-]+:)?c>")
_LONGEST_ROW = 64 << 20
_OTHER_ENCODING = re.compile(
    rb"""\A(?:\xef\xbb\xbf)?<\?xml[^>]*?\sencoding\s*=\s*["'](?!utf-8["']|us-ascii["'])""", re.IGNORECASE
)


@dataclass(frozen=True)
class SheetParts:
    """A worksheet: its cells, and all else as a tree in which `sheetData` is empty."""

    cells: CellArrays
    frame: etree._Element


def count_cells_first(package: Package, parts: Iterable[str], budget: Budget) -> None:
    """Count the cells of parts so large that there may be too many, which takes a tenth of the time to read them.

    Raises
    ------
    HostileBookError
        There are too many.
    """
    cells_left, _ = budget.left()
    present = [part for part in parts if part in package]
    if sum(package.archive.info(part).file_size for part in present) < cells_left * _SHORTEST_CELL:
        return
    count = 0
    for part in present:
        seam = b""
        for chunk in package.chunks(part):
            piece = seam + chunk
            count += piece.count(b"</c>") or len(_CELL_END.findall(piece))
            last_tag = piece[piece.rfind(b"<") :]
            seam = b"" if b">" in last_tag else last_tag
            budget.require_cells(count)


def read_sheet(package: Package, part: str, shared: list[str], budget: Budget) -> SheetParts:
    """Read one worksheet part.

    Raises
    ------
    DamagedBookError, HostileBookError
        Naming the part.
    """
    left = budget.left()
    try:
        with package.archive.parsing(part):
            try:
                return _read(package.chunks(part), CellGatherer(shared, budget), package.limits.tree_bytes)
            except NotPlainError:
                budget.restore(left)
                chunks = canonical(package.chunks(part))
                return _read(chunks, CellGatherer(shared, budget), package.limits.tree_bytes)
    except PastTheSheetError as error:
        raise HostileBookError(package.path, tr("{part} has {fault}", part=part, fault=error)) from error
    except PlaceError as error:
        raise DamagedBookError(package.path, tr("{part} speaks of {fault}", part=part, fault=error)) from error
    except NotPlainError as error:
        raise DamagedBookError(package.path, f"{part}: {error}") from error


def _read(chunks: Iterable[bytes], gatherer: CellGatherer, longest_frame: int) -> SheetParts:
    pieces = iter(chunks)
    frame, rest = _head(pieces)
    if rest is None:
        root = safe_xml.tree(frame)
        if root.find("{*}sheetData/{*}row") is not None:
            raise NotPlainError(tr("another encoding"))
        return SheetParts(gatherer.finish(), root)
    frame += _rows(rest, pieces, gatherer)
    for piece in pieces:
        frame += piece
        if len(frame) > longest_frame:
            raise NotPlainError(tr("more beside its cells than is read"))
    return SheetParts(gatherer.finish(), safe_xml.tree(frame))


def _head(pieces: Iterator[bytes]) -> tuple[bytes, bytes | None]:
    """Return what stands before the rows, and the first bytes of the rows; the whole part where it has no rows."""
    buffer = b""
    for piece in pieces:
        buffer += piece
        start = _START.search(buffer)
        if start:
            head, prefix, closed = buffer[: start.start()], start[1], start[2]
            if prefix or b"<!" in head or _OTHER_ENCODING.match(head):
                raise NotPlainError(tr("a prefix, a comment or another encoding"))
            rows = buffer[start.end() :]
            return head + b"<sheetData/>", _END + rows if closed else rows
        if len(buffer) > _LONGEST_HEAD:
            raise NotPlainError(tr("no cells found"))
    return buffer, None


def _rows(buffer: bytes, pieces: Iterator[bytes], gatherer: CellGatherer) -> bytes:
    """Give the rows to the gatherer, block by block, and return what of the last piece stands after them."""
    held, length, seam = [buffer], len(buffer), buffer
    while True:
        if _ROW_END in seam or _END in seam:
            buffer = b"".join(held)
            end = buffer.find(_END)
            if end >= 0:
                gatherer.add(buffer[:end])
                return buffer[end + len(_END) :]
            cut = buffer.rfind(_ROW_END) + len(_ROW_END)
            gatherer.add(buffer[:cut])
            held, length = [buffer[cut:]], len(buffer) - cut
        elif length > _LONGEST_ROW:
            raise NotPlainError(tr("a row that does not end"))
        piece = next(pieces, None)
        if piece is None:
            raise NotPlainError(tr("it ends in the middle of its rows"))
        seam = held[-1][-len(_END) :] + piece
        held.append(piece)
        length += len(piece)
