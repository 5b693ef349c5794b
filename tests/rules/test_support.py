"""What the rules share: choices, rows, sums by recipe."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
import pandas as pd

from sheetcheck.rules.support.choice import first_that_holds
from sheetcheck.rules.support.rows import component_rows, first_component, recipe_rows
from tests.builders import evidence, recipe


class Fruit(StrEnum):
    APPLE = "apple"
    PEAR = "pear"
    NONE = ""


def test_the_first_condition_that_holds_gives_the_word() -> None:
    index = pd.Index([3, 5, 8])
    chosen = first_that_holds(
        [
            (Fruit.PEAR, pd.Series([False, True, False], index)),
            (Fruit.APPLE, pd.Series([True, True, False], index)),
            (Fruit.PEAR, pd.Series([True, True, False], index)),
        ],
        Fruit.NONE,
    )
    assert chosen.to_dict() == {3: "apple", 5: "pear", 8: ""}
    assert (chosen == Fruit.PEAR).tolist() == [False, True, False]


SOAP = recipe(fats={"lard": "500 g", "olive oil": "300 g"}, lye={"sodium hydroxide": "100 g"})
HALF_READ = recipe(fats={"lard": "500 g", "olive oil": "some"}, liquid={"water": "200 g"})


def test_totals_by_recipe_are_unknown_where_an_amount_is() -> None:
    given = evidence([SOAP, HALF_READ])
    grams = given.components["grams"]
    np.testing.assert_array_equal(given.total(grams, "fat"), [800.0, np.nan])
    np.testing.assert_array_equal(given.total(grams, "liquid"), [0.0, 200.0])
    np.testing.assert_array_equal(given.total(grams), [900.0, np.nan])
    assert given.of_role("fat").tolist() == [True, True]
    assert given.of_role("alkali").tolist() == [True, False]


def test_lines_and_places_are_those_of_the_recipe() -> None:
    given = evidence([SOAP, HALF_READ])
    assert [line.name for line in given.lines(2)] == ["lard", "olive oil", "water"]
    assert given.place(1, "fat").name == "lard"
    assert given.place(2, "alkali") == given.anchor(2)
    assert given.cells(1, "fat") == ["B2", "C2"]


def test_rows_hold_what_their_frame_holds() -> None:
    given = evidence([SOAP, HALF_READ])
    lines = list(component_rows(given.components))
    assert [line.name for line in lines] == ["lard", "olive oil", "sodium hydroxide", "lard", "olive oil", "water"]
    assert [line.recipe for line in lines] == [1, 1, 1, 2, 2, 2]
    np.testing.assert_array_equal([line.grams for line in lines], given.components["grams"])
    assert first_component(given.components[given.components["role"] == "liquid"]).name == "water"
    made = list(recipe_rows(given.recipes))
    assert [row.Index for row in made] == [1, 2]
    np.testing.assert_array_equal([row.superfat_typical for row in made], given.recipes["superfat_typical"])
