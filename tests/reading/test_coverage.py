"""How much of the amounts is read, counted apart from the reader: every number and every weight inside a recipe.

A cell counts where it lies in the range of a recipe and holds a number other than zero or a text that is an amount,
unless a word beside or above it says that it is no amount of an ingredient (a sum, a yield, a cost), or it numbers the
lines. It is accounted for where it was read as an amount or a statement, or stands in a column or line of which the
sheet's reading says that it is something else. All others must be listed as not understood, and be few.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from book_files import FOLDER, load, parse

from sheetcheck.model import Book, column_letters
from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.book import read_book
from sheetcheck.settings import Settings
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook
from sheetcheck.workbook.read import read_workbook
from tests.books import write_book
from tests.clean_books import BOOKS

AT_LEAST = 0.98
ADDED_UP = frozenset({"list-pounds-and-ounces", "cards-lye-beside-the-title"})  # ounces are part of the pounds beside
OF_ELSE = re.compile(r"(?:[£$€]|all |total|sum|yield|temp|cost|weeks|batch$)", re.IGNORECASE)
EXPLAINED = frozenset({"recipe", "number", "date", "notes", "ignore", "unit", "not understood"})


@dataclass
class Counted:
    """Cells that hold amounts, those of them that were read, and those that are neither read nor listed."""

    cells: int = 0
    read: int = 0
    silent: tuple[str, ...] = ()

    def __add__(self, other: "Counted") -> "Counted":
        return Counted(self.cells + other.cells, self.read + other.read, self.silent + other.silent)


def count(workbook: Workbook) -> Counted:
    """Count the amounts of a workbook."""
    book = read_book(workbook, Settings())
    read = {(sheet, r, c) for f in (book.components, book.statements) for sheet, r, c in _places(f)}
    unread = {(s, r, c) for s, r, c in _places(book.components[book.components["problem"].notna()])}
    listed = {(n.sheet, n.cell) for n in book.not_understood}
    total = Counted()
    for grid in workbook.grids:
        for cell in _amounts_in_recipes(book, grid):
            place = (grid.name, cell.row, cell.column)
            is_read = place in read and place not in unread
            known = is_read or (grid.name, cell.address) in listed
            total += Counted(1, int(is_read), () if known else (f"{workbook.name} {grid.name}!{cell.address}",))
    return total


def _places(frame: object) -> Iterator[tuple[str, int, int]]:
    yield from zip(frame["sheet"], frame["row"], frame["column"], strict=True)  # type: ignore[index]  # a frame


def _amounts_in_recipes(book: Book, grid: Grid) -> Iterator[Cell]:
    recipes = book.recipes[book.recipes["sheet"] == grid.name]
    names = set(zip(recipes["row"], recipes["column"], strict=True))
    explained = {c.place for s in book.sheets if s.sheet == grid.name for c in s.columns if c.role in EXPLAINED}
    for i in range(len(grid.row)):
        cell = grid.at(i)
        if not _is_amount(cell) or (cell.row, cell.column) in names or _is_of_else(grid, cell):
            continue
        inside = recipes[
            (recipes["first_row"] <= cell.row) & (cell.row <= recipes["last_row"])
            & (recipes["first_column"] <= cell.column) & (cell.column <= recipes["last_column"])
        ]  # fmt: skip
        if not inside.empty and not {column_letters(cell.column), str(cell.row)} & explained:
            yield cell


def _is_amount(cell: Cell) -> bool:
    if cell.kind is Kind.NUMBER:
        return cell.number != 0
    return cell.kind is Kind.TEXT and amount_only(cell.text) is not None


def _is_of_else(grid: Grid, cell: Cell) -> bool:
    """Tell whether a word in the row or at the top of the column says what a number is, or it numbers the lines."""
    beside = [c for c in grid.row_cells(cell.row) if c.kind is Kind.TEXT and c.column != cell.column]
    column = [grid.at(i) for i in np.flatnonzero(grid.column == cell.column)]
    above = [c for c in column if c.kind is Kind.TEXT and c.row < cell.row]
    numbers = [c.number for c in column if c.kind is Kind.NUMBER]
    counts = numbers[:3] == [1, 2, 3] and all(n == round(n) for n in numbers)
    return counts or any(OF_ELSE.match(c.text) for c in (*beside, *above[:1]))


def _of_files() -> Counted:
    return sum((count(load(path).workbook) for path in sorted(FOLDER.glob("*.txt"))), Counted())


def _of_builders(folder: Path) -> Counted:
    made = Counted()
    for number, book in enumerate(BOOKS.values()):
        made += count(read_workbook(write_book(folder / f"{number}.xlsx", book.sheets)))
    return made


@pytest.fixture(scope="module")
def counted(tmp_path_factory: pytest.TempPathFactory) -> Counted:
    return _of_files() + _of_builders(tmp_path_factory.mktemp("books"))


def test_nearly_all_amounts_are_read(counted: Counted) -> None:
    assert counted.cells > 5000
    assert counted.read / counted.cells >= AT_LEAST


def test_every_other_amount_is_listed(counted: Counted) -> None:
    assert [place for place in counted.silent if place.partition(" ")[0] not in ADDED_UP] == []


def test_the_account_of_a_sheet_closes_and_says_where_the_rest_stands() -> None:
    """A block of numbers beside the recipes that no word explains is counted as not read, with its place."""
    rows = [
        "Soap | Olive oil (g) | Coconut oil (g) | Lye (g) | Water (g)",
        *(f"Soap {n} | 600 | 400 | 142 | 300" for n in "ab"),
    ]
    text = "\n".join(["== Soaps", *rows, "", " |  |  |  |  |  |  | 17.5", " |  |  |  |  |  |  | 3"])
    book = read_book(parse(text).workbook, Settings())
    (account,) = book.account
    assert (account.numbers, account.used, account.not_read) == (10, 8, 2)
    assert [n.cell for n in book.not_understood if "neither part of a recipe nor explained" in n.why] == ["H5:H6"]
