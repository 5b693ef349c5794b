"""Amounts rescaled: a published recipe by hand, and what holds for every recipe, size and scale."""

import re
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rescaled_books import KITCHEN, MILK, OUNCE, audit_of

from sheetcheck.pipeline import audit
from sheetcheck.rescaling.bench import Bench, read_bench
from sheetcheck.rescaling.drift import moved, too_coarse
from sheetcheck.rescaling.follows import pours_of
from sheetcheck.rescaling.rows import job_rows
from sheetcheck.rescaling.scaling import Rescaled, rescale
from sheetcheck.rescaling.targets import read_targets
from sheetcheck.rescaling.weighing import weighings
from tests.books import write_book
from tests.builders import Sketch, recipe

ROUNDED = 0.003  # share of a size that rounding may add, so that a mould stays within a hundredth
STEP = 1e-6  # points of superfat, or grams: what binary fractions may leave


def rescaled(recipes: list[Sketch], *to: str, keep_lye: bool = False, **bench: str) -> Rescaled:
    return rescale(audit_of(recipes), read_targets(to, {}), read_bench(bench), keep_lye=keep_lye)


def shown(done: Rescaled, job: int = 1) -> dict[str, float]:
    lines = done.lines[done.lines["recipe"] == job]
    return dict(zip(lines["name"], lines["shown"].tolist(), strict=True))


# --------------------------------------------------------------------------- by hand


@pytest.mark.parametrize(("to", "oil", "water", "lye"), [("x0.5", 423, 12, 235), ("x4", 3384, 96, 1880)])
def test_a_published_recipe_halved_and_made_four_times(tmp_path: Path, to: str, oil: int, water: int, lye: int) -> None:
    # E. G. Thomssen, Soap-Making Manual, 1922, p. 43: cocoanut oil 846 parts, soda lye of 35 °Bé 470, water 24.
    rows = [["Soap", "Coconut oil (g)", "Soda lye 35 °Bé (g)", "Water (g)"], ["Cold made", 846, 470, 24]]
    book = audit(write_book(tmp_path / "book.xlsx", {"Soaps": rows}))
    done = rescale(book, read_targets([to], {}), read_bench({"scale": "1 g"}))
    assert list(shown(done).values()) == [oil, lye, water]


def test_lye_is_computed_for_the_rounded_fats_and_not_scaled() -> None:
    # 80 oz of lard and 10.56 oz of lye, made a third: 26.666 and 3.52. On a scale of 0.5 oz the lard would be 26.5 oz,
    # whose lye is 3.498 oz, so 3.0. A batch a little larger has 27.0 oz, whose lye is 27 * 10.56 / 80 = 3.564, so 3.5.
    done = rescaled([KITCHEN], "x1/3", scale="0.5 oz")
    assert shown(done) == {"lard": 27.0, "sodium hydroxide": 3.5, "water": 8.0}
    kept = rescaled([KITCHEN], "x1/3", scale="0.5 oz", keep_lye=True)
    assert shown(kept) == {"lard": 26.5, "sodium hydroxide": 3.5, "water": 8.0}
    job = kept.jobs.loc[1]
    assert (job["lye_scaled_g"], job["lye_computed_g"]) == pytest.approx((3.5 * OUNCE, 3.0 * OUNCE))


def test_the_same_size_gives_the_same_amounts() -> None:
    done = rescaled([KITCHEN, MILK], "x1")
    assert shown(done) == {"lard": 80, "sodium hydroxide": 10.56, "water": 24}
    milk = shown(done, 2)
    assert [milk[k] for k in ("olive oil", "coconut oil", "sodium hydroxide", "water", "goat milk", "clay")] == [
        700, 300, 141, 150, 170, 12,
    ]  # fmt: skip


def test_additions_are_scaled_and_spoons_left_to_the_maker() -> None:
    lines = rescaled([MILK], "x3").lines.set_index("name")
    assert lines.loc["clay", "shown"] == 36
    assert lines.loc["salt", "scaled_value"] == 3
    assert not lines.loc["salt", "weighed"]


def test_potash_and_soda_keep_their_proportion() -> None:
    both = recipe(
        "Shaving",
        fats={"tallow": "600 g", "coconut oil": "400 g"},
        lye={
            "sodium hydroxide": "60 g",
            "potassium hydroxide": {"amount": "130 g", "strength": 0.9},
        },
        liquid={"water": "400 g"},
    )
    done = rescaled([both], "x2.5", scale="0.1 g")
    amounts = shown(done)
    assert amounts["sodium hydroxide"] / amounts["potassium hydroxide"] == pytest.approx(60 / 130, rel=1e-3)
    assert amounts["sodium hydroxide"] <= 150
    assert amounts["potassium hydroxide"] <= 325
    job = done.jobs.loc[1]
    assert (
        job["superfat_before"] - STEP <= job["superfat_typical"] <= job["superfat_before"] + 2 * job["lye_step_points"]
    )


# --------------------------------------------------------------------------- what always holds

FATS = ("lard", "tallow", "olive oil", "coconut oil", "castor oil")
UNITS = st.sampled_from(["g", "oz", "lb"])
SCALES = st.sampled_from(
    ["0.01 oz; 0.1 g", "0.1 oz; 1 g", "0.01 oz to 16 oz, 0.1 oz; 0.1 g to 500 g, 1 g", "0.5 oz; 5 g"]
)
SIZES = st.sampled_from(["x0.37", "x2", "x7.31", "fats=3 kg", "batch=9 lb", "bars=40x110g", "mould=2 box 24x8x7 cm"])


@st.composite
def soaps(draw: st.DrawFn) -> Sketch:
    unit = draw(UNITS)
    size = {"g": 300.0, "oz": 12.0, "lb": 1.0}[unit]
    fats = {fat: round(draw(st.floats(0.5, 3)) * size, 2) for fat in draw(st.sets(st.sampled_from(FATS), min_size=1))}
    total = sum(fats.values())
    lye = round(total * 0.134 * draw(st.floats(0.6, 0.95)), 3)  # below what the least hungry of these fats takes up
    milk = {"goat milk": f"{total * 0.15:.2f} {unit}"} if draw(st.booleans()) else {}
    return recipe(
        "Drawn",
        fats={fat: f"{amount} {unit}" for fat, amount in fats.items()},
        lye={"sodium hydroxide": f"{lye} {unit}"},
        liquid={"water": f"{lye * draw(st.floats(1.6, 2.5)):.2f} {unit}"} | milk,
    )


@settings(max_examples=60, deadline=None)
@given(soap=soaps(), scale=SCALES, to=SIZES)
def test_superfat_is_never_below_and_above_by_a_step_of_the_scale_at_most(soap: Sketch, scale: str, to: str) -> None:
    jobs = rescaled([soap], to, scale=scale).jobs
    above = jobs["superfat_typical"] - jobs["superfat_before"]
    assert (above >= -STEP).all()
    assert (above <= jobs["lye_step_points"] + STEP).all()


@settings(max_examples=40, deadline=None)
@given(soap=soaps(), scale=SCALES, to=SIZES)
def test_lye_is_never_more_than_the_rounded_fats_call_for(soap: Sketch, scale: str, to: str) -> None:
    done = rescaled([soap], to, scale=scale)
    wanted = done.jobs["needed_typical_g"] * (1 - done.jobs["superfat_before"] / 100)
    assert (done.jobs["alkali_g"] <= wanted + STEP).all()
    lye = done.lines[done.lines["role"] == "alkali"]
    assert (lye["grams"] <= lye["exact_g"] + STEP).all()


@settings(max_examples=30, deadline=None)
@given(soap=soaps(), scale=SCALES, size=st.floats(0.2, 9), to=st.sampled_from(["fats=3 kg", "batch=9 lb"]))
def test_the_size_that_a_recipe_was_written_in_does_not_matter(soap: Sketch, scale: str, size: float, to: str) -> None:
    small = audit_of([soap])
    in_size = ["fat_g", "alkali_g", "liquid_g", "water_g", "batch_g", "batter_ml", "needed_typical_g"]
    large = replace(
        small,
        book=replace(small.book, components=small.book.components.assign(grams=small.book.components["grams"] * size)),
        recipes=small.recipes.assign(**{column: small.recipes[column] * size for column in in_size}),
    )
    done = [rescale(book, read_targets([to], {}), read_bench({"scale": scale})) for book in (small, large)]
    fats = [d.lines.loc[d.lines["role"] == "fat", "exact_g"] for d in done]
    np.testing.assert_allclose(fats[0], fats[1], rtol=1e-9)
    # What falls between two steps may be rounded either way.
    assert ((done[0].lines["shown"] - done[1].lines["shown"]).abs() <= done[0].lines["step"] + STEP).all()


@settings(max_examples=30, deadline=None)
@given(
    soap=soaps(), pot=st.sampled_from(["2 L", "3 qt", "10 L"]), to=st.sampled_from(["fats=20 kg", "x13", "batch=60 lb"])
)
def test_equal_batches_add_up_and_fit(soap: Sketch, pot: str, to: str) -> None:
    bench = read_bench({"pot": pot, "scale": "0.01 oz; 0.1 g"})
    whole = rescaled([soap], to, scale="0.01 oz; 0.1 g")
    split = rescaled([soap], to, pot=pot, scale="0.01 oz; 0.1 g")
    batches = int(split.jobs.loc[1, "batches"])
    assert split.jobs.loc[1, "batter_ml"] <= bench.pot_ml * 1.001
    assert batches == 1 or whole.jobs.loc[1, "batter_ml"] / (batches - 1) > bench.pot_ml * 0.999
    step = 0.01 * OUNCE if split.jobs.loc[1, "weigh_unit"] != "g" else 0.1
    difference = (split.lines["grams"] * batches - whole.lines["grams"]).abs()
    # Each batch rounds for itself: lye downwards, and for fats that are each up to half a step off; liquid follows the
    # lye of its batch, and so its steps too.
    lines = whole.lines
    grams = lines.groupby("role")["grams"].sum()
    of_lye = 1 + 0.5 * (lines["role"] == "fat").sum() * 0.2  # no fat takes up a fifth of its weight
    of_liquid = 1 + of_lye * grams["liquid"] / grams["alkali"]
    steps = lines["role"].map({"alkali": of_lye, "liquid": of_liquid}).fillna(1.0)
    assert (difference <= step * (batches + 1) * steps + STEP).all()


def test_a_scale_that_bears_less_splits_the_batch() -> None:
    job = rescaled([KITCHEN], "x4", scale="0.1 oz to 11 lb").jobs.loc[1]
    assert job["batches"] == 2  # 320 oz of fats on a scale of 176 oz
    assert job["name"] == "Kitchen (×4, one of 2 equal batches)"


@settings(max_examples=30, deadline=None)
@given(
    soap=soaps(),
    mould=st.sampled_from(["box 24x8x7 cm", "2 loaf 10x3.5x2.5 in", "cylinder 7.5x30 cm", "water 950 g"]),
    headspace=st.floats(0, 20),
)
def test_the_moulds_are_filled_to_a_hundredth(soap: Sketch, mould: str, headspace: float) -> None:
    said = f"{headspace:.3f}"
    done = rescaled([soap], f"mould={mould}", headspace=said, left_in_pot="3 %", scale="0.01 oz; 0.1 g")
    poured = done.jobs.loc[1, "batter_ml"] * 0.97
    assert poured == pytest.approx(done.targets[0].amount * (1 - float(said) / 100), rel=0.01)


@settings(max_examples=30, deadline=None)
@given(soap=soaps(), weigh_in=st.sampled_from(["as written", "oz", "g", "lb oz"]), to=SIZES)
def test_every_amount_stands_on_a_step_of_one_unit(soap: Sketch, weigh_in: str, to: str) -> None:
    done = rescaled([soap], to, weigh_in=weigh_in)
    assert len(set(done.jobs["weigh_unit"])) == 1
    steps = done.lines["shown"] / done.lines["step"]
    np.testing.assert_allclose(steps, steps.round(), atol=1e-6)


def test_recipes_of_one_name_or_of_none_are_told_apart() -> None:
    nameless = replace(KITCHEN, name="")
    assert rescaled([KITCHEN, MILK, KITCHEN, nameless], "x2").jobs["name"].tolist() == [
        "Kitchen (×2)", "Meadow (×2)", "Kitchen, no. 2 (×2)", "Recipe in A5 (×2)",
    ]  # fmt: skip


# --------------------------------------------------------------------------- what is told


def test_a_size_is_moved_a_little_where_the_scale_would_change_the_recipe() -> None:
    # A tenth of 10.56 oz of lye is 1.056: on a scale of 0.1 oz 1.0, for 8 oz of lard 10.5 % superfat and not 5.5. A
    # batch of 7.6 oz of lard calls for 7.6 * 10.56 / 80 = 1.003 oz.
    done = rescaled([KITCHEN], "x0.1", scale="0.1 oz")
    assert shown(done)["sodium hydroxide"] == 1.0
    assert shown(done)["lard"] == 7.6
    (told,) = moved(done)
    before = 100 * (1 - 10.56 / (80 * 0.1397))  # middle of the range of lard: 195.9 mg KOH/g, USP and handbooks
    after = 100 * (1 - 1.0 / (7.6 * 0.1397))
    assert f"Superfat {before:.1f} % became {after:.1f} %" in told.sentence or abs(after - before) <= 0.3
    assert "smaller than asked for" in told.sentence
    assert moved(rescaled([KITCHEN], "x0.1", scale="0.001 oz")) == []


def test_a_scale_that_is_too_coarse_is_told_with_the_nearest_batch() -> None:
    done = rescaled([KITCHEN], "x0.1", scale="0.5 oz")
    (job,) = job_rows(done.jobs)
    said = too_coarse(job, done)
    assert said.startswith("The scale is too coarse for this batch: superfat 5.5 % became")
    fats = re.search(r"has ([\d.]+) oz of fats", said)
    assert fats
    again = rescaled([KITCHEN], f"fats={fats[1]}oz", scale="0.5 oz").jobs.loc[1]
    assert again["superfat_typical"] - again["superfat_before"] <= 1, "the batch that is proposed can be weighed"
    assert job.own_superfat == pytest.approx(job.superfat_before), "the recipe's own superfat stays the stated one"


@settings(max_examples=40, deadline=None)
@given(soap=soaps(), scale=SCALES, to=SIZES)
def test_superfat_is_kept_or_told(soap: Sketch, scale: str, to: str) -> None:
    done = rescaled([soap], to, scale=scale)
    for job in job_rows(done.jobs):
        assert job.superfat_typical >= job.superfat_before - STEP
        assert job.superfat_typical - job.superfat_before <= job.lye_step_points + STEP
        assert (job.superfat_typical - job.superfat_before <= 1) == (too_coarse(job, done) == "")
        assert 0.92 - ROUNDED <= job.resized <= 1.08 + ROUNDED


@settings(max_examples=15, deadline=None)
@given(soap=soaps(), scale=st.sampled_from(["0.5 oz; 5 g", "0.1 oz; 1 g", "0.5 oz; 10 g"]), to=SIZES)
def test_fats_are_rounded_to_suit_the_lye_and_stay_what_they_are(soap: Sketch, scale: str, to: str) -> None:
    done = rescaled([soap], to, scale=scale)
    with patch("sheetcheck.rescaling.fitting.other_roundings", lambda _audit, _jobs, lines, *_, **__: lines):
        nearest = rescaled([soap], to, scale=scale)
    assert done.jobs.index.tolist() == nearest.jobs.index.tolist()
    for job in job_rows(done.jobs):
        assert job.superfat_typical <= nearest.jobs["superfat_typical"][job.Index] + STEP, "never worse for it"
    fats = done.lines[(done.lines["role"] == "fat") & done.lines["weighed"]]
    per = fats["recipe"].map(done.jobs["weigh_unit"]).map({"g": 1.0}).fillna(OUNCE)
    off = (fats["grams"] - fats["exact_g"]).abs()
    assert (off <= np.maximum(fats["step"] * per, 0.05 * fats["exact_g"]) + STEP).all(), (
        "a step beside it, or little of it"
    )


@settings(max_examples=30, deadline=None)
@given(
    naoh=st.floats(20, 120),
    koh=st.floats(30, 200),
    purity=st.sampled_from([0.85, 0.9, 1.0]),
    scale=st.sampled_from(["1 g", "5 g"]),
)
def test_of_two_lyes_no_more_than_a_step_is_lost(naoh: float, koh: float, purity: float, scale: str) -> None:
    needed = naoh + koh * purity * 0.7129  # molar masses, IUPAC
    both = recipe(
        "Both",
        fats={"tallow": f"{needed / 0.1405 / 0.95:.0f} g"},
        lye={
            "sodium hydroxide": f"{naoh:.1f} g",
            "potassium hydroxide": {"amount": f"{koh:.1f} g", "strength": purity},
        },
        liquid={"water": f"{2.5 * needed:.0f} g"},
    )
    for job in job_rows(rescaled([both], "x1.3", scale=scale).jobs):
        assert -STEP <= job.superfat_typical - job.superfat_before <= job.lye_step_points + STEP


def test_a_batch_too_small_for_the_scale_is_left_out() -> None:
    done = rescaled([KITCHEN], "x0.005", scale="0.1 oz")
    assert done.jobs.empty
    assert "finer" in done.left_out[0].why


def test_a_fat_of_unknown_density_cannot_be_fitted_to_moulds() -> None:
    unknown = recipe("Odd", fats={"lard": "500 g"}, lye="60 g", liquid={"water": "140 g"})
    book = audit_of([unknown])
    book = replace(book, recipes=book.recipes.assign(batter_ml=np.nan))
    done = rescale(book, read_targets(["mould=box 24x8x7 cm", "x2"], {}), Bench())
    assert done.jobs["label"].tolist() == ["×2"]
    assert [(x.target, "volume" in x.why) for x in done.left_out] == [("box 24×8×7 cm", True)]


@settings(max_examples=25, deadline=None)
@given(soap=soaps(), scale=st.sampled_from(["0.5 oz; 5 g", "0.1 oz; 1 g"]), count=st.integers(1, 3))
def test_on_a_coarse_scale_each_mould_still_gets_its_own_within_a_hundredth(
    soap: Sketch, scale: str, count: int
) -> None:
    done = rescaled([soap], f"mould={count} box 24x8x7 cm + cylinder 3 x 10 in", scale=scale)
    for job in job_rows(done.jobs):
        step = done.lines["step"].max() * (1 if job.weigh_unit == "g" else OUNCE)
        poured = pours_of(job, done)
        assert sum(p.grams * p.mould.count for p in poured) == pytest.approx(job.batch_g * job.batches * 0.98)
        for pour in poured:
            assert 99 - 100 * step / job.batch_g <= pour.fill <= 101 + 100 * step / job.batch_g


@settings(max_examples=25, deadline=None)
@given(soap=soaps(), to=st.sampled_from(["mould=box 12x8x5 cm", "bars=6x100g", "x0.3"]))
def test_no_batch_is_proposed_that_moulds_or_pot_could_not_take(soap: Sketch, to: str) -> None:
    done = rescaled([soap], to, scale="0.5 oz; 10 g", pot="2 L")
    for job in job_rows(done.jobs):
        if job.weighable == job.weighable and to != "x0.3":
            assert job.weighable <= 1.002
        if job.weighable == job.weighable:
            assert job.batter_ml / job.resized * job.weighable <= 2000 * 1.02


@settings(max_examples=25, deadline=None)
@given(soap=soaps(), scale=SCALES, to=SIZES)
def test_a_tolerance_leaves_room_both_ways_or_none_is_claimed(soap: Sketch, scale: str, to: str) -> None:
    done = rescaled([soap], to, scale=scale)
    for own in weighings(done).values():
        for weighing in (w for w in own if w.weight > 0):
            for way, room in ((1, weighing.above), (-1, weighing.below)):
                assert room >= 0
                assert room == pytest.approx(round(room / weighing.step) * weighing.step)
                assert room <= max(0.05 * weighing.weight, 0) + STEP or weighing.role == "alkali"
                moved_by = way * room / weighing.step * weighing.points_per_step
                assert abs(moved_by) <= 0.26, "no room costs more than a quarter of a point of superfat"
