"""What a recipe is said to make: weights of soap, and numbers of bars with the weight of each."""

import csv
import math
from pathlib import Path

import pytest
from book_files import parse

import sheetcheck
from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.reading.yields import yield_said
from sheetcheck.settings import Settings

CARD = "== Card\nFox\nOlive oil | 24 oz\nCoconut oil | 10 oz\nLye | 4.9 oz\nWater | 12 oz\n{}\n"


def book_of(text: str) -> Book:
    return read_book(parse(text).workbook, Settings())


def yields(book: Book) -> list[tuple[int, float]]:
    said = book.statements[(book.statements["kind"] == "yield") & book.statements["value"].notna()]
    return list(zip(said["recipe"].tolist(), said["value"].round(1).tolist(), strict=True))


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        ("Makes 3.2 lb", 1451.5),
        ("Makes about 3 lb of soap", 1360.8),
        ("Recipe makes 3 lb 3 oz", 1445.8),
        ("Yield: 3 lb 3 oz", 1445.8),
        ("Yield | 51 oz", 1445.8),
        ("Yields 12 bars of 4 oz", 1360.8),
        ("Yield | 12 bars at 4 oz each", 1360.8),
        ("makes 12 large bars (120 g each)", 1440),
        ("Makes 1.4 kg, or 12 bars of 4 oz", 1400),
        ("Ergibt 12 Stück zu 120 g", 1440),
        ("Rendement : 1,4 kg", 1400),
        ("Rinde 1,4 kg", 1400),
    ],
)
def test_a_weight_that_it_makes_is_a_statement_and_no_ingredient(line: str, grams: float) -> None:
    book = book_of(CARD.format(line))
    assert yields(book) == [(1, grams)]
    assert len(book.components) == 4


@pytest.mark.parametrize(
    "line",
    [
        "Makes 12 bars",
        "Yield | 12 bars",
        "Weight after 6 weeks: 3 lb",
        "Makes a hard bar",
        "Makes 2 cups",
        "Yield | 12",
    ],
)
def test_what_is_no_weight_of_the_batch_is_none(line: str) -> None:
    assert yields(book_of(CARD.format(line))) == []


def test_a_column_of_weights_and_one_of_bars() -> None:
    book = book_of("""== Rows
all weights in ounces
Soap | Olive (oz) | Lye (oz) | Water (oz) | Yield (oz) | Yield
Fox | 32 | 4.2 | 10 | 46 | 11
Hare | 16 | 2.1 | 5 | '22.5 oz | 6 bars
""")
    assert yields(book) == [(1, 1304.1), (2, 637.9)]


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("12 bars of 4 oz", 1360.8),
        ("about 3 lb", 1360.8),
        ("12", math.nan),
        ("12 bars", math.nan),
        ("3 cups", math.nan),
    ],
)
def test_weights_in_words(text: str, grams: float) -> None:
    said = yield_said(text)
    assert (math.nan if said is None else said.grams) == pytest.approx(grams, abs=0.1, nan_ok=True)


def on_coconut(folder: Path, line: str) -> float:
    """Return how probable it is that the coconut oil is what is wrong."""
    place = folder / "book.csv"
    rows = [["Fox"], ["Olive oil", "24 oz"], ["Coconut oil", "1 oz"], ["Lye", "4.9 oz"], ["Water", "12 oz"], [line]]
    with place.open("w", newline="", encoding="utf-8") as lines:
        csv.writer(lines).writerows(rows)
    repairs = [repair for finding in sheetcheck.audit(place).findings for repair in finding.repairs]
    return sum(repair.probability for repair in repairs if [change.cell for change in repair.changes] == ["B3"])


def test_what_it_makes_speaks_for_the_amount_that_was_meant(tmp_path: Path) -> None:
    """One ounce of coconut for ten: the lye alone may as well be left from a larger batch."""
    assert on_coconut(tmp_path, "Makes 3.2 lb") > on_coconut(tmp_path, "Cures 6 weeks") + 0.2
