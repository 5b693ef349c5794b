from typing import Any

import pandas as pd
import pytest
from builders import evidence, recipe

from sheetcheck.rules.not_checked import why_not_checked
from sheetcheck.settings import Settings


def _why(**given: Any) -> object:  # noqa: ANN401 - what a recipe is made of
    return why_not_checked(evidence([recipe(**given)]))[1]


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"liquid": {"water": "20 oz"}}, "no fats and no lye on this card"),
        ({"fats": {"lard": "64 oz"}}, "no lye is written"),
        ({"lye": "8.5 oz"}, "no fats are written"),
        ({"fats": {"lard": "64 oz"}, "lye": "?"}, "C2 (lye) was not read: '?' is not an amount"),
        ({"fats": {"lard": "64 oz"}, "lye": "8.5 oz", "liquid": {"water": "a jug"}}, "D2 (water) was not read"),
        ({"fats": {"lard": "64 oz"}, "unknown": {"Gran's": "2 oz"}, "lye": "8.5 oz"}, "“Gran's” is not known"),
        ({"fats": {"lard": "64 oz"}, "lye": {"washing soda": "9 oz"}}, "cannot be worked out"),
        ({"fats": {"lard": "64 oz"}, "lye": {"koh": "12 oz"}}, "the purity of the potassium hydroxide is not stated"),
        ({"fats": {"lard": "64 oz"}, "lye": "-8.5 oz"}, "C2 (lye) holds −⁠8.5 oz"),
    ],
)
def test_reason_is_said(given: dict[str, Any], reason: str) -> None:
    assert reason in str(_why(**given))


def test_checked_recipes_have_no_reason() -> None:
    assert _why(fats={"lard": "64 oz"}, lye="8.5 oz", liquid={"water": "20 oz"}) is None
    assert _why(fats={"lard": "64 oz"}, lye="8.5 oz", additives={"scent": "to taste"}) is None


def test_purity_that_is_set_needs_no_word_on_the_sheet() -> None:
    seen = evidence([recipe(fats={"lard": "64 oz"}, lye={"koh": "14 oz"})], Settings(koh_purity=90.0))

    assert why_not_checked(seen)[1] is None


def test_reasons_are_in_the_order_of_the_recipes() -> None:
    book = [recipe("A", fats={"lard": "64 oz"}, lye="8.5 oz"), recipe("B", fats={"lard": "64 oz"})]

    assert list(why_not_checked(evidence(book)).isna()) == [True, False]
    assert isinstance(why_not_checked(evidence(book)), pd.Series)
