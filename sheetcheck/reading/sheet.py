"""One sheet while it is being understood: its cells, the words on it, and which cells nobody has explained yet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sheetcheck.model import ColumnReading, NotUnderstood, SheetReading, address, column_letters, range_address
from sheetcheck.reading.assemble import Component, Draft, Findings
from sheetcheck.reading.candidates import likely_heading, likely_name
from sheetcheck.reading.headings import Heading, read_heading
from sheetcheck.reading.names.identify import Name, identify
from sheetcheck.reading.text import quantity_of
from sheetcheck.reading.units.evidence import SheetNotes
from sheetcheck.reading.units.units import read_unit, split_heading_unit, unit_stated_in
from sheetcheck.settings import Settings
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Grid, Kind

_DECIMAL_COMMA = re.compile(r"\d,\d{1,2}(?!\d)|\d\.\d{3},\d|(?<!\d)0,\d|\d,\d{4}")
_DECIMAL_POINT = re.compile(r"\d\.\d{1,2}(?!\d)|\d,\d{3}\.\d|(?<!\d)0\.\d|\d\.\d{4}")
_COLUMN_BITS = 15
_Key = TypeVar("_Key")
_DATE_LIKE = re.compile(r"\d+\.\d+\.\d|\d+,\d+,\d")


@dataclass
class Words:
    """Headings and names as identified, each text once."""

    own_names: Mapping[str, str] = field(default_factory=dict)
    loose: bool = False  # a word that no table has is taken for what it most likely is: the weighing judges that
    _headings: dict[str, Heading] = field(default_factory=dict)
    _names: dict[str, Name] = field(default_factory=dict)
    extras: dict[tuple[str, bool | None], list[Component]] = field(default_factory=dict)  # by text and decimal style

    def heading(self, text: str) -> Heading:
        """Read a heading."""
        if text not in self._headings:
            heading = read_heading(quantity_of(text), self.own_names)
            only_like_a_total = heading.certainty == "read as" and heading.role in ("fats total", "batch total")
            if self.loose and (heading.role is None or heading.certainty == "ambiguous" or only_like_a_total):
                heading = likely_heading(heading, text)
            self._headings[text] = heading
        return self._headings[text]

    def name(self, text: str) -> Name:
        """Identify an ingredient."""
        if text not in self._names:
            name = identify(quantity_of(text), self.own_names)
            if self.loose and name.certainty in ("unknown", "ambiguous"):
                name = likely_name(name, text)
            self._names[text] = name
        return self._names[text]


@dataclass
class DecimalStyle:
    """Whether the texts of a book write decimals with a comma, by sheet and column; None where they do not tell."""

    by_column: dict[tuple[str, int], bool] = field(default_factory=dict)
    by_sheet: dict[str, bool] = field(default_factory=dict)
    book: bool | None = None

    def at(self, sheet: str, column: int) -> bool | None:
        """Return the style of the column, else of the sheet, else of the book."""
        return self.by_column.get((sheet, column), self.by_sheet.get(sheet, self.book))


def decimal_style(grids: Iterable[Grid]) -> DecimalStyle:
    """Look through all texts for decimals that can be read one way only."""
    votes: dict[tuple[str, int], list[int]] = {}
    for grid in grids:
        texts = grid.kind == Kind.TEXT
        for column, text in zip(grid.column[texts].tolist(), grid.text[texts].tolist(), strict=True):
            if ("," in text or "." in text) and not _DATE_LIKE.search(text):
                vote = votes.setdefault((grid.name, column), [0, 0])
                vote[0] += bool(_DECIMAL_COMMA.search(text))
                vote[1] += bool(_DECIMAL_POINT.search(text))
    style = DecimalStyle()
    style.by_column = _majorities(votes)
    sheets: dict[str, list[int]] = {}
    for (sheet, _column), (commas, points) in votes.items():
        tally = sheets.setdefault(sheet, [0, 0])
        tally[0] += commas
        tally[1] += points
    style.by_sheet = _majorities(sheets)
    style.book = _majority(sum(t[0] for t in sheets.values()), sum(t[1] for t in sheets.values()))
    return style


def _majorities(votes: Mapping[_Key, list[int]]) -> dict[_Key, bool]:
    return {key: won for key, (commas, points) in votes.items() if (won := _majority(commas, points)) is not None}


def _majority(commas: int, points: int) -> bool | None:
    """Return who has four votes in five, None where both styles stand there."""
    if commas > 4 * points:
        return True
    return False if points > 4 * commas else None


@dataclass
class Sheet:
    """A grid with what is known of it so far. Layouts take cells; what nobody takes is looked at last."""

    grid: Grid
    number: int  # place in tab order
    settings: Settings
    words: Words
    decimals: DecimalStyle
    found: Findings
    notes: SheetNotes = field(default_factory=SheetNotes)
    readings: list[SheetReading] = field(default_factory=list)
    across: bool = False  # rows and columns of `grid` are those of the sheet exchanged
    names_at: int | None = None  # the column that is known to name the recipes
    explained: list[tuple[int, int, int, int]] = field(default_factory=list)  # ranges that tell how each cell was read
    bold: bool = False  # no word keeps a sheet or block from being read: the weighing judges whether it is soap
    kept_back: bool = False  # a word kept the sheet or a block of it from being read: `bold` would not heed it
    says_what_it_is: bool = False  # a sheet without recipes that tells what it is instead

    @cached_property
    def taken(self) -> NDArray[np.bool_]:
        """Which positions of the grid's arrays a layout has explained."""
        return np.zeros(len(self.grid.row), dtype=bool)

    @property
    def name(self) -> str:
        """Name of the sheet."""
        return self.grid.name

    @cached_property
    def is_formula(self) -> NDArray[np.bool_]:
        """Which positions of the grid's arrays hold formulas."""
        grid = self.grid
        codes = grid.row.astype(np.int64) << _COLUMN_BITS | grid.column
        places = np.fromiter(
            (r << _COLUMN_BITS | c for r, c in grid.formulas), dtype=np.int64, count=len(grid.formulas)
        )
        return np.isin(codes, places)

    def cell(self, row: int, column: int) -> Cell | None:
        """Return a cell, None where blank, without an index of the whole grid."""
        start, end = np.searchsorted(self.grid.row, np.array((row, row + 1), dtype=np.int32))  # same type: no copy
        place = start + np.searchsorted(self.grid.column[start:end], np.int32(column))
        return self.grid.at(int(place)) if place < end and self.grid.column[place] == column else None

    @cached_property
    def merged(self) -> dict[tuple[int, int], tuple[int, int, int, int]]:
        """Merged ranges by their first cell."""
        return {(m[0], m[1]): m for m in self.grid.merges}

    def take(self, first_row: int, first_column: int, last_row: int, last_column: int) -> None:
        """Mark the cells of a range as explained."""
        grid = self.grid
        rows = slice(np.searchsorted(grid.row, first_row, "left"), np.searchsorted(grid.row, last_row, "right"))
        self.taken[rows] |= (grid.column[rows] >= first_column) & (grid.column[rows] <= last_column)

    def free_rows(self) -> dict[int, list[Cell]]:
        """Return the cells nobody has explained yet, by row, left to right."""
        rows: dict[int, list[Cell]] = {}
        for index in np.flatnonzero(~self.taken).tolist():
            cell = self.grid.at(index)
            rows.setdefault(cell.row, []).append(cell)
        return rows

    def decimal_comma(self, column: int) -> bool | None:
        """Tell whether texts of a column write decimals with a comma."""
        return self.decimals.at(self.name, column)

    def note_unit(self, row: int, text: str) -> bool:
        """Keep a text that states the unit of what stands below it; tell whether it does."""
        unit = unit_stated_in(text) or _lone_unit(text)
        if unit:
            self.notes.add(row, unit)
        return unit is not None

    def place(self, index: int) -> str:
        """Name a column of the grid as the maker sees it: its letters, or the row number on a sheet read across."""
        return str(index) if self.across else column_letters(index)

    def line_name(self, row: int) -> str:
        """Name a row of the grid as the maker sees it."""
        return tr("column {column}", column=column_letters(row)) if self.across else tr("row {row}", row=row)

    def role_set(self, place: str) -> str | None:
        """Return the role that the user's settings give to a column or line of this sheet."""
        return self.settings.roles.get(f"{self.name}!{place}")

    def left_out(self, column: int) -> bool:
        """Tell whether the settings leave a column out."""
        return f"{self.name}!{self.place(column)}" in self.settings.leave_out_columns

    def report(
        self, layout: str, evidence: Iterable[str], *, columns: Iterable[ColumnReading] = (), recipes: int = 0,
        where: tuple[int, int, int, int] | None = None,
    ) -> None:  # fmt: skip
        """Keep how the sheet, or a part of it, was understood."""
        if where and self.across:
            where = (where[1], where[0], where[3], where[2])
        reach = range_address(*where) if where else ""
        self.readings.append(SheetReading(self.name, layout, tuple(evidence), tuple(columns), recipes, reach))

    def not_understood(self, row: int, column: int, what: str, why: str) -> None:
        """Keep something that was not read."""
        cell = address(column, row) if self.across else address(row, column)
        self.found.not_understood.append(NotUnderstood(self.name, cell, what, why))

    def draft(self, layout: str, name: str, row: int, column: int) -> Draft:
        """Begin a recipe at the cell of its name."""
        return Draft(self.number, layout, name, row, column, row, column, row, column)


def _lone_unit(text: str) -> str | None:
    """Return the unit of mass that a title is, and nothing else: `OUNCES`."""
    unit = read_unit(text) if len(text.strip()) > 2 else None
    return unit if unit in ("g", "kg", "oz", "lb") else None


def name_unit(sheet_name: str) -> str | None:
    """Return the unit that a sheet's own name states: `Recipes (oz)`, `Grid grams`."""
    unit = unit_stated_in(sheet_name) or split_heading_unit(sheet_name)[1]
    return unit if unit != "%" else None  # `Recipes in percent` says nothing of the lye in them
