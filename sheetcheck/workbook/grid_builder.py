"""A grid put together cell by cell, for the formats other than Open XML."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sheetcheck.errors import HostileBookError
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.grid import CellStyle, Grid, Kind
from sheetcheck.workbook.number_formats import iso_form, shows_date, shows_elapsed_time
from sheetcheck.workbook.places import LAST_COLUMN, LAST_ROW


class GridBuilder:
    """Takes cells in reading order, of which none stands twice."""

    def __init__(self, path: Path, name: str, budget: Budget) -> None:
        self.name = name
        self._path = path
        self._budget = budget
        self._rows, self._columns, self._kinds = array("i"), array("i"), array("B")
        self._numbers, self._styles = array("d"), array("i")
        self._texts: list[str] = []
        self.formulas: dict[tuple[int, int], str] = {}
        self.notes: dict[tuple[int, int], str] = {}
        self.merges: list[tuple[int, int, int, int]] = []

    def add(  # noqa: PLR0913 - what a cell is made of
        self, row: int, column: int, kind: Kind, *, number: float = math.nan, text: str = "", style: int = 0
    ) -> None:
        """Add a cell that is not blank.

        Raises
        ------
        HostileBookError
            Where it lies outside any sheet, or there are too many.
        """
        if not (1 <= row <= LAST_ROW and 1 <= column <= LAST_COLUMN):
            raise HostileBookError(self._path, f'"{self.name}" has a cell in row {row:,}, column {column:,}')
        self._budget.spend_cells(1)
        text = self._budget.text(text)
        self._rows.append(row)
        self._columns.append(column)
        self._kinds.append(kind)
        self._numbers.append(number)
        self._texts.append(text)
        self._styles.append(style)

    @property
    def last_row(self) -> int:
        """Last row with a cell so far, 0 for none."""
        return self._rows[-1] if self._rows else 0

    def grid(
        self,
        styles: Sequence[CellStyle] = (CellStyle(),),
        *,
        hidden_rows: Iterable[int] = (),
        hidden_columns: Iterable[int] = (),
        hidden: bool = False,
        from_1904: bool = False,
    ) -> Grid:
        """Return the grid; numbers whose format shows a date become dates."""
        text = np.empty(len(self._texts), dtype=np.object_)
        text[:] = self._texts
        kind, number = np.array(self._kinds, np.uint8), np.array(self._numbers, np.float64)
        style = np.array(self._styles, np.int32)
        show_dates(kind, number, text, style, styles, from_1904=from_1904)
        return Grid(
            name=self.name,
            row=np.array(self._rows, np.int32),
            column=np.array(self._columns, np.int32),
            kind=kind,
            number=number,
            text=text,
            style=style,
            styles=tuple(styles),
            formulas=self.formulas,
            merges=tuple(self.merges),
            hidden_rows=frozenset(hidden_rows),
            hidden_columns=frozenset(hidden_columns),
            notes=self.notes,
            hidden=hidden,
        )


def show_dates(  # noqa: PLR0913 - the columns of a grid
    kind: NDArray[np.uint8],
    number: NDArray[np.float64],
    text: NDArray[np.object_],
    style: NDArray[np.int32],
    styles: Sequence[CellStyle],
    *,
    from_1904: bool,
) -> None:
    """Turn numbers whose number format shows a date or a time into dates, in place."""
    numbers = kind == Kind.NUMBER
    used = np.flatnonzero(np.bincount(style[numbers], minlength=len(styles))).tolist()
    dated = np.zeros(len(styles), dtype=bool)
    dated[used] = [shows_date(styles[i].number_format) for i in used]
    at = np.flatnonzero(numbers & dated[style]) if dated.any() else np.array([], np.intp)
    elapsed = {i for i in used if dated[i] and shows_elapsed_time(styles[i].number_format)}
    known: dict[tuple[float, int], str] = {}
    for index, key in zip(at.tolist(), zip(number[at].tolist(), style[at].tolist(), strict=True), strict=True):
        if key not in known:
            known[key] = iso_form(key[0], elapsed=key[1] in elapsed, from_1904=from_1904)
        if known[key]:
            kind[index], text[index] = Kind.DATE, known[key]
