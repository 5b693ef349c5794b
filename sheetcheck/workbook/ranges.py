"""Ranges of cells: as addresses, and as formulas name them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from sheetcheck.model import range_address

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384
_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([1-9]\d{0,6})")
_CORNERS = re.compile(
    r"""(?:(?P<sheet>'(?:[^']|'')+'|[^\s'!:;,(){}+*/&=<>^"-]+)!)?
        (?:\$?(?P<c1>[A-Za-z]{1,3})\$?(?P<r1>\d+):\$?(?P<c2>[A-Za-z]{1,3})\$?(?P<r2>\d+)
          |\$?(?P<ca>[A-Za-z]{1,3}):\$?(?P<cb>[A-Za-z]{1,3})
          |\$?(?P<ra>\d+):\$?(?P<rb>\d+))(?![\w(.])""",
    re.VERBOSE,
)
_PLAIN_NAME = re.compile(r"[^\W\d][\w.]*")
_LOOKS_LIKE_CELL = re.compile(r"(?i)[a-z]{1,3}\d+|r\d*c\d*")


class Area(NamedTuple):
    """A rectangle of cells, both corners included."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell lies in it."""
        return self.first_row <= row <= self.last_row and self.first_column <= column <= self.last_column

    def meets_rows(self, first: int, last: int) -> bool:
        """Whether it reaches into these rows."""
        return self.first_row <= last and first <= self.last_row

    @property
    def address(self) -> str:
        """A1 address."""
        return range_address(*self)


def parse_cell(address: str) -> tuple[int, int] | None:
    """Return row and column of an A1 address, None where it is none."""
    match = _CELL.fullmatch(address.strip())
    if not match:
        return None
    row, column = int(match.group(2)), _column(match.group(1))
    return (row, column) if row <= LAST_ROW and column <= LAST_COLUMN else None


def parse_area(address: str) -> Area | None:
    """Return the area of an A1 address or range, None where it is none."""
    corners = [parse_cell(part) for part in address.split(":")]
    if len(corners) > 2 or any(corner is None for corner in corners):
        return None
    (row_a, column_a), (row_b, column_b) = corners[0] or (0, 0), corners[-1] or (0, 0)
    return Area(min(row_a, row_b), min(column_a, column_b), max(row_a, row_b), max(column_a, column_b))


def formula_areas(formula: str) -> Iterator[tuple[str | None, Area]]:
    """Yield the ranges of more than one column that a formula names: the sheet, where it names one, and the area."""
    for match in _CORNERS.finditer(re.sub(r'"[^"]*"', '""', formula)):
        area = _area(match)
        if area.last_column > area.first_column or match["ca"]:
            sheet = match["sheet"]
            yield (unquoted(sheet) if sheet else None), area


def cells_named(formula: str) -> Iterator[str]:
    """Yield what a formula refers to, as it writes it but for the dollar signs.

    >>> list(cells_named("Prices!$B$4*28.35+SUM(C2:C5)"))
    ['Prices!B4', 'C2:C5']
    """
    found: list[str] = []

    def note(operand: str) -> str:
        found.append(operand.replace("$", ""))
        return operand

    _with_operands(formula, note)
    yield from (operand for operand in found if any(c.isdigit() or c == ":" for c in operand) and "[" not in operand)


def _area(match: re.Match[str]) -> Area:
    if match["c1"]:
        columns, rows = [_column(match["c1"]), _column(match["c2"])], [int(match["r1"]), int(match["r2"])]
    elif match["ca"]:
        columns, rows = [_column(match["ca"]), _column(match["cb"])], [1, LAST_ROW]
    else:
        columns, rows = [1, LAST_COLUMN], [int(match["ra"]), int(match["rb"])]
    return Area(min(rows), min(columns), max(rows), max(columns))


def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


# ---------------------------------------------------------------------- sheet names in formulas


def quoted(sheet: str) -> str:
    """Return a sheet's name as a formula writes it."""
    if _PLAIN_NAME.fullmatch(sheet) and sheet.isascii() and not _LOOKS_LIKE_CELL.fullmatch(sheet):
        return sheet
    return "'" + sheet.replace("'", "''") + "'"


def unquoted(sheet: str) -> str:
    """Return the name of a sheet that a formula writes."""
    return sheet[1:-1].replace("''", "'") if sheet.startswith("'") else sheet


def renamed(formula: str, names: Mapping[str, str]) -> str:
    """Return a formula with sheets under their new names; `names` has the old ones as keys."""

    def rename(operand: str) -> str:
        sheet, mark, cells = operand.rpartition("!")
        return f"{quoted(names[unquoted(sheet)])}!{cells}" if mark and unquoted(sheet) in names else operand

    return _with_operands(formula, rename) if names and "!" in formula else formula


def on_sheet(formula: str, sheet: str) -> str:
    """Return a formula written for a cell of `sheet` as it must stand on another sheet."""

    def qualify(operand: str) -> str:
        if "!" in operand or "[" in operand or not any(c.isdigit() or c == ":" for c in operand):
            return operand
        return f"{quoted(sheet)}!{operand}"

    return _with_operands(formula, qualify)


def _with_operands(formula: str, change: Callable[[str], str]) -> str:
    from openpyxl.formula.tokenizer import Token, Tokenizer  # noqa: PLC0415 - loads all of openpyxl; few books need it

    tokens = Tokenizer(f"={formula}").items
    return "".join(change(t.value) if t.type == Token.OPERAND and t.subtype == Token.RANGE else t.value for t in tokens)
