"""Where each amount of a made-up book stands, in three shapes, and the book as a workbook."""

from __future__ import annotations

from functools import lru_cache
from itertools import accumulate
from pathlib import Path

import xlsxwriter

from tests.benchmarks.book_generator import Book, Recipe

SHEET = "Recipes"
FIRST_ROW = 4  # counted from 1, as columns are
NAMES = {"sodium hydroxide": "Lye", "water": "Water", "goat milk": "Goat milk"}
LIQUIDS = ("water", "goat milk")
EXTRAS = ("Fats total", "Superfat %", "Lye concentration %", "Notes")


@lru_cache(maxsize=2)
def columns(book: Book) -> list[str]:
    """Everything that any recipe of the book has, in the order of its columns (or lines)."""
    listed = [a for recipe in book.written for a in recipe.amounts]
    fats, liquids = ([a.substance for a in listed if a.role == role] for role in ("fat", "liquid"))
    return [*dict.fromkeys([*book.palette, *fats]), *dict.fromkeys([*LIQUIDS, *liquids]), "sodium hydroxide"]


def place_of(book: Book, number: int, place: int) -> tuple[int, int]:
    """Row and column of an amount."""
    if book.shape == "list":
        return _top(book, number) + 1 + place, 2
    at = columns(book).index(book.written[number].amounts[place].substance)
    return (FIRST_ROW + number, 2 + at) if book.shape == "table" else (FIRST_ROW + at, 2 + number)


def extra_of(book: Book, number: int, which: int) -> tuple[int, int]:
    """Row and column of what is stated beside the amounts: total, superfat, lye concentration, notes."""
    if book.shape == "list":
        return _top(book, number) + 1 + len(book.written[number].amounts) + which, 2
    at = len(columns(book)) + which
    return (FIRST_ROW + number, 2 + at) if book.shape == "table" else (FIRST_ROW + at, 2 + number)


def name_of(book: Book, number: int) -> tuple[int, int]:
    """Row and column of a recipe's name."""
    if book.shape == "list":
        return _top(book, number), 1
    return (FIRST_ROW + number, 1) if book.shape == "table" else (FIRST_ROW - 1, 2 + number)


def _top(book: Book, number: int) -> int:
    return _tops(book)[number]


@lru_cache(maxsize=2)
def _tops(book: Book) -> list[int]:
    return list(accumulate((len(r.amounts) + len(EXTRAS) + 3 for r in book.written), initial=FIRST_ROW))


def stated(recipe: Recipe) -> tuple[object, ...]:
    """What a recipe states, in the order of `EXTRAS`."""
    return recipe.total, recipe.superfat, recipe.concentration, recipe.remark or None


def write(book: Book, target: Path) -> Path:
    """Write the book as a maker would keep it: the unit in the headings, a title above."""
    with xlsxwriter.Workbook(str(target)) as workbook:
        sheet = workbook.add_worksheet(SHEET)
        sheet.write(0, 0, "Recipe book")

        def put(where: tuple[int, int], value: object) -> None:
            if value is not None:
                sheet.write(where[0] - 1, where[1] - 1, value)

        _headings(book, put)
        for number, recipe in enumerate(book.written):
            put(name_of(book, number), recipe.name)
            for place, amount in enumerate(recipe.amounts):
                row, column = place_of(book, number, place)
                put((row, column), amount.value)
                if book.shape == "list":
                    put((row, 1), _called(amount.substance))
                    put((row, 3), book.unit)
            for which, value in enumerate(stated(recipe)):
                row, column = extra_of(book, number, which)
                put((row, column), value)
                if book.shape == "list" and value is not None:
                    put((row, 1), EXTRAS[which])
                    put((row, 3), book.unit if which == 0 else None)
    return target


def _headings(book: Book, put) -> None:  # noqa: ANN001 - the function above
    if book.shape == "list":
        return
    table = book.shape == "table"
    corner = FIRST_ROW - 1
    put((corner, 1), "Recipe" if table else "Ingredient")
    headings = [f"{_called(name)} ({book.unit})" for name in columns(book)]
    extras = [f"Fats total ({book.unit})", *EXTRAS[1:]]
    used = [any(stated(recipe)[which] is not None for recipe in book.written) for which in range(len(EXTRAS))]
    for at, heading in enumerate([*headings, *(e if u else None for e, u in zip(extras, used, strict=True))]):
        put((corner, 2 + at) if table else (FIRST_ROW + at, 1), heading)


def _called(substance: str) -> str:
    return NAMES.get(substance, substance.capitalize())
