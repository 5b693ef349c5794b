"""Formulas of a sheet, in little memory: one shared by many cells is kept once and written out when asked for."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sheetcheck.model import column_letters
from sheetcheck.workbook.places import LAST_COLUMN, LAST_ROW, column_number, place_key, place_of

_SHIFTED = re.compile(
    r"""
      (?P<kept> "(?:[^"]|"")*"                      # text
        | '(?:[^']|'')*'                            # name of a sheet
        | \[(?:[^\[\]]|\[[^\[\]]*\])*\] )           # column of a table, other workbook
    | (?<![\w.$\\])
      (?: (?P<column>\$?[A-Za-z]{1,3})(?P<row>\$?[1-9][0-9]{0,6})
        | (?P<first_column>\$?[A-Za-z]{1,3}):(?P<last_column>\$?[A-Za-z]{1,3})
        | (?P<first_row>\$?[1-9][0-9]{0,6}):(?P<last_row>\$?[1-9][0-9]{0,6}) )
      (?![\w.(!\\\[])
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class SharedFormula:
    """A formula written once, in the cell at `row` and `column`, for many cells."""

    text: str
    row: int
    column: int

    def at(self, row: int, column: int) -> str:
        """Return the formula as it reads in another cell: relative references move with it."""
        down, right = row - self.row, column - self.column
        if not (down or right):
            return self.text
        return _SHIFTED.sub(lambda match: _moved(match, down, right), self.text)


class Formulas(Mapping[tuple[int, int], str]):
    """Formulas by (row, column), without the equals sign.

    Parameters
    ----------
    keys
        Places as `place_key` numbers them, in any order.
    entries
        The formula of each place.
    """

    def __init__(self, keys: Sequence[int], entries: Sequence[str | SharedFormula]) -> None:
        order = sorted(range(len(keys)), key=keys.__getitem__)
        self._keys = array("q", (keys[i] for i in order))
        self._entries = [entries[i] for i in order]

    def __getitem__(self, place: tuple[int, int]) -> str:
        key = place_key(*place)
        index = bisect_left(self._keys, key)
        if index == len(self._keys) or self._keys[index] != key:
            raise KeyError(place)
        entry = self._entries[index]
        return entry if isinstance(entry, str) else entry.at(*place)

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return map(place_of, self._keys)

    def __len__(self) -> int:
        return len(self._keys)

    def __repr__(self) -> str:
        return f"Formulas({dict(self)!r})"


def _moved(match: re.Match[str], down: int, right: int) -> str:
    if match["kept"]:
        return match[0]
    if match["column"]:
        parts = [_moved_column(match["column"], right), _moved_row(match["row"], down)]
        return "#REF!" if "" in parts else "".join(parts)
    if match["first_column"]:
        parts = [_moved_column(match["first_column"], right), _moved_column(match["last_column"], right)]
    else:
        parts = [_moved_row(match["first_row"], down), _moved_row(match["last_row"], down)]
    return "#REF!" if "" in parts else ":".join(parts)


def _moved_column(letters: str, right: int) -> str:
    if letters.startswith("$"):
        return letters
    column = column_number(letters) + right
    return column_letters(column) if 1 <= column <= LAST_COLUMN else ""


def _moved_row(digits: str, down: int) -> str:
    if digits.startswith("$"):
        return digits
    row = int(digits) + down
    return str(row) if 1 <= row <= LAST_ROW else ""
