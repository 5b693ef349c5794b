"""A worksheet part cut into what stands before its rows, the rows as bytes, and what stands after them.

Bytes and not elements, for two reasons: what is not ours passes through unchanged to the last byte, and a sheet of
half a million rows needs neither the time nor the memory of a tree.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from lxml import etree

from sheetcheck.errors import UneditableBookError
from sheetcheck.model import column_letters
from sheetcheck.words import later, tr
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.package_edit import serialise

_SHEET_DATA = re.compile(rb"<((?:[\w.-]+:)?)sheetData(?:\s[^>]*?)?(/?)>")
_REFERENCE = re.compile(rb"\sr\s*=\s*[\"']\$?([A-Za-z]*)\$?(\d+)[\"']")
_STYLE = re.compile(rb"(\ss\s*=\s*[\"'])(\d*)([\"'])")
_UTF16_STARTS = (b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<")
_NOT_PLAIN = re.compile(rb"<[!?]")
_NO_END = later("the rows of a sheet do not come to an end")
_DECLARED_ENCODING = re.compile(rb"^[^>]{0,100}\sencoding\s*=\s*[\"']([\w.-]+)[\"']")


class Row(NamedTuple):
    """One row: the bytes from the end of the row before it, its number, its attributes, its element."""

    before: bytes
    number: int
    attributes: bytes
    raw: bytes  # the whole element
    start: int  # where its cells begin and end in `raw`
    end: int

    @property
    def body(self) -> bytes:
        """The cells."""
        return self.raw[self.start : self.end]


class CellBytes(NamedTuple):
    """One cell of a row and where it stands in the row's body."""

    start: int
    end: int
    column: int
    attributes: bytes
    content: bytes  # between the tags, b"" for an empty element
    referenced: bool  # states its own position

    @property
    def holds_something(self) -> bool:
        """Whether there is a value, a formula or a text in it."""
        return bool(self.content.strip())


class LastCell(NamedTuple):
    """The last cell of a row: its column, where it ends in the bytes looked at, whether it holds anything."""

    column: int
    end: int
    holds_something: bool


class SheetRows:
    """A worksheet part, read once from front to back.

    `head` is there from the start, `tail` once `rows` has come to its end. `plain` says whether the part's own bytes
    can be cut; where it is not known it is found out, which takes a pass through the part.
    """

    def __init__(self, package: Package, part: str, *, plain: bool | None = None) -> None:
        self.plain = is_plain(package, part) if plain is None else plain
        self._chunks = package.chunks(part) if self.plain else iter((_normalised(package, part),))
        self._path = package.path
        self._buffer = b""
        match = self._find_sheet_data()
        self.prefix = match.group(1)
        self.head = self._buffer[: match.start()]
        self.opening = match.group()
        self.is_empty = bool(match.group(2))
        self._buffer = self._buffer[match.end() :]
        self.tail = b""
        name = re.escape(self.prefix)
        self._row = re.compile(rb"<" + name + rb"row(?=[\s/>])((?: r=\"(\d+)\")?[^>]*?)(/?)>")
        self._plain_row = re.compile(rb"<" + name + rb"row( r=\"([0-9]+)\"(?: [^<>/]*)?)>")
        self._row_end = b"</" + self.prefix + b"row>"
        self._data_end = re.compile(rb"</" + name + rb"sheetData\s*>")
        self._cell = re.compile(rb"<" + name + rb"c(?=[\s/>])([^>]*?)(/?)>")
        self._plain_cell = re.compile(rb"<" + name + rb"c r=\"([A-Z]+)[0-9]+\"[^<>/]*(/?)>")
        self._plain_cells = re.compile(
            rb"<" + name + rb"c( r=\"([A-Z]+)[0-9]+\"[^<>/]*)(?:/>|>(.*?)</" + name + rb"c>)", re.DOTALL
        )
        self._cell_start, self._cell_end = b"<" + self.prefix + b"c ", b"</" + self.prefix + b"c>"

    def _find_sheet_data(self) -> re.Match[bytes]:
        while True:
            match = _SHEET_DATA.search(self._buffer)
            if match:
                return match
            piece = self._more(len(self._buffer))
            if not piece:
                raise UneditableBookError(self._path, tr("a sheet has no place for rows"))
            self._buffer += piece

    def _more(self, waiting: int) -> bytes:
        """Return the next bytes, as many as wait already: a row of 100 MB is so looked at a few times and no more."""
        pieces: list[bytes] = []
        length = 0
        while (length < waiting or not pieces) and (piece := next(self._chunks, None)) is not None:
            pieces.append(piece)
            length += len(piece)
        return b"".join(pieces)

    def rows(self) -> Iterator[Row]:
        """Yield the rows; bytes after the last one up to the end of the rows are left in `tail`.

        Rows in the form that most programs write, one right behind the other, are cut many at a time.
        """
        last, held, row_end = 0, self._buffer, self._row_end
        while not self.is_empty and b"sheetData" not in held:
            *pieces, rest = held.split(row_end)
            for index, piece in enumerate(pieces):
                match = self._plain_row.match(piece)
                if match is None:
                    yield from self._other_rows(row_end.join((*pieces[index:], rest)), last)
                    return
                last = int(match.group(2))
                yield Row(b"", last, match.group(1), piece + row_end, match.end(), len(piece))
            following = self._more(len(rest))
            if not following:
                raise UneditableBookError(self._path, tr(_NO_END))
            held = rest + following
        yield from self._other_rows(held, last)

    def _other_rows(self, buffer: bytes, last: int) -> Iterator[Row]:
        """Yield the rows one by one, in whatever form; `buffer` is what was read and not cut."""
        position = 0
        while not self.is_empty:
            match = self._row.search(buffer, position)
            if match and match.start() != position and self._data_end.search(buffer, position, match.start()):
                break
            end = self._end_of_row(buffer, match) if match else -1
            if match is None or end < 0:
                done = self._data_end.search(buffer, position)
                if done and (match is None or done.start() < match.start()):
                    break
                piece = self._more(len(buffer) - position)
                if not piece:
                    raise UneditableBookError(self._path, tr(_NO_END))
                buffer, position = buffer[position:] + piece, 0
                continue
            last = int(match.group(2) or _row_number(match.group(1)) or last + 1)
            start = match.start()
            ends = match.end() - start if match.group(3) else end - start - len(self._row_end)
            yield Row(buffer[position:start], last, match.group(1), buffer[start:end], match.end() - start, ends)
            position = end
        self.tail = buffer[position:] + b"".join(self._chunks)

    def _end_of_row(self, buffer: bytes, match: re.Match[bytes]) -> int:
        if match.group(3):
            return match.end()
        end = buffer.find(self._row_end, match.end())
        return end if end < 0 else end + len(self._row_end)

    def cells(self, body: bytes) -> Iterator[CellBytes]:
        """Yield the cells of a row's body; a cell that does not state its position follows the one before."""
        column, position = 0, 0
        for plain in self._plain_cells.finditer(body):
            if plain.start() != position:
                break
            column, position = column_number(plain.group(2)), plain.end()
            yield CellBytes(plain.start(), position, column, plain.group(1), plain.group(3) or b"", True)
        while match := self._cell.search(body, position):
            reference = _REFERENCE.search(match.group(1))
            stated = bool(reference and reference.group(1))
            column = column_number(reference.group(1)) if reference and stated else column + 1
            end, content = match.end(), b""
            if not match.group(2):
                close = body.find(self._cell_end, end)
                if close < 0:
                    raise UneditableBookError(self._path, tr("a cell does not come to an end"))
                content, end = body[end:close], close + len(self._cell_end)
            yield CellBytes(match.start(), end, column, match.group(1), content, stated)
            position = end

    def last_cell(self, data: bytes, start: int = 0) -> LastCell | None:
        """Return the last cell of a row's cells, looking from the end; None where none states its position there.

        `data` may hold more around them, which begins before `start`.
        """
        begins = data.rfind(self._cell_start, start)
        if begins < 0:
            return None
        plain = self._plain_cell.match(data, begins)
        match = plain or self._cell.match(data, begins)
        reference = plain or (_REFERENCE.search(match.group(1)) if match else None)
        if match is None or reference is None or not reference.group(1):
            return None
        column = column_number(reference.group(1))
        if match.group(2):
            return LastCell(column, match.end(), holds_something=False)
        close = data.find(self._cell_end, match.end())
        if close < 0:
            return None
        return LastCell(column, close + len(self._cell_end), holds_something=close > match.end())

    def last_used_column(self, row: Row) -> int:
        """Return the column of the last cell that holds something, 0 where none does."""
        last = self.last_cell(row.raw, row.start)
        if last is not None and last.holds_something:
            return last.column
        return max((cell.column for cell in self.cells(row.body) if cell.holds_something), default=0)

    def count_cells(self, data: bytes, start: int) -> int:
        """Return how many cells there are from some place on, all of which have attributes."""
        return data.count(self._cell_start, start)


def style_index(attributes: bytes) -> int:
    """Return the style that a cell or row names, 0 where it names none."""
    match = _STYLE.search(attributes)
    return int(match.group(2) or 0) if match else 0


def with_style(attributes: bytes, style: int) -> bytes:
    """Return a cell's attributes with another style."""
    match = _STYLE.search(attributes)
    if match:
        return attributes[: match.start(2)] + b"%d" % style + attributes[match.end(2) :]
    return attributes.rstrip() + b' s="%d"' % style


@lru_cache(maxsize=20_000)
def column_number(letters: bytes) -> int:
    """Return the number of a column: b"A" is 1."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


@lru_cache(maxsize=20_000)
def column_name(column: int) -> bytes:
    """Return the letters of a column."""
    return column_letters(column).encode()


def _row_number(attributes: bytes) -> int | None:
    match = _REFERENCE.search(attributes)
    return int(match.group(2)) if match else None


def _normalised(package: Package, part: str) -> bytes:
    """Return a part in UTF-8 and without comments, processing instructions and CDATA: as nearly every file has it."""
    root = package.tree(part)
    etree.strip_tags(root, etree.Comment, etree.ProcessingInstruction)
    return serialise(root)


def is_plain(package: Package, part: str) -> bool:
    """Whether a part is in UTF-8 and without comments, processing instructions and CDATA."""
    chunks = package.chunks(part)
    last = next(chunks, b"")
    encoding = _DECLARED_ENCODING.search(last)
    if last[:2] in _UTF16_STARTS or (encoding and encoding.group(1).lower() not in (b"utf-8", b"us-ascii")):
        return False
    if _NOT_PLAIN.search(last, last.find(b"?>") + 2 if b"<?xml" in last[:8] else 0):
        return False
    for piece in chunks:
        if b"<!" in piece or b"<?" in piece or _NOT_PLAIN.search(last[-1:] + piece[:1]):
            return False
        last = piece
    return True
