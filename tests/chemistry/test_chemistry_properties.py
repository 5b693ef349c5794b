"""What holds for any recipe (Hypothesis): more fat never needs less lye, scale does not matter, and so on."""

from collections.abc import Callable
from math import isnan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from soaps import OUNCE, book, line, plain, soap

from sheetcheck.chemistry.alkali import (
    koh_from_naoh,
    naoh_from_koh,
    pure_mass,
    purity_after_ageing,
    purity_after_gain,
    weighed_mass,
)
from sheetcheck.chemistry.demand import alkali_needed, naoh_per_g, saponification_value_of_blend, spread
from sheetcheck.chemistry.heat import hottest_lye
from sheetcheck.chemistry.liquid import lye_concentration, superfat_from_liquid, water_for
from sheetcheck.chemistry.outcome import cured_mass, curing_loss_bounds, free_alkali_percent, shares
from sheetcheck.chemistry.ranges import RANGES, why_not
from sheetcheck.chemistry.solution import (
    WATER_DENSITY_60F,
    baume_by_specific_gravity,
    density,
    percent_by_specific_gravity,
    specific_gravity_by_baume,
)
from sheetcheck.chemistry.superfat import (
    alkali_for,
    superfat_from_fat_surplus,
    superfat_percent,
    superfat_with_fat_at_trace,
)
from sheetcheck.reference import substances

FATS = sorted(key for key, s in substances().items() if s.kind == "fat")
LIQUIDS = sorted(key for key, s in substances().items() if s.kind == "liquid" and s.water > 0.5 and not s.unknown)

grams = st.floats(1, 1e5)
share = st.floats(0.01, 1)
recipe = st.tuples(
    st.dictionaries(st.sampled_from(FATS), grams, min_size=1, max_size=5),
    st.sampled_from(LIQUIDS),
    grams,
    grams,
)


def holds_for(*cases: st.SearchStrategy[object]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Try 40 cases, however long a busy machine takes for one."""
    return lambda test: settings(deadline=None, max_examples=40)(given(*cases)(test))


def lines_of(made: tuple[dict[str, float], str, float, float], scale: float = 1.0) -> list[dict[str, object]]:
    fats, liquid, liquid_g, lye_g = made
    amounts = {**fats, liquid: liquid_g, "sodium hydroxide": lye_g}
    return [line(0, key, mass * scale) for key, mass in amounts.items()]


@holds_for(recipe)
def test_the_interval_contains_the_typical_value(made: tuple[dict[str, float], str, float, float]) -> None:
    row = soap(*lines_of(made))
    assert 0 < row.needed_low_g <= row.needed_typical_g <= row.needed_high_g
    assert row.superfat_low <= row.superfat_typical <= row.superfat_high


@holds_for(recipe, st.sampled_from([0.5, 2.0, OUNCE, 1 / OUNCE, 453.59237]))
def test_scale_and_unit_do_not_matter(made: tuple[dict[str, float], str, float, float], scale: float) -> None:
    one, other = book(lines_of(made), lines_of(made, scale)).itertuples()
    for column in ("superfat_low", "superfat_typical", "superfat_high", "lye_concentration", "free_alkali_percent"):
        assert getattr(other, column) == pytest.approx(getattr(one, column), rel=1e-9, abs=1e-9)
    for column in ("needed_typical_g", "alkali_recomputed_g", "liquid_recomputed_g", "batter_ml"):
        assert getattr(other, column) == pytest.approx(scale * getattr(one, column), rel=1e-9, nan_ok=True)


@holds_for(recipe, st.sampled_from(FATS), grams)
def test_more_fat_never_needs_less(made: tuple[dict[str, float], str, float, float], fat: str, more: float) -> None:
    before, after = book(lines_of(made), [*lines_of(made), line(0, fat, more)]).itertuples()
    assert after.needed_typical_g > before.needed_typical_g
    assert after.superfat_typical > before.superfat_typical


@holds_for(recipe, st.floats(0.001, 1e4))
def test_more_acid_leaves_more_superfat(made: tuple[dict[str, float], str, float, float], more: float) -> None:
    before, after = book(lines_of(made), [*lines_of(made), line(0, "citric acid, anhydrous", more)]).itertuples()
    assert after.needed_typical_g > before.needed_typical_g
    assert after.needed_high_g - after.needed_typical_g == pytest.approx(
        before.needed_high_g - before.needed_typical_g, rel=1e-6, abs=1e-6
    )


@holds_for(recipe, st.floats(0.61, 0.99))
def test_purer_lye_leaves_less_superfat(made: tuple[dict[str, float], str, float, float], purity: float) -> None:
    lines = lines_of(made)
    weaker = [*lines[:-1], lines[-1] | {"strength": purity}]
    whole, weak = book(lines, weaker).itertuples()
    assert weak.superfat_typical > whole.superfat_typical
    assert weak.alkali_g == pytest.approx(purity * whole.alkali_g)


@holds_for(recipe)
def test_lye_and_liquid_recomputed_give_what_is_aimed_at(made: tuple[dict[str, float], str, float, float]) -> None:
    row = soap(*lines_of(made))
    fats, liquid, written, _ = made
    liquid_g = written if np.isnan(row.liquid_recomputed_g) else row.liquid_recomputed_g
    again = soap(*lines_of((fats, liquid, liquid_g, row.alkali_recomputed_g)))
    assert again.superfat_typical == pytest.approx(row.recomputed_superfat)
    if not np.isnan(row.liquid_recomputed_g) and 30 <= row.lye_concentration <= 38:
        assert again.lye_concentration == pytest.approx(row.lye_concentration)


@holds_for(grams, st.floats(10, 400))
def test_naoh_and_koh_come_back(mass: float, value: float) -> None:
    assert float(naoh_from_koh(koh_from_naoh(mass))) == pytest.approx(mass)
    assert float(naoh_from_koh(alkali_needed(mass, value, "KOH"))) == pytest.approx(float(alkali_needed(mass, value)))


@holds_for(grams, share)
def test_purity_comes_back(mass: float, purity: float) -> None:
    assert float(weighed_mass(pure_mass(mass, purity), purity)) == pytest.approx(mass)


@holds_for(grams, st.floats(-50, 50))
def test_superfat_comes_back(needed: float, superfat: float) -> None:
    assert float(superfat_percent(alkali_for(superfat, needed), needed)) == pytest.approx(superfat, abs=1e-9)


@holds_for(grams, st.floats(5, 60))
def test_concentration_comes_back(alkali: float, percent: float) -> None:
    assert float(lye_concentration(alkali, water_for(percent, alkali))) == pytest.approx(percent)


@holds_for(st.floats(5, 50), st.floats(15, 40), st.sampled_from(["NaOH", "KOH"]))
def test_strength_comes_back_by_density(percent: float, celsius: float, alkali: str) -> None:
    gravity = density(percent, celsius, alkali) / WATER_DENSITY_60F
    if gravity <= 1.5:
        assert float(percent_by_specific_gravity(gravity, celsius, alkali)) == pytest.approx(percent, abs=1e-6)


@holds_for(st.floats(0, 47))
def test_baume_comes_back(baume: float) -> None:
    assert float(baume_by_specific_gravity(specific_gravity_by_baume(baume))) == pytest.approx(baume, abs=1e-9)


@holds_for(st.lists(st.floats(0, 1e4), min_size=1, max_size=8))
def test_independent_distances_add_to_less_than_their_sum(distances: list[float]) -> None:
    assert max(distances) - 1e-6 <= float(spread(distances)) <= sum(distances) + 1e-6


@holds_for(st.lists(st.tuples(grams, st.floats(50, 300)), min_size=1, max_size=6))
def test_a_blend_lies_between_its_fats(fats: list[tuple[float, float]]) -> None:
    masses, values = zip(*fats, strict=True)
    assert min(values) - 1e-9 <= float(saponification_value_of_blend(masses, values)) <= max(values) + 1e-9
    whole = alkali_needed(sum(masses), saponification_value_of_blend(masses, values))
    assert float(whole) == pytest.approx(float(np.sum(alkali_needed(masses, values))))


@holds_for(share, st.floats(0, 0.2), st.floats(0, 0.1))
def test_ageing_never_makes_lye_stronger(purity: float, moisture: float, gas: float) -> None:
    aged = float(purity_after_ageing(purity, moisture, gas))
    assert isnan(aged) or aged <= purity + 1e-12
    low, high = purity_after_gain(purity, moisture)
    assert isnan(low) or low <= high + 1e-12


@holds_for(grams, st.floats(0.05, 0.5), st.floats(0, 0.3))
def test_drying_takes_water_only(batch: float, water: float, left: float) -> None:
    cured = float(cured_mass(batch, water * batch, left))
    assert batch * (1 - water) - 1e-6 <= cured <= batch
    least, most = curing_loss_bounds(batch, water * batch)
    assert least <= 100 * (1 - cured / batch) + 1e-9 <= most + 1e-6


@holds_for(grams, st.floats(0, 2), st.sampled_from(["NaOH", "KOH"]))
def test_shares_make_up_the_batch(fat: float, part: float, kind: str) -> None:
    needed = float(alkali_needed(fat, 195, kind))
    made = shares(fat, part * needed, needed, 1.5 * fat + part * needed, kind)
    parts = (made.soap, made.fat, made.glycerol, made.free_alkali, made.rest)
    assert sum(float(p) for p in parts) == pytest.approx(100)
    assert min(float(p) for p in parts) >= -1e-9
    assert (made.free_alkali > 1e-9) == (part > 1 + 1e-9)


@holds_for(st.floats(0, 100), st.floats(0, 100))
def test_fat_at_trace_on_top_of_no_superfat_is_a_surplus(before: float, added: float) -> None:
    assert float(superfat_with_fat_at_trace(0, added)) == pytest.approx(
        float(superfat_from_fat_surplus(added)), abs=1e-9
    )
    assert superfat_with_fat_at_trace(before, added) >= before - 1e-9


@holds_for(grams, grams, grams)
def test_free_alkali_only_where_more_than_needed(alkali: float, needed: float, batch: float) -> None:
    assert (free_alkali_percent(alkali, needed, batch) > 0) == (alkali > needed)


@holds_for(grams, grams, share, grams)
def test_fat_in_a_liquid_raises_superfat(fat: float, needed: float, takes: float, alkali: float) -> None:
    base = float(superfat_percent(alkali, needed))
    more = float(superfat_percent(alkali, needed + fat * takes))
    assert float(superfat_from_liquid(fat, needed, takes, alkali)) == pytest.approx(more - base, abs=1e-6, rel=1e-6)


def test_stronger_lye_gets_hotter() -> None:
    assert (np.diff(hottest_lye(np.arange(10, 38, 1.0))) > 0).all()


# ------------------------------------------------------------------------------------------------ shapes and ranges


def test_arrays_in_arrays_out() -> None:
    assert naoh_per_g(np.full((2, 3), 195.0)).shape == (2, 3)
    assert naoh_per_g(195.0).shape == ()
    assert alkali_needed([100, 200], 195).shape == (2,)
    assert density([10, 20, 30], [[20], [25]]).shape == (2, 3)
    assert percent_by_specific_gravity([1.2, 1.3], [[20.0], [30.0], [40.0]]).shape == (3, 2)
    assert hottest_lye([20, 30], 20).shape == (2,)


OUTSIDE = [
    (lambda: naoh_per_g(-1), {"saponification_value": -1}),
    (lambda: naoh_per_g(700), {"saponification_value": 700}),
    (lambda: alkali_needed(-5, 195), {"mass": -5}),
    (lambda: density(55), {"percent": 55}),
    (lambda: density(4), {"percent": 4}),
    (lambda: density(30, 60), {"temperature": 60}),
    (lambda: percent_by_specific_gravity(1.6), {"specific_gravity": 1.6}),
    (lambda: hottest_lye(50), {"heat_percent": 50}),
    (lambda: hottest_lye(30, -5), {"start_temperature": -5}),
    (lambda: pure_mass(100, 1.2), {"purity": 1.2}),
    (lambda: specific_gravity_by_baume(70), {"baume": 70}),
    (lambda: lye_concentration(float("nan"), 1), {"mass": float("nan")}),
]


@pytest.mark.parametrize(("compute", "quantity"), OUTSIDE)
def test_outside_its_range_a_function_gives_nan_and_there_is_a_reason(
    compute: object, quantity: dict[str, float]
) -> None:
    assert np.isnan(compute())  # type: ignore[operator]  # any function of the table
    (reason,) = why_not(**quantity)
    (name,) = quantity
    assert reason.startswith(name.replace("_", " "))
    assert "published" in reason or "known" in reason or len(reason) > len(name) + 15


@pytest.mark.parametrize("name", RANGES)
def test_ranges_say_why_they_end(name: str) -> None:
    found = RANGES[name]
    assert found.low < found.high
    assert found.below
    assert found.above or np.isinf(found.high)
    assert found.why_not(found.low) is None
    assert not np.isnan(found.keep([found.low]))


def test_nothing_wrong_gives_no_reason() -> None:
    assert why_not(percent=30, temperature=20, mass=100) == ()


def test_negative_amounts_spoil_only_their_own_recipe() -> None:
    made = book(plain({"lard": -10}, 1, 2), plain({"lard": 100}, 13, 30))
    assert isnan(made.superfat_typical[1])
    assert not isnan(made.superfat_typical[2])
