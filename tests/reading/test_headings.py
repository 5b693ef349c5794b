"""Headings as makers write them, in seven languages; and texts that are no headings. Common practice, no source."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.text import fold
from sheetcheck.reference import LANGUAGES
from sheetcheck.reference.tables import rows

CASES = list(csv.DictReader((Path(__file__).parent / "heading_cases.csv").read_text(encoding="utf-8").splitlines()))
TABLE = list(rows("headings.csv"))
ROLES = {
    *(
        "recipe",
        "number",
        "date",
        "fat",
        "alkali",
        "liquid",
        "acid",
        "additive",
        "fats total",
        "batch total",
        "superfat",
    ),
    *(
        "lye concentration",
        "liquid to lye",
        "liquid share",
        "yield",
        "share",
        "ingredient",
        "amount",
        "unit",
        "alkali strength",
        "notes",
        "ignore",
    ),
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["heading"])
def test_reads_as_a_person_would(case: dict[str, str]) -> None:
    heading = read_heading(case["heading"])
    assert (heading.role or "", heading.substance or "") == (case["role"], case["substance"])
    if case["role"]:
        assert (heading.unit or "") == case["unit"]
    else:
        assert heading.certainty == "unknown"


def test_gives_the_strength_in_a_heading() -> None:
    assert read_heading("NaOH (97%) g").strength == 0.97
    assert read_heading("Lye (50% solution) g").strength == 0.5


@pytest.mark.parametrize("text", ["Total", "Fats", "Summe", "Oli"])
def test_a_total_of_who_knows_what_is_doubtful(text: str) -> None:
    assert read_heading(text).certainty == "ambiguous"


def test_a_lye_column_in_percent_is_doubtful() -> None:
    heading = read_heading("Lye %")
    assert (heading.role, heading.certainty) == ("lye concentration", "ambiguous")


@pytest.mark.parametrize(
    ("text", "role"), [("Recipie", "recipe"), ("Supperfat", "superfat"), ("Ingrediant", "ingredient")]
)
def test_a_slip_is_read_and_said(text: str, role: str) -> None:
    heading = read_heading(text)
    assert (heading.role, heading.certainty) == (role, "read as")


def test_the_makers_own_words_win() -> None:
    heading = read_heading("Green gold (oz)", {"green gold": "olive oil"})
    assert (heading.role, heading.substance, heading.unit) == ("fat", "olive oil", "oz")
    assert read_heading("Butter", {"Butter": "shea butter"}).substance == "shea butter"


@given(st.text(max_size=40))
def test_any_text_is_read_or_unknown(text: str) -> None:
    heading = read_heading(text)
    assert heading.role is None or heading.role in ROLES
    assert heading.certainty != "unknown" or heading.role is None


# --------------------------------------------------------------------------- the table


def test_the_table_holds_together() -> None:
    assert {row["role"] for row in TABLE} <= ROLES | {"filler"}
    assert {row["language"] for row in TABLE} == set(LANGUAGES)
    assert all(fold(row["phrase"]) for row in TABLE)
    assert {row["doubtful"] for row in TABLE} == {"", "yes"}


def test_no_phrase_has_two_roles() -> None:
    phrases = [fold(row["phrase"]) for row in TABLE if row["role"] != "filler"]
    assert sorted(phrases) == sorted(set(phrases))


@pytest.mark.parametrize("row", [row for row in TABLE if row["role"] != "filler"], ids=lambda row: row["phrase"])
def test_every_phrase_reads_as_the_table_says(row: dict[str, str]) -> None:
    assert read_heading(row["phrase"].title()).role == row["role"]
