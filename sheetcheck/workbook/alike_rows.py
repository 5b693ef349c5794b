"""Rows that are written like the row before: the same cells, formats and kinds, other values.

In a large table nearly all are. One pattern made of such a row reads those after it in a quarter of the time that
looking at each cell takes. Rows written in any other way are left to cells.py.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, TypeAlias

ContentKind: TypeAlias = Literal["number", "shared text", "own text"]

_NUMBER = rb"-?[0-9]+(?:\.[0-9]+)?(?:[Ee][-+]?[0-9]+)?"
_CELL = re.compile(
    rb'<c r="(?P<letters>[A-Z]{1,3})(?P<digits>[0-9]{1,7})"(?: s="(?P<style>[0-9]{1,5})")?(?:'
    rb'(?P<blank>/>)|(?: t="(?P<type>[ns])")?><v>' + _NUMBER + rb"</v></c>"
    rb'|(?P<own> t="inlineStr"><is><t(?: xml:space="preserve")?>)[^<]*</t></is></c>)'
)
_ROW = re.compile(rb'<row r="([0-9]{1,7})"(?: [^<>/]*)?>')
_ROW_OF_CELL = re.compile(rb'<c r="[A-Z]+([0-9]+)"')
_START = rb'<row r="([0-9]{1,7})"(?: [^<>/]*)?>'
_END = b"</row>"
_MOST_PATTERNS = 12  # a sheet whose rows follow no pattern is not looked at for ever
_FEWEST_CELLS = 4


@dataclass(frozen=True, slots=True)
class Alike:
    """The cells that hold something of rows that are alike: one entry for each column of the row."""

    rows: list[bytes]
    letters: list[bytes]
    styles: list[bytes | None]
    kinds: list[ContentKind]
    values: list[list[bytes]]  # by column, then row

    def shares_a_row_with(self, others: bytes) -> bool:
        """Tell whether other rows speak of one of these: then it matters which of them comes last."""
        return not set(_ROW_OF_CELL.findall(others)).isdisjoint(self.rows)


class AlikeRows:
    """Takes the rows that are alike out of blocks of whole rows, and learns what they look like on the way."""

    def __init__(self) -> None:
        self._model: _Model | None = None
        self._left_to_try = _MOST_PATTERNS

    def take(self, block: bytes) -> tuple[Alike | None, bytes]:
        """Return what was read, and the rows that were not."""
        found, rest = self._model.read(block) if self._model else (None, block)
        if len(rest) * 2 > len(block) and self._left_to_try:
            self._left_to_try -= 1
            self._model = _model_of(rest) or self._model
        return found, rest


@dataclass(frozen=True, slots=True)
class _Model:
    pattern: re.Pattern[bytes]
    letters: list[bytes]
    styles: list[bytes | None]
    kinds: list[ContentKind]

    def read(self, block: bytes) -> tuple[Alike | None, bytes]:
        pieces = self.pattern.split(block)  # what lies between the rows, then the groups of a row, and so on
        if len(pieces) == 1:
            return None, block
        width = self.pattern.groups + 1
        rows, *values = (pieces[group::width] for group in range(1, width))
        return Alike(rows, self.letters, self.styles, self.kinds, values), b"".join(pieces[::width])


def _model_of(rows: bytes) -> _Model | None:
    """Make a model of the last row, if the one before has as many cells; None where there is none to be made."""
    *before, last = rows.removesuffix(_END).split(_END)[-2:]
    head = _ROW.match(last)
    if head is None or not before or before[0].count(b"<c ") != last.count(b"<c "):
        return None
    pattern = [_START]
    model = _Model(head.re, [], [], [])
    position = head.end()
    while position < len(last):
        cell = _CELL.match(last, position)
        if cell is None or cell["digits"] != head[1]:
            return None
        pattern.append(_written_like(cell))
        if not cell["blank"]:
            model.letters.append(cell["letters"])
            model.styles.append(cell["style"])
            model.kinds.append("own text" if cell["own"] else "shared text" if cell["type"] == b"s" else "number")
        position = cell.end()
    if len(model.letters) < _FEWEST_CELLS:
        return None
    return _Model(re.compile(b"".join((*pattern, _END))), model.letters, model.styles, model.kinds)


def _written_like(cell: re.Match[bytes]) -> bytes:
    """Return a pattern for cells that differ from this one only in their row and value."""
    style = b"" if cell["style"] is None else b' s="%s"' % cell["style"]
    start = b'<c r="%s\\1"%s' % (cell["letters"], style)
    if cell["blank"]:
        return start + b"/>"
    if cell["own"]:
        return start + rb' t="inlineStr"><is><t(?: xml:space="preserve")?>([^<]*)</t></is></c>'
    kind = b"" if cell["type"] is None else b' t="%s"' % cell["type"]
    return start + kind + b"><v>(" + _NUMBER + b")</v></c>"
