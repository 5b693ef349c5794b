"""Places on a sheet as a file writes them: references to cells and ranges."""

from __future__ import annotations

import re

LAST_ROW = 1_048_576  # ISO/IEC 29500-1, as spreadsheet programs have it
LAST_COLUMN = 16_384

_REFERENCE = re.compile(r"\$?([A-Za-z]{1,6})\$?([0-9]{1,15})")
_COLUMNS = re.compile(r"\$?([A-Za-z]{1,6})")
_ROWS = re.compile(r"\$?([0-9]{1,15})")


COLUMN_BITS = 15
COLUMN_MASK = (1 << COLUMN_BITS) - 1


class PlaceError(Exception):
    """A reference that cannot be read; its text is the reference."""


def place_key(row: int, column: int) -> int:
    """Return one number for a place; places sort by it in reading order."""
    return row << COLUMN_BITS | column


def place_of(key: int) -> tuple[int, int]:
    """Return row and column of a place's number."""
    return key >> COLUMN_BITS, key & COLUMN_MASK


class PastTheSheetError(PlaceError):
    """A place past the last row or column that a sheet can have."""


class ColumnNumbers(dict[bytes, int]):
    """Column numbers by their letters, worked out once each: `b"AA"` is 27."""

    def __missing__(self, letters: bytes) -> int:
        number = column_number(letters.decode("ascii"))
        self[letters] = number
        return number


def column_number(letters: str) -> int:
    """Return the number of a column counted from 1: "A" is 1, "AA" is 27."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def split_reference(reference: str) -> tuple[int, int]:
    """Return row and column of a reference to one cell: "B3" is (3, 2).

    Raises
    ------
    PlaceError
        Where it is something else.
    """
    match = _REFERENCE.fullmatch(reference.strip())
    if not match:
        raise PlaceError(f"cell {reference!r}")
    return int(match[2]), column_number(match[1])


def split_range(reference: str) -> tuple[int, int, int, int]:
    """Return first row, first column, last row and last column: "A1:B3", "A1", whole columns "A:B", whole rows "1:3".

    Raises
    ------
    PlaceError
        Where it is something else.
    """
    first, _, last = reference.strip().partition(":")
    last = last or first
    corners = [_corner(first, 1, 1), _corner(last, LAST_ROW, LAST_COLUMN)]
    rows, columns = sorted(c[0] for c in corners), sorted(c[1] for c in corners)
    return rows[0], columns[0], rows[1], columns[1]


def _corner(text: str, row: int, column: int) -> tuple[int, int]:
    if match := _COLUMNS.fullmatch(text):
        return row, column_number(match[1])
    if match := _ROWS.fullmatch(text):
        return int(match[1]), column
    return split_reference(text)
