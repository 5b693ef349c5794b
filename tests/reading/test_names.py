"""Names of ingredients: what is known, what is read with a word said about it, what asks, and what is no name."""

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.word_list import words
from sheetcheck.reference import name_index, substances

CASES = list(csv.DictReader((Path(__file__).parent / "name_cases.csv").read_text(encoding="utf-8").splitlines()))


def cases(kind: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize(
        "case", [case for case in CASES if case["kind"] == kind], ids=lambda case: case["written"]
    )


@cases("exact")
def test_is_known_by_many_names(case: dict[str, str]) -> None:
    name = identify(case["written"])
    assert (name.substance, name.certainty) == (case["substance"], "exact")
    assert name.kind == substances()[case["substance"]].kind


@cases("no fat")
def test_a_word_that_makes_it_something_else_is_not_passed_over(case: dict[str, str]) -> None:
    assert identify(case["written"]).kind != "fat"


@cases("addition")
def test_an_addition_is_no_fat(case: dict[str, str]) -> None:
    name = identify(case["written"])
    assert (name.kind, name.certainty) == ("additive", "exact")


@cases("read as")
def test_is_read_as_what_is_meant_and_said(case: dict[str, str]) -> None:
    name = identify(case["written"])
    assert (name.substance, name.certainty) == (case["substance"], "read as")


@cases("asks")
def test_initials_are_never_certain(case: dict[str, str]) -> None:
    name = identify(case["written"])
    assert (name.kind, name.substance, name.certainty) == ("fat", None, "ambiguous")


@cases("remark")
def test_a_remark_is_no_name(case: dict[str, str]) -> None:
    name = identify(case["written"])
    assert (name.kind, name.substance, name.certainty) == (None, None, "unknown")


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Cocunut oil", "coconut oil"),
        ("palm kernl oil", "palm kernel oil"),
        ("potasium hydroxide", "potassium hydroxide"),
        ("sunflowr oil", "sunflower oil"),
        ("goats milck", "goat milk"),
        ("Three Gates Mill olive oil", None),
        ("Hillside olive oil", "olive oil"),
    ],
)
def test_a_slip_or_an_unknown_word_beside_is_read_and_said(text: str, key: str | None) -> None:
    name = identify(text)
    assert name.substance == key
    assert name.certainty == ("read as" if key else "unknown")


@pytest.mark.parametrize("text", ["butter", "cocoa", "olive oil and lard", "olive / coconut", "olive butter"])
def test_a_name_of_two_things_asks(text: str) -> None:
    name = identify(text)
    assert (name.substance, name.certainty) == (None, "ambiguous")
    assert len(name.candidates) > 1
    assert set(name.candidates) <= set(substances())


@pytest.mark.parametrize(
    ("text", "key", "strength"),
    [
        ("NaOH (97%)", "sodium hydroxide", 0.97),
        ("NaOH 97 % pure", "sodium hydroxide", 0.97),
        ("KOH 90%", "potassium hydroxide", 0.9),
        ("50 % lye solution", "sodium hydroxide", 0.5),
        ("lye solution (50%)", "sodium hydroxide", 0.5),
        ("sodium hydroxide 33,3% solution", "sodium hydroxide", 0.333),
        ("Natronlauge 50%ig", "sodium hydroxide", 0.5),
        ("lye solution 1:1", "sodium hydroxide", 0.5),
        ("vinegar 10 %", "vinegar", 0.1),
    ],
)
def test_reads_the_strength_in_a_name(text: str, key: str, strength: float) -> None:
    name = identify(text)
    assert (name.substance, name.strength) == (key, pytest.approx(strength))


def test_a_percentage_of_a_fat_is_no_strength() -> None:
    assert math.isnan(identify("castor oil 5%").strength)


def test_a_solution_of_unknown_strength_stays_refused() -> None:
    name = identify("lye solution")
    assert (name.kind, name.substance) == ("refused", "sodium hydroxide solution")


def test_the_makers_own_words_win() -> None:
    own = {"Pig fat of ours": "lard", "butter": "shea butter"}
    assert identify("pig fat, of ours", own).substance == "lard"
    assert identify("BUTTER", own).substance == "shea butter"
    assert identify("olive", own).substance == "olive oil"


def test_every_name_of_the_tables_is_found() -> None:
    left_out = {*words("no name"), *words("doubtful name")}
    lost = {
        spelling: keys
        for spelling, keys in name_index().items()
        if spelling not in left_out
        and not {identify(spelling).substance, *identify(spelling).candidates} & {*keys, *_dissolved(keys)}
        and identify(spelling).kind != "additive"
    }
    assert not lost


def _dissolved(keys: tuple[str, ...]) -> set[str]:
    return {substances()[key].solution_of for key in keys}


@given(st.text(max_size=40))
def test_any_text_is_named_or_unknown(text: str) -> None:
    name = identify(text)
    assert (name.certainty == "unknown") == (name.kind is None and not name.candidates)
    assert name.substance is None or name.substance in substances()


FATS = sorted(
    key for key, substance in substances().items() if substance.kind == "fat" and len(key) > 8 and "," not in key
)


@given(st.sampled_from(FATS), st.data())
def test_a_letter_lost_never_makes_another_fat(key: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(1, len(key) - 1))
    name = identify(key[:place] + key[place + 1 :])
    if name.certainty == "exact" or name.substance is None:  # another spelling in the tables (camelina, camelia)
        return
    assert substances()[name.substance].kind != "fat" or _same(name.substance, key)


def _same(one: str, other: str) -> bool:
    """Tell whether two fats may stand for each other: typical saponification values within 1 %."""
    first, second = substances()[one].sap_typical, substances()[other].sap_typical
    return math.isclose(first, second, rel_tol=0.01)
