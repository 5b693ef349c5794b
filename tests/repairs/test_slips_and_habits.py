"""The parts of the search: slips and their table, round numbers, densities."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.model import OwnValue
from sheetcheck.reference import constants, substances
from sheetcheck.reference.slips import slip_table
from sheetcheck.repairs import trade
from sheetcheck.repairs.density import Density, Trade, fitted
from sheetcheck.repairs.elsewhere import Others, made_again
from sheetcheck.repairs.entries import FAT, LIQUID, Entries, Mask, read_entries
from sheetcheck.repairs.makers_values import makers_values
from sheetcheck.repairs.priors import usual, weights
from sheetcheck.repairs.roundness import learn
from sheetcheck.repairs.row import Cell, read_row
from sheetcheck.repairs.slips.digits import readings, typed_as
from sheetcheck.repairs.slips.fats import hypotheses as _of_fats
from sheetcheck.repairs.slips.stale import left_over
from sheetcheck.repairs.slips.units import in_unit
from sheetcheck.repairs.stated import Statements, read_statements
from sheetcheck.repairs.told import beside, named_in
from sheetcheck.repairs.view import _like_neighbour, view
from tests.builders import Sketch, evidence
from tests.repairs.house import NAOH, book_with, searched, sound, written

TABLE = weights({})


def a_cell(value: float, unit: str, text: str | None = None) -> Cell:
    return Cell(
        entry=0, role=FAT, value=value, unit=unit, grams=value, factor=1.0, step=1.0, decimals=0, text=text,
        unit_from="heading", said=(), substance="lard", other_grams=float("nan"), chance=1.0, neighbours=(),
    )  # fmt: skip


# --------------------------------------------------------------------------- the table


def test_every_number_of_the_table_says_where_it_comes_from() -> None:
    assert all(prior.source and prior.meaning for prior in slip_table().values())
    assert {prior.group for prior in slip_table().values()} == {"rate", "slip", "habit"}


def test_slips_of_digits_are_as_common_as_the_table_says() -> None:
    """Digit slips 47 of 100 wrong numbers, of which 30 replaced (Scholtus 2009: 74 % of those in business records)."""
    digits = sum(prior.value for name, prior in slip_table().items() if name.startswith("digit"))
    assert digits == 47
    assert TABLE.chance("digit replaced") == pytest.approx(5 * TABLE.chance("digits swapped"))


def test_a_first_digit_omitted_takes_the_zero_behind_it_along() -> None:
    values, _ = typed_as("4", TABLE)
    assert 204.0 in values


def test_chances_of_all_slips_add_up_to_the_share_of_wrong_numbers() -> None:
    apart = ("second reading", "line typed twice", "fat left out")  # no number is wrong
    slips = [name for name, prior in slip_table().items() if prior.group == "slip" and name not in apart]
    assert sum(TABLE.chance(name) for name in slips) == pytest.approx(slip_table()["wrong number"].value)


def test_what_is_usual_lies_in_order() -> None:
    assert usual("superfat least") < usual("superfat most")
    assert usual("lye concentration least") < usual("lye concentration most")


# --------------------------------------------------------------------------- slips


@given(st.integers(10, 99999), st.integers(0, 4), st.sampled_from("0123456789"))
def test_a_replaced_digit_is_found_again(number: int, place: int, digit: str) -> None:
    right = str(number)
    place %= len(right)
    typed = right[:place] + digit + right[place + 1 :]
    if typed != right and not typed.startswith("0"):
        assert float(right) in typed_as(typed, TABLE)[0]


@given(st.integers(100, 99999), st.integers(0, 4))
def test_an_omitted_digit_is_found_again(number: int, place: int) -> None:
    right = str(number)
    place %= len(right)
    typed = right[:place] + right[place + 1 :]
    if not typed.startswith("0"):
        assert float(right) in typed_as(typed, TABLE)[0]


@given(st.decimals(1, 999, places=2))
def test_chances_to_become_what_is_written_are_probabilities(value: object) -> None:
    values, logs = typed_as(f"{value:.2f}", TABLE)
    assert len(values) == len(set(values.tolist()))
    assert (logs < 0).all()


def test_digits_of_pounds_and_ounces_are_taken_apart() -> None:
    """2 lb 4 oz typed for 2 lb 14 oz or 3 lb 4 oz; never 2 lb 40 oz, which is no such number."""
    values, _ = readings(a_cell(2.25, "lb oz", "2 lb 4 oz"), TABLE)
    assert 2 + 14 / 16 in values
    assert 3.25 in values
    assert 2 + 40 / 16 not in values


def test_a_unit_keeps_the_number() -> None:
    edit = in_unit(a_cell(307.9, "g"), "oz")
    assert edit is not None
    assert (edit.value, edit.unit) == (307.9, "oz")
    assert edit.grams == pytest.approx(307.9 * 28.349523125)
    assert in_unit(a_cell(3, "g"), "floz") is None


def test_lye_is_left_over_from_twice_or_half_the_batch_sooner_than_from_any_other() -> None:
    assert left_over(float(np.log(2))) > 3 * left_over(float(np.log(1.8)))
    assert left_over(float(np.log(9))) == pytest.approx(0)


def test_fats_taken_for_each_other_are_fats_of_the_tables() -> None:
    known = substances()
    assert all(other in known for fat in known.values() for other in fat.similar)
    assert _of_fats is not None


# --------------------------------------------------------------------------- habits


def density(values: list[float]) -> Density:
    usually = Trade(np.array([0.0]), np.array([2.0]), width=0.3, floor=0.05, span=1.0, centre=0.0, by_hand=0.01)
    return fitted(np.array(values), usually, (0.01, 0.05, 0.2))


def test_table_of_a_density_gives_what_the_sum_of_kernels_does() -> None:
    habit = density([0.1, 0.1, 0.1, 0.12, 0.3, 0.31, 0.1])
    x = np.linspace(-0.5, 1.5, 300)
    for spread, own in ((0.0, np.nan), (0.02, 0.1), (0.005, np.nan)):
        assert habit.at(x, spread, own) == pytest.approx(habit.log(x, spread, own), abs=0.03)


def test_table_takes_out_only_the_row_itself() -> None:
    """A narrow habit, and a rounding between those that tables are kept for: its neighbours still vouch for a row."""
    habit = fitted(np.array([0.8] * 8 + [0.803] * 3 + [0.79]), trade.water(), (0.001,))
    x = np.array([0.79, 0.7905, 0.8, 0.803])
    for spread in (0.00087, 0.0012, 0.0031):
        assert habit.at(x, spread, 0.79) == pytest.approx(habit.log(x, spread, 0.79), abs=0.2)


def test_no_row_vouches_for_itself() -> None:
    habit = density([0.1] * 8 + [0.9])
    alone = np.array([0.9])
    assert habit.log(alone, own=0.9)[0] < habit.log(alone)[0] - 1
    many = np.array([0.1])
    assert habit.log(many, own=0.1)[0] == pytest.approx(habit.log(many)[0], abs=0.2)


def test_commonest_value_comes_first() -> None:
    (value, share), *_ = density([0.1] * 8 + [0.9]).modes()
    assert value == pytest.approx(0.1)
    assert 0.6 < share < 0.9


def test_a_round_number_is_likelier_to_be_meant_in_a_book_of_round_numbers() -> None:
    fifties = np.array([50.0, 100, 150, 200, 250, 300, 350, 400, 450, 500] * 4)
    units = np.array(["g"] * len(fifties), dtype=object)
    habit = learn(fifties, units, np.zeros(len(fifties), dtype=np.int64))
    round_one, other = habit.log(np.array([350.0, 351.0]), "g", FAT)
    assert round_one > other + 3


def strengths(*percents: float) -> Density:
    """Habit of a book of such lye concentrations, each used in three recipes."""
    return fitted(np.log(100 / np.repeat(percents, 3) - 1), trade.water(), (0.001, 0.004, 0.02))


def test_a_book_of_round_strengths_makes_an_odd_one_unlikely() -> None:
    tidy, loose = strengths(27, 30, 33, 36), strengths(27.4, 30.6, 33.7, 35.3)
    assert tidy.to_rounds > 0.7
    assert loose.to_rounds < 0.3
    whole, odd = np.log(100 / np.array([31.0, 31.43]) - 1)
    of_tidy, of_loose = (habit.log(np.array([whole, odd])) for habit in (tidy, loose))
    assert of_tidy[0] - of_tidy[1] > of_loose[0] - of_loose[1] + 0.5


def test_liquid_rounded_by_hand_is_not_far_off() -> None:
    """One per cent beside the strength of every other recipe, where the amounts would tell a tenth of that."""
    habit = fitted(np.full(30, 0.8), trade.water(), (0.001, 0.004, 0.02))
    exact, by_hand, off = habit.log(np.array([0.8, 0.81, 0.84]))
    assert by_hand > off + 1
    assert exact > by_hand + 2


def test_liquid_in_quarter_ounces_is_no_finer_than_that() -> None:
    """Liquids of a coarse hand, written with the decimals of a fine scale: a quarter is what they are rounded to."""
    liquids = [13.5, 13.75, 16.0, 13.0, 15.0, 28.5, 14.25, 8.0]
    rows = [written({"lard": 40 + number}, liquid, 5.53, "oz") for number, liquid in enumerate(liquids)]
    entries = read_entries(evidence(rows))
    steps = entries.step[entries.role == LIQUID] / 28.349523125
    assert steps == pytest.approx([0.25] * len(liquids))
    assert entries.step[entries.role == FAT] / 28.349523125 == pytest.approx([1.0] * len(liquids))


def test_maker_s_values_are_read_from_her_lye() -> None:
    """Two values far from the table's, superfats whole points apart and none stated: found to a tenth of a per cent."""
    own = NAOH | {"shea butter": 0.1300, "sunflower oil": 0.1325}
    fats, rng = sorted(own), np.random.default_rng(3)
    rows = []
    for _ in range(48):
        of_row = rng.choice(fats, 3, replace=False)
        grams = dict(zip(of_row.tolist(), (50 * rng.integers(3, 12, 3)).tolist(), strict=True))
        superfat = rng.choice([5, 5, 5, 5, 5, 5, 4, 6, 7, 8])
        lye = sum(own[fat] * amount for fat, amount in grams.items()) * (1 - superfat / 100)
        rows.append(written(grams, round(2 * lye), round(lye, 1)))
    book = evidence(rows)
    entries = read_entries(book)
    stated = np.full(len(rows), np.nan)
    found = makers_values(entries, stated, np.ones(len(rows), dtype=bool))
    _, keys = entries.fat_codes
    tables = {key: constants().naoh_per_koh * substances()[key].sap_typical / 1000 for key in keys}
    off = np.array([factor * tables[key] / own[key] for key, factor in zip(keys, found.factors, strict=True)])
    assert np.abs(off / np.median(off) - 1).max() < 0.0015  # what all have in common, superfat hides
    assert found.spread.max() < 0.006


def test_fats_of_the_book_are_taken_for_each_other_sooner_than_others() -> None:
    rows = [written({"coconut oil": 500, "lard": 500}, 306, 153), written({"cocoa butter": 300, "lard": 700}, 264, 132)]
    entries, statements, meant_so = of_book(rows)
    row = read_row(view(entries, statements, meant_so), 0)
    chances = {slip.edits[0].substance: slip.log_prior for slip in _of_fats(row) if len(slip.edits) == 1}
    assert chances["cocoa butter"] > chances["coconut oil, fractionated"] + 1


@pytest.mark.parametrize(
    ("liquids", "alike"), [((270, 270, 280, 290, 300, 310, 320, 330, 340, 350, 360, 370), 2), ((270,) * 12, 0)]
)
def test_being_like_the_recipe_above_is_a_sign_only_where_it_is_seldom(liquids: tuple[int, ...], alike: int) -> None:
    """The second amount may be copied; in a book that always takes the same, it says nothing."""
    rows = [written({"lard": 1000 + 7 * n}, liquid, 132 + n) for n, liquid in enumerate(liquids)]
    entries, _, _ = of_book(rows)
    assert int(_like_neighbour(entries).sum()) == alike


@pytest.mark.parametrize(("stated", "said"), [(5.0, True), (None, False)])
def test_a_value_for_a_fat_is_called_unlikely_more_carefully_where_no_superfat_is_stated(
    stated: float | None,
    said: bool,  # noqa: FBT001 - of the table above
) -> None:
    """Tallow reckoned 2.5 % above its range: without a stated superfat all values may be off together."""
    tallow = 1.025 * constants().naoh_per_koh * substances()["tallow"].sap_high / 1000
    own, rng = NAOH | {"tallow": tallow}, np.random.default_rng(5)
    rows = []
    for _ in range(40):
        others = rng.choice(["olive oil", "coconut oil", "lard", "palm oil"], 2, replace=False)
        grams = {fat: float(50 * rng.integers(3, 12)) for fat in ("tallow", *others.tolist())}
        lye = sum(own[fat] * amount for fat, amount in grams.items()) * 0.95
        rows.append(written(grams, round(2 * lye), round(lye, 1), **({} if stated is None else {"stated": stated})))
    found = [f for f in searched(evidence(rows))[0].findings if f.rule == "systematic-slip"]
    assert any("allow" in f.message for f in found) is said


def of_book(rows: list[Sketch]) -> tuple[Entries, Statements, Mask]:
    """What the search reads from a book of such rows, none of them accepted."""
    book = evidence(rows)
    entries = read_entries(book)
    return entries, read_statements(book, entries), np.zeros(len(rows), dtype=bool)


def test_the_columns_beside_a_fat_are_known_in_a_table() -> None:
    book = book_with(sound({"olive oil": 500, "coconut oil": 300, "palm oil": 200}))
    found = beside(read_entries(book))
    assert all(fat in found[other] for fat, others in found.items() for other in others)
    assert max(len(others) for others in found.values()) <= 2


def test_a_title_names_a_fat_by_whole_words() -> None:
    fats = ("olive oil", "coconut oil", "palm oil")
    assert named_in("Pure Olive No. 3", fats) == {"olive oil"}
    assert not named_in("Palmarosa", fats)
    assert not named_in(None, fats)


def test_what_the_maker_says_of_her_superfat_and_values_is_known() -> None:
    own = trade.superfat(8.0)
    assert own.smooth(np.log1p(np.array([-0.08])), 0.0) > trade.superfat().smooth(np.log1p(np.array([-0.08])), 0.0)
    book = book_with()
    value = OwnValue("lard", 200.0, "Values", "B2", "200")
    told = read_entries(replace(book, book=replace(book.book, own_values=(value,))))
    assert told.own_values["lard"] == pytest.approx(200.0 / substances()["lard"].sap_typical)


def test_amounts_in_one_ratio_but_one_speak_for_that_one() -> None:
    grams = np.array([[400.0, 200.0, 100.0, 90.0, 180.0], [400.0, 200.0, 150.0, 90.0, 180.0]])  # as written, as meant
    other = Others(("a", "b", "c"), grams[1:] * 2, np.full((1, 5), 0.001), -3.0)
    told = made_again(other, grams, np.full(5, 0.001))
    assert told[1] > told[0] + 3
