"""The maker's own unit, and fractions where she writes them."""

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rescaled_books import OUNCE, audit_of

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.rescaling.amounts import amount_text, weight_text
from sheetcheck.rescaling.bench import read_bench
from sheetcheck.rescaling.own_units import own_units
from sheetcheck.rescaling.rows import line_rows
from sheetcheck.rescaling.scaling import rescale
from sheetcheck.rescaling.targets import read_targets
from tests.builders import Sketch, recipe


def typed(text: str, **figures: float) -> dict[str, object]:
    """An amount as a text that a maker types, for `recipe`."""
    read = read_amount(text).readings[0]
    said = {"amount": "1 g", "written": text, "unit": read.unit, "value": read.value, "grams": read.grams}
    return {**said, **figures}


def own_recipe(fat: str, other: str, lye: dict[str, object], water: dict[str, object]) -> Sketch:
    fats = {"lard": typed(fat), "coconut oil": typed(other)}
    return recipe("Own", fats=fats, lye={"sodium hydroxide": lye}, liquid={"water": water})


def written(fat: str, other: str, lye: str, water: str) -> pd.DataFrame:
    """Components of a recipe whose amounts are texts as a maker types them."""
    return audit_of([own_recipe(fat, other, typed(lye), typed(water))]).book.components


@pytest.mark.parametrize(
    ("amounts", "unit"),
    [
        (("2 lb 3 oz", "12 oz", "6.4 oz", "14 oz"), "lb oz"),
        (("3 lb", "14 oz", "8 oz", "1 lb"), "lb oz"),
        (("1 ½ lb", "½ lb", "¼ lb", "1 lb"), "lb oz"),
        (("2.5 lb", "0.75 lb", "0.45 lb", "1 lb"), "lb"),
        (("24 oz", "8 oz", "4.5 oz", "10 oz"), "oz"),
        (("700 g", "300 g", "145 g", "330 g"), "g"),
        (("7 kg", "3 kg", "1.45 kg", "3.3 kg"), "kg"),
        (("700 g", "300 g", "145 g", "12 oz"), "g"),
    ],
)
def test_the_unit_that_a_recipe_is_written_in(amounts: tuple[str, str, str, str], unit: str) -> None:
    assert own_units(written(*amounts), pd.RangeIndex(1, 2)).tolist() == [unit]


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ((35.0, "lb oz"), "2 lb 3 oz"),
        ((48.0, "lb oz"), "3 lb"),
        ((9.75, "oz"), "9 ¾ oz"),
        ((9.7, "oz"), "9.7 oz"),
        ((38.5, "lb oz"), "2 lb 6 ½ oz"),
        ((0.5, "oz"), "½ oz"),
    ],
)
def test_a_weight_is_written_as_she_does(shown: tuple[float, str], said: str) -> None:
    assert weight_text(*shown, fraction=True) == said
    assert weight_text(36.0, "lb oz", fraction=True, pounds=True) == "2 ¼ lb"


@given(sixteenths=st.integers(1, 4000), unit=st.sampled_from(["oz", "lb oz"]), pounds=st.booleans())
def test_what_is_written_is_read_again_as_the_same_weight(sixteenths: int, unit: str, pounds: bool) -> None:  # noqa: FBT001 - given
    text = weight_text(sixteenths / 8, unit, fraction=True, pounds=pounds)
    (read,) = read_amount(text).readings
    assert read.grams == pytest.approx(sixteenths / 8 * OUNCE, abs=0.02)


FRACTIONS = ("1 ½ lb", "2 ¼ lb", "12 ½ oz", "9 ¾ oz", "2 lb 3 ½ oz", "½ lb")


@settings(max_examples=40, deadline=None)
@given(
    fat=st.sampled_from(FRACTIONS),
    other=st.sampled_from(FRACTIONS),
    factor=st.sampled_from(["x2", "x3", "x1/2", "x1.5", "x1.7"]),
)
def test_fractions_stay_fractions_where_the_scale_shows_them(fat: str, other: str, factor: str) -> None:
    weights = [read_amount(text).readings[0].grams for text in (fat, other)]
    needed = weights[0] * 0.1397 + weights[1] * 0.183  # NaOH for lard and coconut oil, handbooks, from memory
    one = own_recipe(fat, other, typed("4 oz", grams=0.93 * needed), typed("10 oz", grams=2.3 * needed))
    done = rescale(audit_of([one]), read_targets([factor], {}), read_bench({}))
    assert len(done.jobs) == 1
    for line in line_rows(done.lines):
        if line.role == "fat":
            assert abs(line.grams - line.exact_g) <= max(0.005 * line.exact_g, 0.05 * OUNCE) + 1e-6
            even = abs(line.shown * 4 - round(line.shown * 4)) < 1e-6
            text = amount_text(line, str(done.jobs.loc[line.recipe, "weigh_unit"]))
            assert not (even and "." in text), "an even weight is written as a fraction"
    lye = done.lines[done.lines["role"] == "alkali"]
    assert (lye["grams"] <= lye["exact_g"] + 1e-6).all(), "lye is never rounded to a fraction"
