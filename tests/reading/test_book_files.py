import math
from pathlib import Path

import pytest
from book_files import FOLDER, load

from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.settings import Settings

FILES = sorted(FOLDER.glob("*.txt"))
SUMS = {"fat": "fat", "lye": "alkali", "liquid": "liquid", "acid": "acid", "unknown": "unknown"}


def _grams(book: Book, recipe: int, role: str) -> float:
    lines = book.components[(book.components["recipe"] == recipe) & (book.components["role"] == role)]
    return float(lines["grams"].sum())


def _check(book: Book, number: int, facts: dict[str, str]) -> None:
    row = book.recipes.loc[number]
    for fact, value in facts.items():
        if fact in SUMS:
            assert _grams(book, number, SUMS[fact]) == pytest.approx(float(value), rel=0.005), (row["name"], fact)
        elif fact == "superfat":
            stated = row["stated_superfat"]
            assert stated == pytest.approx(float(value)) or (value == "nan" and math.isnan(stated)), row["name"]
        elif fact == "unread":
            assert row["unread"] == int(value), row["name"]
        elif fact == "sure":  # whether every name that bears on the lye is known for certain
            own = book.components[(book.components["recipe"] == number) & book.components["bears"]]
            doubtful = own["name_certainty"].isin(("ambiguous", "unknown")) | (own["role"] == "unknown")
            assert doubtful.any() == (value == "no"), row["name"]
        elif fact in ("struck", "no_margin_stated"):
            assert bool(row[fact]) == (value == "yes"), row["name"]
        elif fact in ("unit", "row", "column"):
            assert str(row[fact]) == value, row["name"]
        elif fact == "unit_from":
            used = set(book.components.loc[book.components["recipe"] == number, "unit_from"].dropna())
            assert used == {value.replace("_", " ")}, row["name"]
        else:
            raise AssertionError(fact)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_book_gives_its_recipes_and_nothing_else(path: Path) -> None:
    file = load(path)
    book = read_book(file.workbook, Settings())
    assert book.recipes["name"].tolist() == [e.name for e in file.recipes]
    for number, expected in enumerate(file.recipes, 1):
        facts = {"unread": "0"} | expected.facts
        _check(book, number, facts)
    if "layout" in file.facts:
        assert set(book.recipes["layout"]) == {file.facts["layout"]}
    for sheet in filter(None, file.facts.get("no recipe", "").split(", ")):
        assert {s.layout for s in book.sheets if s.sheet == sheet} == {"no recipe"}, sheet
        assert any(n.sheet == sheet for n in book.not_understood), sheet
    if "own values" in file.facts:
        assert len(book.own_values) == int(file.facts["own values"])


def test_there_are_enough_books() -> None:
    assert len(FILES) >= 40
