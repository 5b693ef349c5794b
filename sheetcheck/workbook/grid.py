"""Sheets as grids of cells: what the reader of workbooks gives and what reading/ takes.

A grid keeps its cells in columns of equal length (one entry per non-blank cell, in reading order), so that a table of
a hundred thousand rows costs arrays and not objects; `cell` and `row_cells` give objects for the places that need them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sheetcheck.model import address


class Kind(IntEnum):
    """What a cell holds; a formula counts by its stored value."""

    NUMBER = 0
    TEXT = 1
    BOOL = 2
    ERROR = 3  # `text` holds the error, "#REF!"
    EMPTY_FORMULA = 4  # a formula with no stored value
    DATE = 5  # a number shown as a date or time; `number` is the serial number, `text` its ISO form


_KINDS = tuple(Kind)


@dataclass(frozen=True, slots=True)
class CellStyle:
    """What of a cell's format helps to understand it."""

    number_format: str = "General"
    struck: bool = False
    bold: bool = False
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One non-blank cell."""

    row: int
    column: int
    kind: Kind
    number: float  # NaN unless NUMBER, BOOL or DATE
    text: str  # the text of TEXT and ERROR cells, ISO form of a DATE; "" for a plain number
    formula: str | None  # without the equals sign
    style: CellStyle

    @property
    def address(self) -> str:
        """A1 address."""
        return address(self.row, self.column)


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet."""

    name: str
    row: NDArray[np.int32]
    column: NDArray[np.int32]
    kind: NDArray[np.uint8]
    number: NDArray[np.float64]
    text: NDArray[np.object_]  # str, "" where none
    style: NDArray[np.int32]  # index into `styles`
    styles: tuple[CellStyle, ...]
    formulas: Mapping[tuple[int, int], str] = field(default_factory=dict)  # (row, column) -> formula, no equals sign
    merges: tuple[tuple[int, int, int, int], ...] = ()  # first row, first column, last row, last column
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    notes: Mapping[tuple[int, int], str] = field(default_factory=dict)  # the user's own notes on cells
    hidden: bool = False

    @cached_property
    def _rows(self) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
        """Numbers of the rows that hold anything, and where each begins in the arrays (one more: the end)."""
        starts = np.flatnonzero(np.diff(self.row, prepend=np.int32(0)))
        return self.row[starts], np.append(starts, len(self.row))

    def _span(self, row: int) -> tuple[int, int]:
        rows, starts = self._rows
        at = int(rows.searchsorted(row))
        if at == len(rows) or rows[at] != row:
            return 0, 0
        return int(starts[at]), int(starts[at + 1])

    @property
    def last_row(self) -> int:
        """Last row with a non-blank cell, 0 for a blank sheet."""
        return int(self.row[-1]) if len(self.row) else 0

    @cached_property
    def last_column(self) -> int:
        """Last column with a non-blank cell, 0 for a blank sheet."""
        return int(self.column.max()) if len(self.column) else 0

    def at(self, index: int) -> Cell:
        """Return the cell at a position of the arrays."""
        row, column = int(self.row[index]), int(self.column[index])
        return Cell(
            row,
            column,
            _KINDS[self.kind[index]],
            float(self.number[index]),
            str(self.text[index]),
            self.formulas.get((row, column)),
            self.styles[int(self.style[index])],
        )

    def _cells(self, start: int, end: int) -> list[Cell]:
        """Return the cells from one position of the arrays to another."""
        arrays = (self.row, self.column, self.kind, self.number, self.text, self.style)
        formula, styles = self.formulas.get, self.styles
        return [
            Cell(row, column, _KINDS[kind], number, str(text), formula((row, column)), styles[style])
            for row, column, kind, number, text, style in zip(
                *(array[start:end].tolist() for array in arrays), strict=True
            )
        ]

    def cell(self, row: int, column: int) -> Cell | None:
        """Return the cell at a row and column, None where blank."""
        start, end = self._span(row)
        index = start + int(self.column[start:end].searchsorted(column))
        return self.at(index) if index < end and self.column[index] == column else None

    def row_cells(self, row: int) -> list[Cell]:
        """Return the non-blank cells of one row, left to right."""
        return self._cells(*self._span(row))

    def rows(self) -> list[int]:
        """Return the numbers of the rows that hold anything, in order."""
        return [int(row) for row in self._rows[0]]


@dataclass(frozen=True)
class Workbook:
    """A workbook as read: its grids in tab order, and what identifies the file."""

    name: str
    sha256: str
    grids: tuple[Grid, ...]
    notices: tuple[str, ...] = ()  # what the reader has to say of the file as a whole (signed, macros, links)
    settings_sheet: str | None = None
