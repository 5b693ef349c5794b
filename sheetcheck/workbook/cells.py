"""Cells of a worksheet in the plain form, block by block into arrays.

A cell that holds a number, a text or a truth value goes a fast way, many at a time (measured: half the time of a
parser that calls back for each element); all others are looked at one by one (one_cell.py).
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import compress
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from sheetcheck.words import number as shown
from sheetcheck.words import tr
from sheetcheck.workbook import one_cell
from sheetcheck.workbook.alike_rows import Alike, AlikeRows
from sheetcheck.workbook.budget import Budget, as_read
from sheetcheck.workbook.formulas import Formulas
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.places import (
    COLUMN_BITS,
    COLUMN_MASK,
    LAST_COLUMN,
    LAST_ROW,
    ColumnNumbers,
    PastTheSheetError,
    PlaceError,
    place_of,
)
from sheetcheck.workbook.texts import NotPlainError, plain_text

_NUMBER = rb"-?[0-9]+(?:\.[0-9]+)?(?:[Ee][-+]?[0-9]+)?"
_TOKEN = re.compile(
    rb'<c r="([A-Z]{1,3})([0-9]{1,7})"(?: s="([0-9]{1,5})")?(?:'
    rb'(?: t="([nsb])")?>(?:<f>([^<&]+)</f>)?<v>(' + _NUMBER + rb")</v>"
    rb'| t="inlineStr"><is><t(?: xml:space="preserve")?>([^<]*)</t></is>)</c>'
    rb"|(" + one_cell.PATTERN + rb")"
    rb'|<c r="[A-Z]{1,3}[0-9]{1,7}"[^<>]*/>'  # formatted and blank
    rb"|<row(?: [^<>]*)?>|</row>|[ \t\r\n]+"
    rb"|(.+)",
    re.DOTALL,
)
_ROW = re.compile(rb"<row( [^<>]*)>")
_HIDDEN = re.compile(rb' hidden="(?:1|true)"')
_ROW_NUMBER = re.compile(rb' r="([0-9]{1,7})"')
_KINDS = {None: Kind.NUMBER, b"n": Kind.NUMBER, b"s": Kind.TEXT, b"b": Kind.BOOL}

_FIELDS = _TOKEN.groups  # letters, digits, style, type, formula, value, text; any other cell; what is no cell
_Fields: TypeAlias = list[list[Any]]  # one list for each of them, bytes or None
_Block: TypeAlias = tuple[NDArray[Any], ...]  # key, kind, number, text, style


@dataclass(frozen=True)
class CellArrays:
    """The cells of a sheet in reading order, in columns of equal length as in `Grid`."""

    row: NDArray[np.int32]
    column: NDArray[np.int32]
    kind: NDArray[np.uint8]
    number: NDArray[np.float64]
    text: NDArray[np.object_]
    style: NDArray[np.int32]
    formulas: Formulas
    hidden_rows: frozenset[int]
    repeated: tuple[tuple[int, int], ...] = ()  # places that stood in the part more than once
    without_text: int = 0  # cells whose shared text is missing


class CellGatherer:
    """Takes blocks of whole rows and gives arrays at the end."""

    def __init__(self, shared: Sequence[str], budget: Budget) -> None:
        self._alike = AlikeRows()
        self._columns = ColumnNumbers()
        self._styles = _StyleNumbers()
        self._one = one_cell.OneCellReader(shared, self._columns, budget)
        self._shared = np.array([*shared, one_cell.MISSING_TEXT], dtype=np.object_)
        self._budget = budget
        self._keys, self._kinds, self._numbers, self._style = array("q"), array("B"), array("d"), array("i")
        self._texts: list[str] = []
        self._hidden: list[int] = []
        self._without_text = 0

    def add(self, block: bytes) -> None:
        """Take a block of whole rows.

        Raises
        ------
        NotPlainError, PastTheSheetError, HostileBookError
            Where it is not in the plain form, a cell lies outside any sheet, or a limit is passed.
        """
        if b"<!" in block or b"<?" in block:
            raise NotPlainError(tr("a comment, a marked section or an instruction"))
        parts: list[_Block] = []
        if b" hidden=" in block:
            self._note_hidden_rows(block)
        else:
            alike, rest = self._alike.take(block)
            if alike is not None and not (rest and alike.shares_a_row_with(rest)):
                parts.append(self._settled(*self._of_alike(alike)))
                block = rest
        parts += self._one_by_one(block)
        if parts:
            self._keep(tuple(np.concatenate(column) for column in zip(*parts, strict=True)))

    def _one_by_one(self, rows: bytes) -> Iterator[_Block]:
        """Yield cells in any plain form: those that are read many at a time, and all others."""
        pieces: list[Any] = _TOKEN.split(rows)  # between the fields of each token stands the empty text before it
        fields = [pieces[field :: _FIELDS + 1] for field in range(1, _FIELDS + 1)]
        *_, others, odd = fields
        if odd and odd[-1]:
            raise NotPlainError(odd[-1][:60].decode("utf-8", "replace"))
        yield from filter(None, (self._plain(fields), self._others(others)))

    def finish(self) -> CellArrays:
        """Return all cells in reading order."""
        columns = self._gathered()
        keys = columns[0]
        repeated: tuple[tuple[int, int], ...] = ()
        if (keys[1:] <= keys[:-1]).any():
            order = np.argsort(keys, kind="stable")
            keys = keys[order]
            last = np.append(keys[1:] > keys[:-1], True)
            repeated = tuple(place_of(key) for key in np.unique(keys[~last]).tolist())
            columns = [column[order[last]] for column in columns]
        keys, kind, number, text, style = columns
        return CellArrays(
            row=(keys >> COLUMN_BITS).astype(np.int32),
            column=(keys & COLUMN_MASK).astype(np.int32),
            kind=kind,
            number=number,
            text=text,
            style=style,
            formulas=self._one.formulas(),
            hidden_rows=frozenset(self._hidden),
            repeated=repeated,
            without_text=self._without_text + self._one.without_text,
        )

    def _keep(self, block: _Block) -> None:
        keys = block[0]
        rows, columns = keys >> COLUMN_BITS, keys & COLUMN_MASK
        outside = (rows > LAST_ROW) | (rows < 1) | (columns > LAST_COLUMN)
        if outside.any():
            row, column = place_of(int(keys[outside][0]))
            if row < 1:
                raise PlaceError(tr("a cell in row 0"))
            said = tr("a cell in row {row}, column {column}", row=shown(row, 0), column=shown(column, 0))
            raise PastTheSheetError(said)
        self._budget.spend_cells(len(keys))
        if (keys[1:] < keys[:-1]).any():
            order = np.argsort(keys, kind="stable")
            block = tuple(part[order] for part in block)
        keys, kind, number, text, style = block
        for kept, values in ((self._keys, keys), (self._kinds, kind), (self._numbers, number), (self._style, style)):
            kept.frombytes(values.tobytes())  # arrays grow in place: many small ones would scatter the memory
        self._texts += text.tolist()

    def _gathered(self) -> list[NDArray[Any]]:
        """Return the columns of all blocks, without a copy where there can be none."""
        text = np.array(self._texts, dtype=np.object_)
        self._texts.clear()
        keys, kind = np.frombuffer(self._keys, np.int64), np.frombuffer(self._kinds, np.uint8)
        return [keys, kind, np.frombuffer(self._numbers, np.float64), text, np.frombuffer(self._style, np.int32)]

    def _plain(self, fields: _Fields) -> _Block | None:
        is_plain = fields[0]
        count = len(is_plain) - is_plain.count(None)
        if not count:
            return None
        letters, digits, styles, types, formulas, values, texts = (compress(field, is_plain) for field in fields[:7])
        has_texts = fields[6].count(None) < len(fields[6])
        numbers = (value or b"nan" for value in values) if has_texts else values
        rows = np.fromiter(map(int, digits), np.int64, count)
        columns = np.fromiter(map(self._columns.__getitem__, letters), np.int64, count)
        kind = np.fromiter(map(_KINDS.__getitem__, types), np.uint8, count)
        number = np.fromiter(map(float, numbers), np.float64, count)
        text = np.full(count, "", dtype=np.object_)
        style = np.fromiter(map(self._styles.__getitem__, styles), np.int32, count)
        keys = rows << COLUMN_BITS | columns
        if fields[4].count(None) < len(fields[4]):
            self._one.note_plain_formulas(keys.tolist(), formulas)
        own = list(texts) if has_texts else []
        at = np.flatnonzero(np.array([data is not None for data in own], dtype=bool))
        text[at], kind[at] = self._own_texts([data for data in own if data is not None]), Kind.TEXT
        return self._settled((keys, kind, number, text, style), at)

    def _of_alike(self, alike: Alike) -> tuple[_Block, NDArray[np.int64]]:
        """Return the cells of rows that are alike, and where among them own texts stand."""
        shape = len(alike.rows), len(alike.letters)
        row = np.fromiter(map(int, alike.rows), np.int64, shape[0])
        column = np.array([self._columns[letters] for letters in alike.letters], np.int64)
        number, text = np.full(shape, np.nan), np.full(shape, "", dtype=np.object_)
        kinds = np.array([Kind.NUMBER if kind == "number" else Kind.TEXT for kind in alike.kinds], np.uint8)
        for place, (kind, values) in enumerate(zip(alike.kinds, alike.values, strict=True)):
            if kind == "own text":
                text[:, place] = self._own_texts(values)
            else:
                number[:, place] = np.fromiter(map(float, values), np.float64, shape[0])
        style = np.array([self._styles[digits] for digits in alike.styles], np.int32)
        block = (
            (row[:, None] << COLUMN_BITS | column).ravel(),
            np.tile(kinds, shape[0]),
            number.ravel(),
            text.ravel(),
            np.tile(style, shape[0]),
        )
        own = np.array([kind == "own text" for kind in alike.kinds])
        return block, np.flatnonzero(np.tile(own, shape[0]))

    def _settled(self, block: _Block, own: NDArray[np.int64]) -> _Block:
        """Fill in shared texts, and leave out cells that hold nothing; `own` are the cells with texts of their own."""
        _, kind, number, text, _ = block
        too_large = np.isinf(number)
        if too_large.any():
            kind[too_large], number[too_large], text[too_large] = Kind.ERROR, np.nan, one_cell.NO_NUMBER
        is_shared = kind == Kind.TEXT
        is_shared[own] = False
        shared = np.flatnonzero(is_shared)
        if len(shared):
            self._fill_in_shared_texts(block, shared)
        blank = np.flatnonzero(kind == Kind.TEXT)
        blank = blank[text[blank] == ""]
        return tuple(np.delete(column, blank) for column in block) if len(blank) else block

    def _others(self, cells: list[Any]) -> _Block | None:
        found = [cell for data in cells if data and (cell := self._one.read(data))]
        return _columns_of(found) if found else None

    def _own_texts(self, texts: Sequence[bytes]) -> NDArray[np.object_]:
        plain = {data: as_read(plain_text(data)) for data in set(texts)}  # one object for what repeats
        found = np.array([plain[data] for data in texts], dtype=np.object_)
        self._budget.spend_text(sum(map(len, found)))
        return found

    def _fill_in_shared_texts(self, block: _Block, at: NDArray[np.int64]) -> None:
        _, kind, number, text, _ = block
        index = number[at]
        missing = (index < 0) | (index >= len(self._shared) - 1)
        text[at] = self._shared[np.where(missing, -1, index).astype(np.int64)]
        number[at] = np.nan
        kind[at[missing]] = Kind.ERROR
        self._without_text += int(missing.sum())

    def _note_hidden_rows(self, block: bytes) -> None:
        for attributes in _ROW.findall(block):
            if not _HIDDEN.search(attributes):
                continue
            number = _ROW_NUMBER.search(attributes)
            if number is None:
                raise NotPlainError(tr("a hidden row without a number"))
            self._hidden.append(int(number[1]))


class _StyleNumbers(dict[bytes | None, int]):
    def __missing__(self, digits: bytes | None) -> int:
        self[digits] = int(digits or b"0")
        return self[digits]


def _columns_of(cells: Sequence[one_cell.OneCell]) -> _Block:
    keys, kinds, numbers, texts, styles = zip(*cells, strict=True)
    text = np.empty(len(texts), dtype=np.object_)
    text[:] = texts
    return (
        np.array(keys, np.int64),
        np.array(kinds, np.uint8),
        np.array(numbers, np.float64),
        text,
        np.array(styles, np.int32),
    )
