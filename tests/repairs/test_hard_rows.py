"""Rows that are hard to judge, each with what should be said about it. Invented, as is their book (`house.py`)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sheetcheck.model import Signal
from tests.builders import Sketch, evidence, recipe
from tests.repairs.house import BLENDS, NAOH, book_with, cell, first, of_odd_row, searched, sound, written

FATS = {  # with 143 g of lye and 286 g of water a sound recipe of this book
    "olive oil": 500,
    "coconut oil": 300,
    "palm oil": 200,
}


def test_unit_of_the_lye() -> None:
    book = book_with(written(FATS, 286, 5.04))
    found = of_odd_row(book)
    assert first(found) == {cell(book, "sodium hydroxide"): (5.04, "oz")}
    assert found[0].kind == "unit"
    assert found[0].probability >= 0.97
    assert found[0].only


def test_of_two_amounts_in_one_cell_the_one_that_fits() -> None:
    """504 g (5.04 oz): what is counted does not fit, what stands in brackets does."""
    odd = written(FATS, 286, 504)
    alkali = replace(odd, amounts=[
        (role, name, {"amount": "504 g", "written": "504 g (5.04 oz)", "unit_from": "cell text", "other_grams": 142.88})
        if role == "alkali" else (role, name, amount)
        for role, name, amount in odd.amounts
    ])  # fmt: skip
    book = book_with(alkali)
    found = of_odd_row(book)
    assert first(found) == {cell(book, "sodium hydroxide"): (5.04, "oz")}
    assert found[0].probability >= 0.97


def test_two_slips_in_one_row() -> None:
    """Lye in ounces and a liquid with its point moved: no single slip explains both, and the pair is found."""
    book = book_with(written(FATS, 28.6, 5.04))
    found = of_odd_row(book)
    assert first(found) == {
        cell(book, "sodium hydroxide"): (5.04, "oz"),
        cell(book, "water"): (286.0, "g"),
    }


def test_slip_inside_the_published_range_stays_quiet() -> None:
    """145 for 143 g of lye: no one could tell it from another supplier's fat."""
    result, findings = searched(book_with(written(FATS, 290, 145)))
    assert not result.findings
    assert 13 not in result.by_recipe
    assert not [f for f in findings if 13 in f.recipes and f.signal.rank >= Signal.CAUTION.rank]


def test_intended_odd_recipe_that_says_so_stays_quiet() -> None:
    salt_bar = sound({"coconut oil": 800, "olive oil": 200}, superfat=18, stated=18.0, additives={"salt": "500 g"})
    result, _ = searched(book_with(salt_bar))
    assert not result.findings
    assert 13 not in result.suspected


def test_odd_superfat_without_a_likely_slip_is_no_typing_error() -> None:
    """17 % superfat, not stated: a rule says so; no one cell is named as wrong."""
    result, findings = searched(book_with(sound(FATS, superfat=17)))
    assert any(f.rule == "superfat-high" and 13 in f.recipes for f in findings)
    assert not result.findings
    assert all(repair.probability < 0.5 for repair in result.by_recipe.get(13, ()))


def test_book_wholly_in_the_wrong_unit() -> None:
    """Ounces under headings of grams: ratios hold, so no cell is named; the book as a whole is."""
    blends = [{fat: amount / 25 for fat, amount in blend.items()} for blend in BLENDS]
    rows = [sound(blend, unit="oz") for blend in blends]
    as_grams = [
        replace(row, amounts=[(role, name, str(text).replace(" oz", " g")) for role, name, text in row.amounts])
        for row in rows
    ]
    result, _ = searched(evidence(as_grams))
    assert [f.rule for f in result.findings] == ["systematic-slip"]
    assert "oz" in result.findings[0].message
    assert not result.by_recipe


def test_fats_in_each_others_place() -> None:
    book = book_with(written({"olive oil": 250, "coconut oil": 750}, 280, 140))
    found = of_odd_row(book)
    both = {cell(book, "olive oil"): (750.0, "g"), cell(book, "coconut oil"): (250.0, "g")}
    assert both in [first((repair,)) for repair in found[:3]]


def test_amount_for_the_other_alkali() -> None:
    book = book_with(written(FATS, 286, round(143 * 1.4027)))
    found = of_odd_row(book)
    assert found[0].kind == "alkali"
    assert first(found) == {cell(book, "sodium hydroxide"): (143.0, "g")}


def test_lye_left_from_before_doubling() -> None:
    book = book_with(written({fat: 2 * grams for fat, grams in FATS.items()}, 286, 143))
    found = of_odd_row(book)
    assert found[0].kind == "stale"
    assert set(first(found)) <= {cell(book, "sodium hydroxide"), cell(book, "water")}
    value, unit = first(found)[cell(book, "sodium hydroxide")]
    assert unit == "g"
    assert value == pytest.approx(286, rel=0.02)


def test_lye_left_from_before_doubling_is_just_half_of_what_it_should_be() -> None:
    """The recipe was reckoned with 7 % superfat in a book of 5 %: twice what is written, not what 5 % would ask for."""
    fats = {fat: 2 * grams for fat, grams in FATS.items()}
    book = book_with(written(fats, 280, 140))
    found = of_odd_row(book)
    assert found[0].kind == "stale"
    assert first(found) == {cell(book, "sodium hydroxide"): (280.0, "g"), cell(book, "water"): (560.0, "g")}
    assert "2 times what is written" in found[0].why


def test_lye_left_from_before_a_fat_was_exchanged() -> None:
    """Coconut took the place of palm oil, and lye and liquid are still those of palm oil."""
    before = {"lard": 500, "palm oil": 300, "olive oil": 200}
    after = {"lard": 500, "coconut oil": 300, "olive oil": 200}
    lye = round(sum(NAOH[fat] * grams for fat, grams in before.items()) * 0.95)
    book = book_with(written(after, 2 * lye, lye))
    found = of_odd_row(book)
    assert set(first(found)) == {cell(book, "sodium hydroxide"), cell(book, "water")}
    value, _ = first(found)[cell(book, "sodium hydroxide")]
    assert value == pytest.approx(sum(NAOH[fat] * grams for fat, grams in after.items()) * 0.95, rel=0.01)


def test_liquid_copied_that_is_just_a_tenth_too_much() -> None:
    """316 g of water from the recipe above, for 286 g: a tenth more, though what is right is less than a tenth less."""
    above = sound({"olive oil": 552, "coconut oil": 332, "palm oil": 221})
    book = book_with(above, written(FATS, 316, 143))
    found, findings = searched(book)
    assert first(found.by_recipe[14]) == {cell(book, "water", 14): (286.0, "g")}
    assert [f.rule for f in findings if f.recipe == 14 and f.signal.rank >= Signal.CAUTION.rank] == ["likely-slip"]


def test_pounds_and_ounces_typed_as_a_decimal() -> None:
    """2 lb 4 oz of lard, typed as 2.4 in a column of ounces."""
    fats = {"lard": 36, "coconut oil": 12}
    right = sound(fats, unit="oz")
    lye = next(float(str(text).split()[0]) for role, _, text in right.amounts if role == "alkali")
    book = book_with(written({"lard": 2.4, "coconut oil": 12}, round(2 * lye, 2), lye, "oz"), unit="oz")
    assert first(of_odd_row(book)) == {cell(book, "lard"): (36.0, "oz")}


def test_one_fat_that_restores_total_and_superfat_is_not_joined_by_a_second_slip() -> None:
    """130 for 300 g of coconut; the liquid is unlike this book too, but that needs no slip."""
    total = {"kind": "fats total", "value": 1000.0, "unit": "g"}
    book = book_with(written(FATS | {"coconut oil": 130}, 330, 143, statements=[total]))
    assert first(of_odd_row(book)) == {cell(book, "coconut oil"): (300.0, "g")}


def test_lye_left_from_before_doubling_in_pounds_and_ounces_names_both_cells() -> None:
    """Lye in two cells, 2 lb 5 oz, fats doubled since: both its pounds and its ounces change."""
    blends = [{fat: amount / 2 for fat, amount in blend.items()} for blend in BLENDS]
    odd = {fat: float(amount) for fat, amount in FATS.items()}
    book = evidence(
        [_in_pounds(blend) for blend in blends] + [_in_pounds(odd, lye_from={f: a / 2 for f, a in odd.items()})]
    )
    found = of_odd_row(book)
    pounds, ounces = cell(book, "sodium hydroxide"), cell(book, "sodium hydroxide", line=1)
    assert found[0].kind == "stale"
    changed = first(found)
    assert {pounds, ounces} <= set(changed)
    value = changed[pounds][0] * 16 + changed[ounces][0]
    assert value == pytest.approx(sum(NAOH[fat] * amount for fat, amount in odd.items()) * 0.95, rel=0.02)


def _in_pounds(fats: dict[str, float], lye_from: dict[str, float] | None = None) -> Sketch:
    """Return a recipe in ounces whose lye stands in two cells, pounds and ounces."""
    lye = round(sum(amount * NAOH[fat] for fat, amount in (lye_from or fats).items()) * 0.95, 1)
    pounds, ounces = divmod(lye, 16)
    return recipe(
        fats={fat: f"{amount:.10g} oz" for fat, amount in fats.items()},
        liquid={"water": f"{2 * lye:.10g} oz"},
        lye={"sodium hydroxide": f"{pounds:.0f} lb", "lye": f"{ounces:.10g} oz"},
    )


def test_wrong_total_of_sound_amounts_names_the_total() -> None:
    total = {"kind": "fats total", "value": 1100.0, "unit": "g"}
    book = book_with(sound(FATS, statements=[total]))
    found = of_odd_row(book)
    line = book.statements.iloc[0]
    assert found[0].changes[0].value == 1000.0
    assert found[0].changes[0].cell.endswith(str(line["row"]))
    assert found[0].changes[0].cell not in {cell(book, fat) for fat in FATS}


def test_fat_copied_from_the_recipe_above() -> None:
    """Coconut of the recipe above (250 g) where 400 g was meant; the stated total tells."""
    right = {"olive oil": 400, "lard": 200, "coconut oil": 400}
    lye = sound(right)
    amounts = {role: float(str(text).split()[0]) for role, _, text in lye.amounts if role in ("alkali", "liquid")}
    total = {"kind": "fats total", "value": 1000.0, "unit": "g"}
    odd = written(right | {"coconut oil": 250}, amounts["liquid"], amounts["alkali"], statements=[total])
    book = book_with(odd)
    found = of_odd_row(book)
    assert first(found) == {cell(book, "coconut oil"): (400.0, "g")}
    assert found[0].kind == "copied"


def test_lye_and_liquid_in_each_others_place() -> None:
    book = book_with(written(FATS, 143, 286))
    found = of_odd_row(book)
    assert found[0].kind == "swap"
    assert first(found) == {cell(book, "sodium hydroxide"): (143.0, "g"), cell(book, "water"): (286.0, "g")}


def test_laundry_soap_that_says_so_stays_quiet() -> None:
    laundry = sound({"coconut oil": 1000}, superfat=0, stated=0.0, no_margin=True)
    result, _ = searched(book_with(laundry))
    assert not result.findings
    assert 13 not in result.suspected


@pytest.mark.parametrize(("lye", "expected"), [("307.9 oz", {"C": (307.9, "g")}), ("10.86 oz", {})])
def test_single_recipe_is_judged_by_what_is_usual_in_the_trade(lye: str, expected: dict[str, object]) -> None:
    book = evidence([recipe(fats={"lard": "80 oz"}, liquid={"water": "24.29 oz"}, lye={"sodium hydroxide": lye})])
    found = of_odd_row(book, 1)
    assert bool(found) == bool(expected)
    if expected:
        assert first(found) == {cell(book, "sodium hydroxide", 1): (307.9, "g")}


def test_a_line_typed_twice_is_too_many_and_the_lye_is_right() -> None:
    again = {"amount": "300 g", "substance": "coconut oil"}
    fats = {"olive oil": "500 g", "coconut oil": "300 g", "coconut": again, "palm oil": "200 g"}
    book = book_with(recipe("Row", fats=fats, liquid={"water": "286 g"}, lye={"sodium hydroxide": "143 g"}))
    repairs = of_odd_row(book)
    assert repairs[0].kind == "twice"
    assert first(repairs)[cell(book, "coconut oil", line=1)] == (0.0, "g")
    lye = cell(book, "sodium hydroxide")
    assert not any(r.probability > 0.02 for r in repairs if lye in {change.cell for change in r.changes})


def test_two_fats_of_one_amount_are_left_alone() -> None:
    book = book_with(sound({"olive oil": 400, "coconut oil": 300, "palm oil": 300}))
    assert not of_odd_row(book)


def test_the_same_recipe_elsewhere_says_which_fat_was_left_out() -> None:
    blend = {fat: 2 * amount for fat, amount in BLENDS[6].items()}
    lye = round(0.95 * sum(amount * NAOH[fat] for fat, amount in blend.items()))
    palm = blend.pop("palm oil")
    book = book_with(written(blend, 2 * lye, lye))
    repairs = of_odd_row(book)
    assert repairs[0].kind == "missing"
    assert repairs[0].changes[0].value == pytest.approx(palm, rel=0.02)


def test_a_fat_left_out_is_offered_at_its_blank_cell_and_no_other_cell_is_sure() -> None:
    # lye for 500 g of olive oil, 300 g of coconut oil and 200 g of palm oil, the last of which is missing
    book = book_with(written({"olive oil": 500, "coconut oil": 300}, 286, 143))
    repairs = of_odd_row(book)
    assert any(r.kind == "missing" and r.changes[0].written == "" for r in repairs)
    assert max(r.probability for r in repairs) < 0.9
