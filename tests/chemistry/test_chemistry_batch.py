"""What `compute` makes of recipes: the meaning of each column, and what is not known."""

from math import isnan, nan

import numpy as np
import pandas as pd
import pytest
from soaps import OUNCE, book, line, plain, soap

from sheetcheck.chemistry.batch import EXTRA_COLUMNS, compute
from sheetcheck.chemistry.comes_out import COLUMNS, comes_out
from sheetcheck.chemistry.outcome import shares
from sheetcheck.errors import SettingError
from sheetcheck.model import RECIPE_COMPUTED_COLUMNS, OwnValue
from sheetcheck.reference import constants, substances
from sheetcheck.settings import Settings, from_mapping

KOH, NAOH = "potassium hydroxide", "sodium hydroxide"
PILOT = plain({"lard": 80}, 10.86, 24.29, OUNCE)


# ------------------------------------------------------------------------------------------------ common practice


def test_a_sound_recipe_of_common_practice() -> None:
    # Common practice, no source: 80 oz lard, 24.29 oz liquid, 10.86 oz lye is a sound recipe.
    made = soap(*PILOT)
    assert made.superfat_low >= 0
    assert 2.5 <= made.superfat_typical <= 4.5
    assert made.lye_concentration == pytest.approx(30.9, abs=0.05)
    assert made.water_per_lye == pytest.approx(24.29 / 10.86)
    assert made.free_alkali_percent == 0


def test_the_same_with_the_lye_weighed_to_a_hundredth_less() -> None:
    made = soap(*plain({"lard": 80}, 10.85, 24.29, OUNCE))
    assert made.superfat_low >= 0
    assert 2.5 <= made.superfat_typical <= 4.5


def test_a_third_too_much_lye_is_free_lye() -> None:
    # Common practice, no source: 64 oz lard with 13 oz lye burns.
    made = soap(*plain({"lard": 64}, 13, 30, OUNCE))
    assert made.superfat_high < 0
    assert made.free_alkali_percent > 0.05  # IS 2888 allows 0.05 % in toilet soap, second hand


@pytest.mark.parametrize("fat", ["lard", "olive oil"])
def test_ounces_of_fats_for_a_cubic_inch_of_mould(fat: str) -> None:
    # Common practice, no source: about 0.40 oz of fats per cubic inch, with a lye of 30 %.
    needed = soap(*plain({fat: 1000}, 100, 300)).needed_typical_g
    lye = 0.95 * needed
    made = soap(*plain({fat: 1000}, lye, lye * 7 / 3))
    assert 1000 / OUNCE / (made.batter_ml / 16.387064) == pytest.approx(0.40, rel=0.05)


# ------------------------------------------------------------------------------------------------ columns


def test_every_column_of_the_model_is_there() -> None:
    made = book(PILOT)
    assert set(RECIPE_COMPUTED_COLUMNS) | set(EXTRA_COLUMNS) <= set(made.columns)
    assert list(made.index) == [1]
    assert made["alkali"].tolist() == ["NaOH"]


def test_demand_is_that_of_the_table() -> None:
    made = soap(*plain({"lard": 500, "coconut oil": 250}, 100, 250))
    lard, coconut = substances()["lard"], substances()["coconut oil"]
    expected = (500 * lard.sap_typical + 250 * coconut.sap_typical) / 1000 * 39.9971 / 56.1056
    assert made.needed_typical_g == pytest.approx(expected, rel=1e-5)
    assert made.superfat_typical == pytest.approx(100 * (1 - 100 / expected), abs=1e-3)
    assert made.batch_g == 1100
    assert made.fat_g == 750


def test_one_fat_has_its_printed_range() -> None:
    made = soap(*plain({"olive oil": 1000}, 120, 300))
    olive = substances()["olive oil"]
    for end, value in (("low", olive.sap_low), ("high", olive.sap_high)):
        assert made[f"needed_{end}_g"] == pytest.approx(value * 39.9971 / 56.1056, rel=1e-5)
        assert made[f"superfat_{end}"] == pytest.approx(100 * (1 - 120 / made[f"needed_{end}_g"]))


def test_the_same_fat_in_two_cells_counts_once() -> None:
    once = soap(*plain({"olive oil": 1000}, 120, 300))
    twice = soap(*plain({"olive oil": 600}, 120, 300), line(0, "olive oil", 400))
    for column in ("needed_low_g", "needed_typical_g", "needed_high_g", "superfat_low", "superfat_high"):
        assert twice[column] == pytest.approx(once[column])


def test_different_fats_are_combined_in_quadrature() -> None:
    made = soap(*plain({"olive oil": 600, "coconut oil": 400}, 120, 300))
    distance = [
        mass * (substances()[key].sap_typical - substances()[key].sap_low) / 1000 * constants().naoh_per_koh
        for key, mass in (("olive oil", 600), ("coconut oil", 400))
    ]
    assert made.needed_typical_g - made.needed_low_g == pytest.approx(np.hypot(*distance))
    assert made.needed_typical_g - made.needed_low_g < sum(distance)


# ------------------------------------------------------------------------------------------------ liquids


def test_milk_counts_with_its_water_and_its_fat() -> None:
    water = soap(*plain({"lard": 1000}, 130, 300))
    milk = soap(line(0, "lard", 1000), line(0, NAOH, 130), line(0, "goat milk", 300))
    goat = substances()["goat milk"]
    assert milk.liquid_g == 300
    assert milk.water_g == pytest.approx(300 * goat.water)
    assert milk.fat_g == 1000
    assert milk.fat_in_liquids_g == pytest.approx(300 * goat.fat)
    more = 300 * goat.fat * goat.sap_typical / 1000 * constants().naoh_per_koh
    assert milk.needed_typical_g - water.needed_typical_g == pytest.approx(more)
    assert milk.superfat_from_liquids == pytest.approx(milk.superfat_typical - water.superfat_typical)
    assert milk.sugar_g == pytest.approx(300 * goat.sugar)
    assert milk.lye_concentration > water.lye_concentration


def test_two_milks_share_the_range_of_milk_fat() -> None:
    one = soap(line(0, "lard", 0.001), line(0, NAOH, 1), line(0, "goat milk", 1000))
    two = soap(line(0, "lard", 0.001), line(0, NAOH, 1), line(0, "goat milk", 500), line(0, "cow milk", 500))
    other = soap(line(0, "lard", 0.001), line(0, NAOH, 1), line(0, "cow milk", 1000))
    spread_one, spread_two, spread_other = (made.needed_high_g - made.needed_typical_g for made in (one, two, other))
    assert spread_two == pytest.approx((spread_one + spread_other) / 2, rel=1e-3)  # added, not in quadrature


def test_a_column_called_liquid_is_water() -> None:
    made = soap(*plain({"lard": 1000}, 130, 0)[:2], line(0, None, 300, role="liquid", name="Liquid", bears=True))
    assert made.water_g == made.liquid_g == 300


def test_a_liquid_no_one_knows_leaves_water_and_fats_open() -> None:
    unknown = line(0, None, 300, role="liquid", name="blue stuff", name_certainty="unknown", bears=True)
    made = soap(*PILOT[:2], unknown)
    assert made.liquid_g == 300
    assert np.isnan([made.water_g, made.lye_concentration, made.superfat_typical]).all()


# ------------------------------------------------------------------------------------------------ acids and the like


def test_acid_is_counted_exactly() -> None:
    without = soap(*PILOT)
    made = soap(*PILOT, line(0, "citric acid, anhydrous", 50))
    assert made.needed_typical_g - without.needed_typical_g == pytest.approx(50 * 0.62455, rel=1e-4)
    crystals = 50 * 0.086 * 0.62455  # low end: what is sold as citric acid may hold crystal water, 8.6 % of it
    assert made.needed_high_g - made.needed_typical_g == pytest.approx(without.needed_high_g - without.needed_typical_g)
    down = without.needed_typical_g - without.needed_low_g
    assert made.needed_typical_g - made.needed_low_g == pytest.approx(np.hypot(down, crystals), rel=1e-3)
    assert made.superfat_from_acids == pytest.approx(made.superfat_typical - without.superfat_typical)


@pytest.mark.parametrize(("stated", "taken", "water"), [(nan, 0.0333, 0.9478), (0.10, 0.0666, 0.90)])
def test_vinegar_by_its_strength(stated: float, taken: float, water: float) -> None:
    made = soap(*PILOT, line(0, "vinegar", 100, strength=stated))
    assert made.needed_typical_g - soap(*PILOT).needed_typical_g == pytest.approx(100 * taken, rel=2e-3)
    assert made.water_g - soap(*PILOT).water_g == pytest.approx(100 * water)


def test_lactic_acid_of_88_per_cent() -> None:
    made = soap(*PILOT, line(0, "lactic acid", 100, strength=0.88))
    assert made.needed_typical_g - soap(*PILOT).needed_typical_g == pytest.approx(88 * 0.44403, rel=1e-3)


@pytest.mark.parametrize("key", ["sodium lactate", "sodium citrate", "salt", "scent", "clay"])
def test_salts_and_additions_take_up_none(key: str) -> None:
    made = soap(*PILOT, line(0, key, 50))
    assert made.needed_typical_g == pytest.approx(soap(*PILOT).needed_typical_g)


def test_a_pinch_of_something_is_nothing() -> None:
    made = soap(*PILOT, line(0, None, nan, role="additive", bears=False))
    assert made.superfat_typical == pytest.approx(soap(*PILOT).superfat_typical)
    assert made.batch_g == pytest.approx(soap(*PILOT).batch_g)


def test_a_little_borax_does_not_matter_and_much_does() -> None:
    assert soap(*PILOT, line(0, "borax", 10)).superfat_typical == pytest.approx(soap(*PILOT).superfat_typical)
    much = soap(*PILOT, line(0, "borax", 200))
    assert isnan(much.superfat_typical)
    assert much.doubtful_points > 10
    assert much.superfat_if_weak > soap(*PILOT).superfat_typical


def test_water_glass_leaves_the_demand_open_but_not_free_lye() -> None:
    open_ = soap(*PILOT, line(0, "sodium silicate", 100, role="unknown", bears=True))
    assert np.isnan([open_.needed_typical_g, open_.superfat_typical, open_.alkali_recomputed_g]).all()
    assert open_.alkali_g == pytest.approx(10.86 * OUNCE)
    heavy = soap(*plain({"lard": 64}, 13, 30, OUNCE), line(0, "sodium silicate", 50, role="unknown", bears=True))
    assert heavy.superfat_if_weak < 0


# ------------------------------------------------------------------------------------------------ alkali


def koh_soap(grams: float, strength: float = nan, settings: Settings | None = None) -> pd.Series:
    return soap(
        line(0, "olive oil", 1000), line(0, KOH, grams, strength=strength), line(0, "water", 500), settings=settings
    )


def test_koh_is_never_taken_as_pure_in_silence() -> None:
    made = koh_soap(200)
    unknown = ("alkali_g", "superfat_typical", "lye_concentration", "alkali_recomputed_g", "free_alkali_percent")
    assert np.isnan([made[column] for column in unknown]).all()
    assert made.alkali == "KOH"
    assert (made.alkali_least_g, made.alkali_most_g) == (pytest.approx(170), pytest.approx(200))
    assert made.superfat_if_weak == pytest.approx(koh_soap(200, 0.85).superfat_typical)
    assert made.superfat_if_pure == pytest.approx(koh_soap(200, 1.0).superfat_typical)
    assert made.superfat_if_weak > 0 > made.superfat_if_pure


def test_koh_that_is_free_lye_at_its_weakest() -> None:
    assert koh_soap(260).superfat_if_weak < 0


def test_koh_of_stated_purity() -> None:
    made = koh_soap(215, 0.9)
    assert made.alkali_g == pytest.approx(193.5)
    assert made.needed_typical_g == pytest.approx(substances()["olive oil"].sap_typical)  # mg KOH/g, 1000 g
    assert koh_soap(215, settings=Settings(koh_purity=90)).alkali_g == pytest.approx(193.5)
    assert made.alkali_recomputed_g == pytest.approx(0.95 * made.needed_typical_g / 0.9)


def test_naoh_by_the_purity_of_the_setting_or_of_the_book() -> None:
    assert soap(*PILOT, settings=Settings(naoh_purity=97)).alkali_g == pytest.approx(0.97 * 10.86 * OUNCE)
    stated = [PILOT[0], line(0, NAOH, 100, strength=0.98), PILOT[2]]
    assert soap(*stated, settings=Settings(naoh_purity=90)).alkali_g == pytest.approx(98)


def test_mixed_alkali_is_counted_as_naoh_and_concentrated_as_it_is() -> None:
    made = soap(line(0, "olive oil", 1000), line(0, NAOH, 60), line(0, KOH, 100, strength=0.9), line(0, "water", 300))
    assert made.alkali == "mixed"
    assert made.alkali_g == pytest.approx(60 + 90 * constants().naoh_per_koh)
    assert made.needed_typical_g == pytest.approx(190.0 * constants().naoh_per_koh)
    assert made.lye_concentration == pytest.approx(100 * 150 / 450)
    assert isnan(made.alkali_recomputed_g)
    kept = made.naoh_recomputed_g / made.koh_recomputed_g
    assert kept == pytest.approx(60 / 100)
    again = made.naoh_recomputed_g + 0.9 * made.koh_recomputed_g * constants().naoh_per_koh
    assert again == pytest.approx(0.95 * made.needed_typical_g)


def test_lye_as_a_solution_brings_its_water() -> None:
    made = soap(line(0, "lard", 1000), line(0, NAOH, 400, strength=0.33), line(0, "water", 40))
    assert made.alkali_g == pytest.approx(132)
    assert made.water_g == pytest.approx(268 + 40)
    assert made.liquid_g == 40
    assert made.alkali_recomputed_g == pytest.approx(0.95 * made.needed_typical_g / 0.33)
    pure = 0.33 * made.alkali_recomputed_g
    in_all = made.liquid_recomputed_g + 0.67 * made.alkali_recomputed_g
    assert 100 * pure / (pure + in_all) == pytest.approx(made.lye_concentration)


@pytest.mark.parametrize("name", ["Soda lye 36 °Bé", "soda lye, 66 Tw", "lye sp. gr. 1.330"])
def test_lye_by_the_hydrometer(name: str) -> None:
    lye = line(0, "sodium hydroxide solution", 400, name=name, role="unknown", bears=True)
    made = soap(line(0, "lard", 1000), lye)
    assert made.alkali_g == pytest.approx(400 * 0.302, rel=0.01)
    assert made.water_g == pytest.approx(400 * 0.698, rel=0.01)


@pytest.mark.parametrize("key", ["sodium hydroxide solution", "can of lye", "sodium carbonate", "wood-ash lye"])
def test_what_is_refused_as_lye_leaves_the_lye_open(key: str) -> None:
    made = soap(line(0, "lard", 1000), line(0, key, 140, role="unknown", bears=True), line(0, "water", 300))
    assert made.alkali is None
    assert np.isnan([made.alkali_g, made.superfat_typical]).all()
    beside = soap(*plain({"lard": 64}, 13, 30, OUNCE), line(0, key, 140, role="unknown", bears=True))
    assert isnan(beside.superfat_typical)
    assert beside.superfat_if_weak < 0


# ------------------------------------------------------------------------------------------------ unknown is NaN


def test_an_unknown_fat_counts_as_fat_and_leaves_the_demand_open() -> None:
    made = soap(*PILOT, line(0, None, 500, role="fat", bears=True, name_certainty="unknown"))
    assert made.fat_g == pytest.approx(80 * OUNCE + 500)
    assert made.fat_in_liquids_g == 0
    assert np.isnan([made.needed_typical_g, made.superfat_typical, made.alkali_recomputed_g]).all()
    assert made.alkali_g == pytest.approx(10.86 * OUNCE)
    assert made.lye_concentration == pytest.approx(30.9, abs=0.05)


def test_a_group_of_fats_is_reckoned_with_its_range() -> None:
    # source: the ranges of what it may be made of, in tests/reference/test_published_values.py
    made = soap(*PILOT, line(0, "vegetable oil", 500))
    alone = soap(*PILOT, line(0, "olive oil", 500))
    assert made.superfat_high - made.superfat_low > alone.superfat_high - alone.superfat_low
    assert made.superfat_typical < alone.superfat_typical  # by the least of the values: lye is never judged too mildly


def test_a_refused_fat_counts_as_fat() -> None:
    made = soap(*PILOT, line(0, "margarine", 500, role="unknown", bears=True))
    assert made.fat_g == pytest.approx(80 * OUNCE + 500)
    assert isnan(made.superfat_typical)
    assert made.alkali == "NaOH"


@pytest.mark.parametrize(
    ("which", "unknown", "known"),
    [
        (0, ["fat_g", "needed_typical_g", "superfat_typical", "alkali_recomputed_g"], ["alkali_g", "water_g"]),
        (
            1,
            ["alkali_g", "superfat_typical", "lye_concentration"],
            ["fat_g", "needed_typical_g", "alkali_recomputed_g"],
        ),
        (2, ["liquid_g", "water_g", "lye_concentration"], ["superfat_typical", "alkali_recomputed_g"]),
    ],
)
@pytest.mark.parametrize("grams", [nan, -5.0])
def test_an_amount_not_read_leaves_open_what_rests_on_it(
    which: int, unknown: list[str], known: list[str], grams: float
) -> None:
    lines = [dict(made) for made in PILOT]
    lines[which]["grams"] = grams
    made = soap(*lines)
    assert made[unknown].isna().all()
    assert made[known].notna().all()
    assert isnan(made.batch_g)


def test_lye_and_liquid_that_are_not_there_are_not_zero() -> None:
    made = book(PILOT[:1], PILOT[1:], [PILOT[0], line(0, NAOH, 0.0), PILOT[2]])
    assert isnan(made.loc[1, "alkali_g"])
    assert isnan(made.loc[1, "liquid_g"])
    assert isnan(made.loc[1, "water_g"])
    assert made.loc[2, "fat_g"] == 0
    assert isnan(made.loc[2, "superfat_typical"])
    assert isnan(made.loc[3, "alkali_g"])


def test_a_recipe_without_amounts_is_all_unknown() -> None:
    recipes = pd.DataFrame({"stated_superfat": [nan, nan], "stated_superfat_other": [nan, nan]}, index=[7, 9])
    made = compute(recipes, pd.DataFrame([line(9, "lard", 100)]), Settings())
    assert made.loc[7, "fat_g"] == 0
    assert made.loc[9, "fat_g"] == 100


# ------------------------------------------------------------------------------------------------ own values


def own(value: float) -> list[OwnValue]:
    return [OwnValue("lard", value, "Values", "B2", str(value))]


def test_own_values_are_used_only_where_set_and_within_the_published_range() -> None:
    used = Settings(use_own_values=True)
    published = soap(*PILOT)
    assert soap(*PILOT, own_values=own(200.0)).needed_typical_g == pytest.approx(published.needed_typical_g)
    made = soap(*PILOT, own_values=own(200.0), settings=used)
    assert made.needed_typical_g == pytest.approx(80 * OUNCE * 0.2 * constants().naoh_per_koh)
    assert made.superfat_published == pytest.approx(published.superfat_typical)
    hidden = soap(*PILOT, own_values=own(260.0), settings=used)
    assert hidden.superfat_typical == pytest.approx(published.superfat_typical)


# ------------------------------------------------------------------------------------------------ recomputed


def test_lye_is_recomputed_for_the_stated_superfat() -> None:
    made = soap(*PILOT, stated_superfat=8.0)
    assert made.alkali_recomputed_g == pytest.approx(0.92 * made.needed_typical_g)
    assert made.recomputed_from == "row"


def test_of_two_readings_the_one_with_less_lye_counts() -> None:
    made = soap(*PILOT, stated_superfat=0.05, stated_superfat_other=5.0)
    assert made.recomputed_superfat == 5


@pytest.mark.parametrize("absurd", [-3.0, 80.0])
def test_an_absurd_statement_is_not_followed(absurd: float) -> None:
    made = soap(*PILOT, stated_superfat=absurd)
    assert made.recomputed_from == "setting"
    assert made.recomputed_superfat == 5


def test_the_books_usual_superfat_and_strength() -> None:
    usual = plain({"lard": 1000}, 0.93 * 139.7274, 0.93 * 139.7274 * 2)  # 7 %, one part lye to two of water
    fault = plain({"lard": 1000}, 300, 100)
    made = book(*[usual] * 9, fault).loc[10]
    assert made.recomputed_from == "book"
    assert made.recomputed_superfat == pytest.approx(7.0, abs=0.01)
    assert made.liquid_recomputed_g == pytest.approx(2 * made.alkali_recomputed_g, rel=1e-6)
    few = book(*[usual] * 4, fault).loc[5]
    assert few.recomputed_from == "setting"
    assert few.liquid_recomputed_g == pytest.approx(few.alkali_recomputed_g * 70 / 30)


def test_liquid_is_recomputed_for_the_rows_own_strength_and_mix() -> None:
    made = soap(*PILOT)
    strength = made.alkali_recomputed_g / (made.alkali_recomputed_g + made.liquid_recomputed_g)
    assert 100 * strength == pytest.approx(made.lye_concentration)
    milk = soap(line(0, "lard", 1000), line(0, NAOH, 130), line(0, "water", 150), line(0, "goat milk", 150))
    share = milk.water_g / milk.liquid_g
    water = milk.liquid_recomputed_g * share
    assert 100 * milk.alkali_recomputed_g / (milk.alkali_recomputed_g + water) == pytest.approx(milk.lye_concentration)


def test_lye_that_is_missing_is_recomputed_as_sodium_hydroxide_unless_the_book_uses_both() -> None:
    without = [PILOT[0], PILOT[2]]
    assert soap(*without).alkali_recomputed_g == pytest.approx(0.95 * soap(*PILOT).needed_typical_g)
    both = book(without, [line(0, "olive oil", 500), line(0, KOH, 100, strength=0.9), line(0, "water", 200)])
    assert isnan(both.loc[1, "alkali_recomputed_g"])


def test_recomputed_lye_and_liquid_make_a_sound_recipe() -> None:
    wrong = [line(0, "lard", 1000), line(0, NAOH, 300), line(0, "goat milk", 900)]
    made = soap(*wrong, stated_superfat=6.0)
    milk = line(0, "goat milk", made.liquid_recomputed_g)
    right = soap(line(0, "lard", 1000), line(0, NAOH, made.alkali_recomputed_g), milk)
    assert right.superfat_typical == pytest.approx(6.0)


# ------------------------------------------------------------------------------------------------ a whole book


def test_a_book_is_its_recipes_one_by_one() -> None:
    recipes = [PILOT, plain({"olive oil": 500, "lard": 300}, 110, 250), [PILOT[0]], plain({"tallow": 900}, 120, 260)]
    together = book(*recipes)
    for number, of in enumerate(recipes, 1):
        alone = soap(*of)
        for column in RECIPE_COMPUTED_COLUMNS:
            if column != "alkali":
                assert together.loc[number, column] == pytest.approx(alone[column], nan_ok=True)


def test_the_order_of_lines_and_the_numbering_of_recipes_do_not_matter() -> None:
    lines = [made | {"recipe": number} for number in (40, 7) for made in PILOT]
    recipes = pd.DataFrame({"stated_superfat": nan, "stated_superfat_other": nan}, index=[7, 40])
    made = compute(recipes, pd.DataFrame(lines[::-1]), Settings())
    assert made["superfat_typical"].tolist() == pytest.approx([soap(*PILOT).superfat_typical] * 2)


# ------------------------------------------------------------------------------------------------ aged lye


AGED = Settings(lye_moisture=3, lye_carbon_dioxide=2)


def test_aged_lye_is_a_second_figure() -> None:
    fresh, aged = soap(*PILOT), soap(*PILOT, settings=AGED)
    same = [c for c in (*RECIPE_COMPUTED_COLUMNS, *EXTRA_COLUMNS) if c != "superfat_if_aged"]
    pd.testing.assert_series_equal(fresh[same], aged[same])
    assert isnan(fresh.superfat_if_aged)
    share = (1 - 2 * 39.9971 / 44.0095 * 0.02) / 1.05
    by_hand = 100 * (1 - share * aged.alkali_g / aged.needed_typical_g)
    assert aged.superfat_if_aged == pytest.approx(by_hand, abs=1e-3)


def test_ageing_is_set_in_per_cent() -> None:
    given = {"lye_moisture": 3, "lye_carbon_dioxide": 2}
    assert from_mapping(given, "here") == AGED
    for name in given:
        with pytest.raises(SettingError, match="from 0 to 50"):
            from_mapping({name: -1}, "here")


def test_what_is_dissolved_already_does_not_age() -> None:
    lines = line(0, "lard", 1000), line(0, NAOH, 400, strength=0.33)
    made = soap(*lines, settings=AGED)
    assert made.superfat_if_aged == pytest.approx(made.superfat_typical)


def test_potash_ages_too() -> None:
    made = koh_soap(215, 0.9, AGED)
    by_hand = 215 * (0.9 - 2 * 56.1056 / 44.0095 * 0.02) / 1.05
    assert made.superfat_if_aged == pytest.approx(100 * (1 - by_hand / made.needed_typical_g), abs=1e-3)


@pytest.mark.parametrize("settings", [AGED, Settings(lye_moisture=50), Settings(lye_carbon_dioxide=50)])
def test_ageing_hides_no_free_lye(settings: Settings) -> None:
    made = soap(*plain({"lard": 64}, 13, 30, OUNCE), settings=settings)
    assert made.superfat_typical < -40
    assert made.free_alkali_percent > 0.05
    assert not made.superfat_if_aged < made.superfat_typical


def test_lye_that_cannot_have_taken_up_so_much_has_no_second_figure() -> None:
    lines = line(0, "lard", 1000), line(0, NAOH, 150, strength=0.7), line(0, "water", 300)
    assert isnan(soap(*lines, settings=Settings(lye_carbon_dioxide=50)).superfat_if_aged)


# ------------------------------------------------------------------------------------------------ what comes out


def test_shares_of_the_soap_are_those_of_the_formula() -> None:
    made = soap(*plain({"olive oil": 1000}, 130, 303))
    by_hand = shares(1000, 130, made.needed_typical_g, 1433)
    assert made.soap_percent == pytest.approx(float(by_hand.soap))
    assert made.fat_percent == pytest.approx(float(by_hand.fat))
    assert made.glycerol_percent == pytest.approx(float(by_hand.glycerol))
    assert made.cured_least_g == pytest.approx(1130)


def test_lye_taken_up_by_acid_leaves_more_fat() -> None:
    without = soap(*plain({"olive oil": 1000}, 130, 303))
    made = soap(*plain({"olive oil": 1000}, 130, 303), line(0, "citric acid, anhydrous", 20))
    assert made.fat_percent > without.fat_percent + 5
    assert made.soap_percent < without.soap_percent


def test_potash_gives_its_own_shares_and_mixed_lye_none() -> None:
    potash = koh_soap(215, 0.9)
    by_hand = shares(1000, 193.5, potash.needed_typical_g, 1715, "KOH")
    assert potash.soap_percent == pytest.approx(float(by_hand.soap))
    mixed = soap(line(0, "olive oil", 1000), line(0, NAOH, 60), line(0, KOH, 100, strength=0.9), line(0, "water", 300))
    assert np.isnan([mixed.soap_percent, mixed.fat_percent, mixed.glycerol_percent]).all()


def test_what_comes_out_invites_to_no_recipe_with_free_lye() -> None:
    made = book(PILOT, plain({"lard": 64}, 13, 30, OUNCE), PILOT[:1])
    table = comes_out(made)
    assert list(table.columns) == list(COLUMNS)
    assert table.loc[1, "soap_percent"] > 60
    assert table.loc[2, ["soap_percent", "fat_percent", "glycerol_percent"]].isna().all()
    assert table.loc[2, "free_alkali_percent"] > 0.05
    assert table.loc[3, "soap_percent"] != table.loc[3, "soap_percent"]


def test_alcohol_takes_up_no_lye_and_leaves_the_water_open() -> None:
    made = soap(*PILOT, line(0, "spirit", 100, role="liquid", bears=True))
    assert made.superfat_typical == pytest.approx(soap(*PILOT).superfat_typical)
    assert isnan(made.water_g)
    assert isnan(made.lye_concentration)


@pytest.mark.parametrize(("grams", "known"), [(20, True), (200, False)])
def test_a_little_of_unknown_density_counts_as_water_in_the_volume(grams: float, known: bool) -> None:  # noqa: FBT001 - a case has both
    recipe = plain({"lard": 1000}, 130, 300)
    made, without = soap(*recipe, line(0, "citric acid, anhydrous", grams)), soap(*recipe)
    if known:
        assert made.batter_ml - without.batter_ml == pytest.approx(grams, rel=0.01)
    else:
        assert isnan(made.batter_ml)
