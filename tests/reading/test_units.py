"""Units: against the definitions, two general libraries, and as they stand in headings, formats and sentences."""

import csv
import math
import subprocess
import sys
from pathlib import Path

import fluids.constants
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.reading.units.unit_list import dimension, per_unit, to_grams, unit_lines, units
from sheetcheck.reading.units.units import read_unit, split_heading_unit, unit_of_number_format, unit_stated_in
from sheetcheck.reference import substances
from tests.reference import unit_factors

# NIST Handbook 44, appendix C, exact by definition; from memory
DEFINED = {
    "oz": 28.349523125,
    "lb": 453.59237,
    "st": 6350.29318,
    "kg": 1000,
    "floz": 29.5735295625,
    "cup": 236.5882365,
    "pt": 473.176473,
    "qt": 946.352946,
    "gal": 3785.411784,
    "tbsp": 14.78676478125,
    "tsp": 4.92892159375,
    "imp_floz": 28.4130625,
    "imp_pt": 568.26125,
    "imp_gal": 4546.09,
}
IN_PINT = {
    "mg": "milligram",
    "g": "gram",
    "dag": "decagram",
    "hg": "hectogram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "st": "stone",
    "mL": "milliliter",
    "cL": "centiliter",
    "dL": "deciliter",
    "L": "liter",
    "floz": "fluid_ounce",
    "cup": "cup",
    "pt": "pint",
    "qt": "quart",
    "gal": "gallon",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "imp_floz": "imperial_fluid_ounce",
    "imp_pt": "imperial_pint",
    "imp_qt": "imperial_quart",
    "imp_gal": "imperial_gallon",
}
GENERAL = pint.UnitRegistry()
OUR_OWN = {"Pfund", "metric_cup", "drop", "%"}  # measures of the kitchen that no general library has


@pytest.mark.parametrize("unit", DEFINED)
def test_a_unit_is_as_defined(unit: str) -> None:
    assert per_unit(unit) == pytest.approx(DEFINED[unit], rel=1e-9)


@pytest.mark.parametrize("unit", sorted(set(units()) - OUR_OWN))
def test_a_unit_is_as_in_a_general_library(unit: str) -> None:
    base = "gram" if dimension(unit) == "mass" else "milliliter"
    theirs = GENERAL.Quantity(1, IN_PINT[unit]).m_as(base)
    assert per_unit(unit) == pytest.approx(theirs, rel=1e-9)


def test_ounce_pound_and_gallon_are_as_in_another_library() -> None:
    assert per_unit("oz") == pytest.approx(fluids.constants.oz * 1000, rel=1e-9)
    assert per_unit("lb") == pytest.approx(fluids.constants.lb * 1000, rel=1e-9)
    assert per_unit("gal") == pytest.approx(fluids.constants.gallon * 1e6, rel=1e-9)
    assert per_unit("imp_gal") == pytest.approx(fluids.constants.gallon_imp * 1e6, rel=1e-9)


def test_ounce_and_gallon_are_as_an_old_handbook_prints_them() -> None:
    # Thomssen, Soap-Making Manual, 1922, p. 223 (US Bureau of Standards table) and p. 225 (a gallon of water, 8 1/3 lb)
    assert per_unit("oz") == pytest.approx(28.35, abs=0.005)
    assert per_unit("floz") == pytest.approx(29.57, abs=0.005)
    assert per_unit("gal") * 0.9982 / per_unit("lb") == pytest.approx(8 + 1 / 3, abs=0.02)


def test_no_spelling_has_two_meanings() -> None:
    meanings: dict[str, set[str]] = {}
    for _, (name, *spellings) in unit_lines():
        for spelling in (name, *spellings):
            bare = spelling.replace("_", "")
            meanings.setdefault(bare if bare in ("T", "t") else bare.lower(), set()).add(name)
    assert {spelling for spelling, names in meanings.items() if len(names) > 1} == set()


@pytest.mark.parametrize(
    ("system", "names"), list(unit_lines()), ids=lambda part: part[0] if isinstance(part, list) else ""
)
def test_every_spelling_reads_as_its_unit(system: str, names: list[str]) -> None:
    read = {read_unit(spelling.replace("_", " ")) for spelling in names}
    assert len(read) == 1
    assert None not in read
    assert system in ("metric_mass", "avoirdupois", "metric_volume", "us_volume", "imperial_volume", "")


def test_the_table_of_factors_is_what_the_list_says() -> None:
    assert unit_factors.TARGET.read_text(encoding="utf-8") == unit_factors.table()


def test_units_are_read_without_the_unit_library() -> None:
    code = (
        "import sys; from sheetcheck.reading.units.units import read_unit, to_grams;"
        "to_grams(1.0, read_unit('oz.')); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


CASES = list(csv.DictReader((Path(__file__).parent / "unit_cases.csv").read_text(encoding="utf-8").splitlines()))


def cases(where: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize(
        "case", [case for case in CASES if case["where"] == where], ids=lambda case: case["written"]
    )


@cases("alone")
def test_reads_a_unit_by_itself(case: dict[str, str]) -> None:
    assert (read_unit(case["written"]) or "") == case["unit"]


@cases("number format")
def test_reads_the_unit_of_a_number_format(case: dict[str, str]) -> None:
    assert (unit_of_number_format(case["written"]) or "") == case["unit"]


@cases("heading")
def test_splits_the_unit_off_a_heading(case: dict[str, str]) -> None:
    assert split_heading_unit(case["written"]) == (case["left"], case["unit"] or None)


@cases("sentence")
def test_reads_the_unit_that_a_sentence_states_for_the_sheet(case: dict[str, str]) -> None:
    assert (unit_stated_in(case["written"]) or "") == case["unit"]


def test_a_volume_needs_a_substance_whose_weight_is_known() -> None:
    water, olive = substances()["water"], substances()["olive oil"]
    assert math.isnan(to_grams(1, "cup"))
    assert to_grams(1, "cup", water) == pytest.approx(237, rel=0.01)  # water weighs a gram a millilitre
    assert 200 < to_grams(1, "cup", olive) < 225  # oil floats on water
    assert to_grams(16, "tbsp", olive) == pytest.approx(to_grams(1, "cup", olive))
    assert math.isnan(to_grams(5, "%", olive))


def test_a_weight_needs_none() -> None:
    assert to_grams(2.5, "lb oz") == pytest.approx(to_grams(40, "oz"))


@given(st.text(max_size=30))
def test_any_text_may_stand_where_a_unit_is_looked_for(text: str) -> None:
    known = {*units(), "lb oz", None}
    assert read_unit(text) in known
    assert unit_of_number_format(text) in known
    assert unit_stated_in(text) in known
    assert split_heading_unit(text)[1] in known
