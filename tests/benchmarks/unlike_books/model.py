"""What a made book is of: amounts, recipes, slips, and the cells that they were written into."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}  # [g] exact: international pound of 1959

Slot = tuple[str, str]  # role and substance
Place = tuple[str, str]  # sheet and cell


@dataclass(frozen=True)
class Amount:
    """One amount as it stands in the book, and as it was meant where the two differ."""

    role: str  # fat, alkali, liquid, additive
    substance: str
    value: float
    unit: str
    right: tuple[float, str] | None = None  # value and unit that were meant; None: the written ones are right
    missing: bool = False  # the cell was left empty

    @property
    def slot(self) -> Slot:
        """Role and substance: what a column is for."""
        return self.role, self.substance

    @property
    def grams(self) -> float:
        """[g], as written."""
        return self.value * GRAMS[self.unit]

    @property
    def meant(self) -> Amount:
        """The amount without its slip."""
        if self.right is None:
            return self
        return replace(self, value=self.right[0], unit=self.right[1], right=None)


@dataclass(frozen=True)
class Recipe:
    """One recipe of a book."""

    number: int  # unique in its book
    name: str
    amounts: tuple[Amount, ...]
    superfat: float | None = None  # per cent, where it is stated with the recipe
    note: str = ""
    extras: dict[str, Any] = field(default_factory=dict)  # price, date, ... by concept
    slip: str | None = None  # kind
    material: str = ""  # what the slip leads to, in words
    danger: bool = False  # free lye if it is followed

    def of(self, role: str) -> list[Amount]:
        """All amounts of a role."""
        return [amount for amount in self.amounts if amount.role == role]

    def index(self, slot: Slot) -> int | None:
        """Which amount fills a slot."""
        return next((i for i, amount in enumerate(self.amounts) if amount.slot == slot), None)

    def grams(self, role: str) -> float | None:
        """[g] of a role as written; None where one was left empty."""
        amounts = self.of(role)
        return None if any(a.missing for a in amounts) else sum(a.grams for a in amounts)


@dataclass
class Sheet:
    """Cells in the making; rows and columns are counted from 0."""

    name: str
    layout: str
    cells: dict[tuple[int, int], Any] = field(default_factory=dict)
    formulas: dict[tuple[int, int], str] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    formats: dict[tuple[int, int], str] = field(default_factory=dict)
    recipes: list[Recipe] = field(default_factory=list)  # in reading order
    places: dict[tuple[int, int], list[str]] = field(default_factory=dict)  # (recipe, amount) -> cells
    unmeasured: set[tuple[int, str]] = field(default_factory=set)  # (recipe, role): the book says two things of it

    def put(self, row: int, col: int, value: object) -> None:
        """Write a value; None and "" leave the cell empty."""
        if (row, col) in self.cells:
            raise ValueError(f"{self.name}: {xl_rowcol_to_cell(row, col)} is written twice")
        if value not in (None, ""):
            self.cells[row, col] = value

    def put_amount(self, row: int, col: int, value: object, recipe: Recipe, index: int) -> None:
        """Write an amount of a recipe, and remember where."""
        self.put(row, col, value)
        self.stands(row, col, recipe, index)

    def stands(self, row: int, col: int, recipe: Recipe, index: int) -> None:
        """Remember that a cell holds an amount (among others)."""
        self.places.setdefault((recipe.number, index), []).append(xl_rowcol_to_cell(row, col))

    def merge(self, top: int, left: int, bottom: int, right: int) -> None:
        """Merge cells around the value that stands at their top left."""
        if (top, left) != (bottom, right):
            self.merged.append((top, left, bottom, right))

    @property
    def bottom(self) -> int:
        """The first row below all that is written."""
        return 1 + max((row for row, _ in self.cells), default=-1)

    @property
    def right(self) -> int:
        """The first column right of all that is written."""
        return 1 + max((col for _, col in self.cells), default=-1)


@dataclass
class Made:
    """A made book with what is true of it."""

    author: int
    sheets: list[Sheet]
    traits: dict[str, str]  # how this maker writes, for the tables

    def recipes(self) -> Iterator[tuple[Sheet, Recipe]]:
        """All recipes with their sheets, in reading order."""
        for sheet in self.sheets:
            for recipe in sheet.recipes:
                yield sheet, recipe

    def write(self, path: Path) -> Path:
        """Write the workbook."""
        with xlsxwriter.Workbook(str(path)) as book:
            for sheet in self.sheets:
                page = book.add_worksheet(sheet.name)
                for top, left, bottom, right in sheet.merged:
                    page.merge_range(top, left, bottom, right, "")
                for (row, col), value in sheet.cells.items():
                    shown = sheet.formats.get((row, col))
                    how = book.add_format({"num_format": shown}) if shown else None
                    if (row, col) in sheet.formulas:
                        page.write_formula(row, col, sheet.formulas[row, col], how, value)
                    elif isinstance(value, str):
                        page.write_string(row, col, value, how)
                    else:
                        page.write(row, col, value, how)
        return path
