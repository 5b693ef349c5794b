"""Which repair goes with which finding, what is withheld, what is fine."""

import math

import numpy as np
import pandas as pd
import pytest

from sheetcheck.judging import attach_repairs, certainty, in_order, judged, withheld
from sheetcheck.model import Change, Finding, Repair, Signal
from sheetcheck.repairs import RepairResult


def finding(rule: str, signal: Signal, recipe: int | None = 1, cell: str = "A1") -> Finding:
    return Finding(rule, signal, "Recipes", cell, "message", recipe=recipe)


def repair(probability: float, cell: str = "D2") -> Repair:
    return Repair("unit", (Change("Recipes", cell, "307.9 oz", 307.9, "g"),), probability, 3.5, "why")


def test_repairs_go_with_the_worst_finding_about_amounts() -> None:
    findings = [
        finding("superfat-not-as-stated", Signal.CAUTION),
        finding("free-lye", Signal.DANGER, cell="C2"),
        finding("unknown-ingredient", Signal.DANGER),
    ]
    attached = attach_repairs(findings, {1: (repair(0.9),)}, {1: -4.0})
    assert [bool(f.repairs) for f in attached] == [False, True, False]
    assert (attached[1].cell, attached[1].certainty) == ("D2", "likely")


def test_an_even_guess_names_no_cell() -> None:
    attached = attach_repairs([finding("free-lye", Signal.DANGER, cell="C2")], {1: (repair(0.4),)}, {1: -4.0})
    assert (attached[0].cell, attached[0].certainty) == ("C2", None)
    assert attached[0].repairs


def test_the_whole_recipe_in_another_unit_is_no_cause_of_its_superfat() -> None:
    change = Change("Recipes", "D2", "705 lb", 705.0, "g")
    whole = Repair("unit", (change, change), 0.6, 3.5, "why")
    found = [finding("hardly-any-margin", Signal.WARNING)]
    assert attach_repairs(found, {1: (whole,)}, {1: 3.5})[0].repairs == ()
    assert attach_repairs(found, {1: (whole,)}, {1: 0.4})[0].repairs == (whole,)


@pytest.mark.parametrize(("probability", "word"), [(0.5, "possible"), (0.8, "likely"), (0.99, "sure")])
def test_certainty_words(probability: float, word: str) -> None:
    assert certainty(probability) == word


def test_order_is_by_recipe_then_signal_then_cell() -> None:
    findings = [
        finding("x", Signal.NOTICE, 2, "B10"),
        finding("x", Signal.DANGER, 2, "B10"),
        finding("x", Signal.NOTICE, 2, "B9"),
        finding("x", Signal.NOTICE, 1),
        finding("x", Signal.NOTICE, None),
    ]
    assert [(f.recipe, f.signal, f.cell) for f in in_order(findings)] == [
        (None, "NOTICE", "A1"),
        (1, "NOTICE", "A1"),
        (2, "DANGER", "B10"),
        (2, "NOTICE", "B9"),
        (2, "NOTICE", "B10"),
    ]


def frames() -> tuple[pd.DataFrame, pd.DataFrame]:
    recipes = pd.DataFrame({"alkali_recomputed_g": [100.0, 200.0], "liquid_recomputed_g": [300.0, 400.0]}, index=[1, 2])
    components = pd.DataFrame(
        {
            "recipe": [1, 1, 1, 2],
            "row": [2, 2, 2, 3],
            "column": [2, 3, 4, 2],
            "role": ["fat", "alkali", "liquid", "fat"],
            "substance": ["lard", "sodium hydroxide", "water", "lard"],
        }
    )
    return recipes, components


@pytest.mark.parametrize(
    ("suspected", "blank"),
    [
        ({}, False),
        ({1: frozenset({"B2"})}, True),  # a fat
        ({1: frozenset({"C2"})}, False),  # the lye, recomputed from the fats
        ({1: frozenset({"D2"})}, False),  # plain water
    ],
)
def test_no_lye_to_weigh_from_a_suspected_fat(suspected: dict[int, frozenset[str]], blank: bool) -> None:  # noqa: FBT001 - a case
    recipes, components = frames()
    result = withheld(recipes, components, [], RepairResult(by_recipe={}, findings=[], suspected=suspected))
    assert math.isnan(result.loc[1, "alkali_recomputed_g"]) == blank
    assert math.isnan(result.loc[1, "liquid_recomputed_g"]) == blank
    assert result.loc[2, "alkali_recomputed_g"] == 200


def test_no_lye_to_weigh_where_free_lye_has_no_explanation() -> None:
    recipes, components = frames()
    result = withheld(
        recipes, components, [finding("free-lye", Signal.DANGER)], RepairResult(by_recipe={}, findings=[], suspected={})
    )
    assert math.isnan(result.loc[1, "alkali_recomputed_g"])


def test_verdicts() -> None:
    recipes = pd.DataFrame(index=[1, 2, 3, 4])
    why = pd.Series([None, None, None, "no lye"], index=recipes.index, dtype="object")
    findings = [finding("x", Signal.NOTICE, 2), finding("x", Signal.CAUTION, 3), finding("x", Signal.DANGER, 4)]
    result = judged(recipes, findings, why)
    assert result["verdict"].tolist() == ["fine", "fine", "flagged", "not checked"]
    assert result["signal"].tolist() == [None, "NOTICE", "CAUTION", "DANGER"]
    assert result["signal"].dtype == np.dtype("object")
