"""Amounts as typed: a table of cases, each with the grams or millilitres it comes to, and properties beside it.

Expected figures were worked out from the definitions of the units (NIST Handbook 44, appendix C), not by the program.
"""

import csv
import math
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.reading.amounts.amount import Amount, Reading, read_amount
from sheetcheck.reading.units.units import to_grams, units

CASES = list(csv.DictReader((Path(__file__).parent / "amount_cases.csv").read_text(encoding="utf-8").splitlines()))


def as_written(reading: Reading) -> str:
    if reading.unit is None:
        return f"{reading.value:.6g}"
    if reading.unit == "%":
        return f"{reading.value:.6g} %"
    grams = not math.isnan(reading.grams)
    return f"{reading.grams:.6g} g" if grams else f"{reading.millilitres:.6g} ml"


def as_case(amount: Amount) -> str:
    return " | ".join(map(as_written, amount.readings)) or "refuse"


def test_there_are_enough_cases() -> None:
    assert len(CASES) >= 170
    assert len({case["written"] for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=[f"{case['kind']}: {case['written']}" for case in CASES])
def test_reads_as_a_person_would(case: dict[str, str]) -> None:
    amount = read_amount(case["written"])
    assert as_case(amount) == case["readings"], amount.why
    assert amount.rest == case["rest"]
    assert amount.approximate == bool(case["about"])


@pytest.mark.parametrize("case", [c for c in CASES if c["readings"] == "refuse"], ids=lambda case: case["written"])
def test_says_why_it_refuses(case: dict[str, str]) -> None:
    why = read_amount(case["written"]).why
    assert why
    assert case["why"] in why


@pytest.mark.parametrize(
    ("written", "decimal_comma", "grams"),
    [("1.250 g", True, 1250), ("1.250 g", False, 1.25), ("1,250 g", True, 1.25), ("1,250 g", False, 1250)],
)
def test_the_book_settles_two_readings(written: str, decimal_comma: bool, grams: float) -> None:  # noqa: FBT001  # a case
    assert [reading.grams for reading in read_amount(written, decimal_comma).readings] == [grams]


@pytest.mark.parametrize(
    ("written", "decimals"),
    [("9.42 oz", 2), ("10 oz", 0), ("10,86 oz", 2), ("½ lb", 1), ("9 3/4 oz", 2), ("1 lb 3.5 oz", 1), ("1e3 g", 0)],
)
def test_keeps_the_decimals_as_written(written: str, decimals: int) -> None:
    assert read_amount(written).readings[0].decimals == decimals


def test_a_compound_counts_in_pounds() -> None:
    (reading,) = read_amount("2 lb 4 oz").readings
    assert (reading.value, reading.unit) == (2.25, "lb oz")
    assert reading.grams == pytest.approx(to_grams(2.25, "lb"))


# --------------------------------------------------------------------------- properties


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_with_a_reason(text: str) -> None:
    amount = read_amount(text)
    assert bool(amount.readings) != bool(amount.why)
    assert all(math.isfinite(reading.value) for reading in amount.readings)


PIECES = st.sampled_from(
    [
        "1",
        "250",
        "8",
        ".",
        ",",
        " ",
        "'",
        "/",
        "-",
        "(",
        ")",
        "oz",
        "lb",
        "g",
        "kg",
        "%",
        "½",
        "about",
        "or",
        "lard",
        "x",
        "~",
    ]
)


@given(st.lists(PIECES, max_size=9).map("".join))
def test_any_jumble_of_pieces_is_read_or_refused_with_a_reason(text: str) -> None:
    amount = read_amount(text)
    assert bool(amount.readings) != bool(amount.why)
    assert len(amount.readings) <= 2


THOUSANDS = {
    "": "",
    ",": ".",
    ".": ",",
    "'": ".",
    " ": ",",
    "\N{NARROW NO-BREAK SPACE}": ",",
    "\N{NO-BREAK SPACE}": ".",
}
UNITS = [
    ("g", "g"),
    (" g", "g"),
    (" kg", "kg"),
    ("oz", "oz"),
    (" oz.", "oz"),
    (" lbs", "lb"),
    (" ml", "mL"),
    (" cups", "cup"),
]


@given(
    st.decimals(min_value=0, max_value=99999, places=2),
    st.sampled_from(sorted(THOUSANDS)),
    st.sampled_from(UNITS),
)
def test_a_number_in_any_style_reads_back(number: object, thousands: str, unit: tuple[str, str]) -> None:
    decimal = THOUSANDS[thousands] or "."
    written = f"{number:,.2f}".replace(",", "\0").replace(".", decimal).replace("\0", thousands)
    (reading,) = read_amount(written + unit[0]).readings
    assert reading.value == pytest.approx(float(f"{number}"), abs=1e-9)
    assert reading.unit == unit[1]
    assert reading.decimals == 2


@given(
    st.integers(0, 40),
    st.integers(0, 15),
    st.sampled_from([0, 1, 2, 3]),
    st.sampled_from(["{} lb {}{} oz", "{}lb{}{}oz"]),
)
def test_pounds_and_ounces_read_back(pounds: int, ounces: int, quarters: int, style: str) -> None:
    part = ["", " 1/4", " 1/2", " 3/4"][quarters]
    (reading,) = read_amount(style.format(pounds, ounces, part)).readings
    assert reading.grams == pytest.approx(to_grams(16 * pounds + ounces + quarters / 4, "oz"))


@given(st.sampled_from(sorted(set(units()) - {"%"})), st.integers(1, 500))
def test_every_unit_reads_back_by_its_symbol(unit: str, number: int) -> None:
    (reading,) = read_amount(f"{number} {unit.replace('_', ' ')}").readings
    assert (reading.value, reading.unit) == (number, unit)


@given(st.integers(1, 5000), st.sampled_from([("g", "oz", 28.349523125), ("oz", "g", 1 / 28.349523125)]))
def test_a_second_statement_must_agree(number: int, pair: tuple[str, str, float]) -> None:
    unit, other, per = pair
    right = f"{number} {unit} ({number / per:.2f} {other})"
    wrong = f"{number} {unit} ({number / per * 1.2:.2f} {other})"
    assert read_amount(right).readings or number / per < 0.5
    again = read_amount(wrong).again
    assert number / per < 0.5 or (again is not None and again.unit == other)


def test_a_long_column_is_read_quickly() -> None:
    texts = [f"{number / 7:.3f} oz" for number in range(20_000)]
    start = time.process_time()
    assert all(read_amount(text).readings for text in texts)
    assert time.process_time() - start < 4  # measured: 0.2 s; the clock counts this process alone
