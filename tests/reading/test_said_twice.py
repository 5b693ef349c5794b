"""What a sheet says twice, or away from its recipe: amounts in two units, shares, remarks; and what was not read."""

import math

import pytest
from book_files import parse

from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.settings import Settings


def book_of(text: str) -> Book:
    return read_book(parse(text).workbook, Settings())


def statements(book: Book, kind: str) -> list[tuple[int, int, float]]:
    said = book.statements[book.statements["kind"] == kind]
    return list(zip(said["about_row"], said["about_column"], said["value"].round(1), strict=True))


GRID = """== Grid
Ingredient | <2>Fox | | <2>Hare
 | g | oz | g | oz
Olive oil | 700 | 24.69 | 350 | 12.35
Coconut oil | 300 | 10.58 | 150 | {coconut}
Lye | 141 | 4.97 | 70 | 2.47
Water | 300 | 10.58 | 150 | 5.29
"""


def test_the_same_amount_in_another_unit_is_a_statement() -> None:
    book = book_of(GRID.format(coconut=5.29))
    assert len(book.recipes) == 2
    assert len(statements(book, "same amount")) == 8
    assert (5, 2, 140.9) in statements(book, "same amount")
    assert book.components["other_grams"].isna().all()


def test_another_amount_in_the_other_unit_is_kept_as_a_second_reading() -> None:
    book = book_of(GRID.format(coconut=9.25))
    doubtful = book.components[book.components["other_grams"].notna()]
    assert doubtful[["row", "column"]].to_numpy().tolist() == [[4, 4]]
    assert doubtful["other_grams"].iloc[0] == pytest.approx(9.25 * 28.349523125)
    assert doubtful["grams"].iloc[0] == 150


@pytest.mark.parametrize(
    ("grams", "other", "agree"),
    [
        ("700", "24.7", True),
        ("700", "25", True),  # whole ounces
        ("680", "24", True),
        ("141", "5.0", True),
        ("141", "5.20", False),
        ("28", "1", True),
        ("7", "0.2", True),  # a tenth of an ounce is 2.8 g
        ("7", "0.40", False),
    ],
)
def test_rounding_is_no_disagreement(grams: str, other: str, agree: bool) -> None:  # noqa: FBT001 - a case has both
    book = book_of(f"== Rows\nSoap | Olive g | Lye g | Lye oz | Water g\nFox | 1000 | {grams} | {other} | 300\n")
    lye = book.components[book.components["role"] == "alkali"]
    assert len(lye) == 1
    assert math.isnan(lye["other_grams"].iloc[0]) == agree


@pytest.mark.parametrize(
    "lines",
    [
        "Olive oil | 24 oz (680 g)\nCoconut oil | 10 oz (238 g)\nLye | 4.9 oz (139 g)\nWater | 12 oz (340 g)",
        "Olive oil 24 oz (680 g)\nCoconut oil 10 oz (238 g)\nLye 4.9 oz (139 g)\nWater 12 oz (340 g)",
        "Olive oil | 24 oz | 680 g\nCoconut oil | 10 oz | 238 g\nLye | 4.9 oz | 139 g\nWater | 12 oz | 340 g",
        "Olive oil | 24 oz = 680 g\nCoconut oil | 10 oz = 238 g\nLye | 4.9 oz = 139 g\nWater | 12 oz = 340 g",
    ],
    ids=["in brackets", "in one cell", "in the next cell", "after a sign"],
)
def test_another_amount_in_another_unit_beside_the_first_is_kept_too(lines: str) -> None:
    book = book_of(f"== Card\nFox\n{lines}\n")
    assert book.components["grams"].round(1).tolist() == [680.4, 283.5, 138.9, 340.2]
    assert book.components["other_grams"].fillna(-1).tolist() == pytest.approx([-1, 238, -1, -1])


def test_one_amount_or_another_in_the_same_unit_is_no_amount() -> None:
    book = book_of("== Card\nFox\nOlive oil | 10 oz or 12 oz\nLye | 1.3 oz\nWater | 4 oz\n")
    assert book.recipes["unread"].tolist() == [1]


def test_a_second_statement_settles_an_amount_with_two_readings() -> None:
    rows = "== Rows\nSoap | Olive g | Olive oz | Lye g | Water g\nFox | '1.250 | {} | 165 | 380\n"
    assert book_of(rows.format(44.09)).components["other_grams"].isna().all()
    assert book_of(rows.format(0.04)).components["other_grams"].notna().any()


def test_shares_across_are_statements_about_their_amounts() -> None:
    book = book_of("""== Grid
 | <2>Fox | | <2>Hare
 | % | g | g | %
Olive oil | 70 | 700 | 350 | 60
Coconut oil | 30 | 300 | 150 | 40
Lye | | 141 | 70
Water | | 300 | 150
""")
    assert statements(book, "share of fats") == [(3, 3, 70), (4, 3, 30), (3, 4, 60), (4, 4, 40)]
    assert book.components["grams"].sum() == 1441 + 720


LISTED = """== Card
Fox
Olive oil | 700 g
Coconut oil | 300 g
Lye | 141 g
Water | 300 g

stir, then add 50 g castor oil at trace
cures 6 weeks, 12 bars of 110 g, costs 3.20
superfat 9 % is what others take
== Later
Lard | 5 kg
notes for the spring | ring 555 0101, order no 17
Olive oil at 6.20 the kilo
12 bars | 4.50
4 Mill Lane
"""


def test_what_was_not_read_is_listed_and_nothing_else() -> None:
    book = book_of(LISTED)
    listed = {(n.sheet, n.cell) for n in book.not_understood}
    assert {("Card", "A9"), ("Later", "A1"), ("Later", "B1")} >= listed
    assert any(sheet == "Later" for sheet, _ in listed)
    assert book.recipes["name"].tolist() == ["Fox"]
    assert ("castor oil", 50.0) in set(zip(book.components["substance"], book.components["grams"], strict=True))


def test_words_that_repeat_what_is_listed_are_no_second_amount() -> None:
    book = book_of(LISTED.replace("add 50 g castor oil", "add the 300 g coconut oil"))
    assert book.components["grams"].tolist() == [700, 300, 141, 300]


def test_a_superfat_that_belongs_to_no_recipe_is_listed() -> None:
    book = book_of("""== Rows
Soap | Olive (g) | Lye (g) | Water (g)
Fox | 1000 | 128 | 300
Hare | 1000 | 128 | 300


Others take 9 % superfat
""")
    assert book.recipes["stated_superfat"].isna().all()
    assert [n.cell for n in book.not_understood if "superfat" in n.why] == ["A6"]


def test_a_unit_in_a_note_that_is_not_for_all_is_listed() -> None:
    book = book_of("""== Rows
Soap | Olive (g) | Lye (g) | Water (g)
Fox | 1000 | 128 | 300
Hare ^[all weights in ounces] | 1000 | 128 | 300
""")
    assert [n.cell for n in book.not_understood] == ["A3"]
    assert set(book.components["unit"]) == {"g"}


@pytest.mark.parametrize(
    "remark",
    ["superfat 16 % on purpose", "(superfat 16 %)", "Salt bar, superfat 16 %"],
)
def test_a_line_below_a_card_is_about_that_card(remark: str) -> None:
    book = book_of(f"""== Cards
Rock
Coconut oil | 1000 g
Lye | 154 g
Water | 330 g

{remark}

Fox
Olive oil | 1000 g
Lye | 128 g
Water | 300 g
""")
    assert book.recipes["stated_superfat"].fillna(-1).tolist() == [16, -1]


def test_a_title_in_bold_is_about_the_cards_below() -> None:
    book = book_of("""== Cards
Fox
Olive oil | 1000 g
Lye | 128 g
Water | 300 g

*With 5 % superfat*

Hare
Olive oil | 1000 g
Lye | 128 g
Water | 300 g
""")
    assert book.recipes["stated_superfat"].fillna(-1).tolist() == [-1, 5]


@pytest.mark.parametrize(
    ("title", "stated"),
    [
        ("Goat milk soaps, superfat 6 %", 6),
        ("Never below 3 % superfat", -1),
        ("Superfat 0 %", -1),
        ("Laundry, superfat 0 %", 0),
    ],
)
def test_a_title_of_a_sheet_holds_for_all_but_no_rule_does_and_none_without_margin(title: str, stated: float) -> None:
    book = book_of(f"""== Rows
{title}

Soap | Olive (g) | Lye (g) | Water (g)
Fox | 1000 | 128 | 300
Hare | 1000 | 128 | 300
""")
    assert book.recipes["stated_superfat"].fillna(-1).tolist() == [stated, stated]
    assert (stated >= 0) == ("A1" not in {n.cell for n in book.not_understood})
