import doctest
from types import SimpleNamespace
from typing import Any

import pytest

from sheetcheck.rules.support import wording
from sheetcheck.rules.support.wording import holds, listed, mass, percent, span, times
from sheetcheck.words import MINUS


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(wording).failed == 0


@pytest.mark.parametrize(
    ("grams", "unit", "said"),
    [
        (307.875, "oz", "10.86 oz"),
        (307.875, "g", "307.9 g"),
        (2267.96, "g", "2,268 g"),
        (1250.0, "kg", "1.25 kg"),
        (992.23, "lb oz", "2 lb 3 oz"),
        (85.05, "lb oz", "3 oz"),
        (100.0, None, "100 g"),
        (100.0, "cup", "100 g"),
    ],
)
def test_mass_is_said_in_the_unit_of_the_row(grams: float, unit: str | None, said: str) -> None:
    assert mass(grams, unit) == said


@pytest.mark.parametrize(
    ("ratio", "said"), [(1.02, "2 % more"), (1.45, "45 % more"), (3.2, "3.2 times as much"), (27.1, "27 times as much")]
)
def test_how_much_more(ratio: float, said: str) -> None:
    assert times(ratio) == said


def test_percentages() -> None:
    assert percent(5.26) == "5.3 %"
    assert percent(-2564.1) == f"{MINUS}2,564 %"
    assert span(1.0, 4.0) == "1.0 to 4.0 %"
    assert span(2.0, 2.0) == "2.0 %"


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ({"written": "2 lb 3 oz", "unit": "lb oz", "unit_from": "cell text"}, "2 lb 3 oz"),
        ({"written": None, "value": 13.0, "unit": "oz", "unit_from": "heading"}, "13 oz"),
        ({"written": "12,5", "value": 12.5, "unit": "g", "unit_from": "sheet note"}, "12,5 g"),
        ({"written": None, "unit": None, "unit_from": None}, ""),
        ({"written": "?", "unit": None, "unit_from": None}, "?"),
    ],
)
def test_what_a_cell_holds(cell: dict[str, Any], said: str) -> None:
    assert holds(SimpleNamespace(**{"value": float("nan")} | cell)) == said


def test_long_lists_are_cut() -> None:
    assert listed(["A1"]) == "A1"
    assert listed(["A1", "B1", "C1"]) == "A1, B1 and C1"
    assert listed(list("ABCDEF")) == "A, B, C, D and 2 more"
