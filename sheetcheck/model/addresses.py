"""Addresses of cells and ranges, rows and columns counted from 1."""

from __future__ import annotations


def column_letters(column: int) -> str:
    """Letters of a column counted from 1: 1 is A, 27 is AA."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def address(row: int, column: int) -> str:
    """A1 address of a cell, rows and columns counted from 1."""
    return f"{column_letters(column)}{row}"


def range_address(first_row: int, first_column: int, last_row: int, last_column: int) -> str:
    """A1 range between two corners, or the one cell where they are the same."""
    first, last = address(first_row, first_column), address(last_row, last_column)
    return first if first == last else f"{first}:{last}"
