"""Words that stand beside a label in a card are remarks: they must not keep the recipe from being checked."""

import pytest
from book_files import parse

from sheetcheck.reading.book import read_book
from sheetcheck.settings import Settings

CARD = [
    "== Cards",
    "*Plover*",
    "What | grams | weighed by",
    "Olive oil | 600",
    "Coconut oil | 400",
    "Lye | 142",
    "Water | 300",
]


@pytest.mark.parametrize("line", ["What we learnt: | stir longer", "Neighbours said | they would like a harder one"])
def test_words_beside_a_label_weigh_nothing(line: str) -> None:
    book = read_book(parse("\n".join([*CARD, line])).workbook, Settings())
    assert book.components["name"].tolist() == ["Olive oil", "Coconut oil", "Lye", "Water"]


def test_an_ingredient_whose_amount_is_told_in_words_is_not_passed_over() -> None:
    book = read_book(parse("\n".join([*CARD, "Castor oil: | a good splash of it"])).workbook, Settings())
    assert book.components["problem"].notna().sum() == 1
