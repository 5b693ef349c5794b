"""The search as a whole: contract, systematic causes, and a small sample of the benchmark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from sheetcheck import repairs, rules
from sheetcheck.model import Signal
from tests.benchmarks.book_generator import SCENARIOS, Amount, Book, Recipe, books
from tests.benchmarks.frames import evidence_of
from tests.benchmarks.repairs_benchmark import share
from tests.benchmarks.repairs_outcomes import flagged, run
from tests.builders import evidence, recipe
from tests.repairs.house import book_with, searched, sound, written

FATS = {"olive oil": 500, "coconut oil": 300, "palm oil": 200}
OTHER = {"g": "oz", "oz": "g"}
GRAMS = {"g": 1.0, "oz": 28.349523125}


def clean_books(count: int, **changes: object) -> list[Book]:
    scenario = replace(SCENARIOS[0], faulty=(0.0, 0.0), least=15, most=40, laundry=False, **changes)
    found = []
    for book in books(scenario, 7, 10**9):
        found.append(book)
        if len(found) == count:
            break
    return found


def with_lye(book: Book, change: Callable[[Recipe, Amount], Amount], first: int = 0) -> Book:
    """Change the lye of all recipes from one on."""

    def changed(recipe: Recipe) -> Recipe:
        return recipe.with_amounts({i: change(recipe, recipe.amounts[i]) for i in recipe.of("alkali")})

    book.written = [changed(r) if number >= first else r for number, r in enumerate(book.written)]
    return book


def systematic(book: Book) -> list[object]:
    read = evidence_of(book)
    found = repairs.search(read, rules.run(read).findings)
    return [f for f in found.findings if f.rule == "systematic-slip"]


# --------------------------------------------------------------------------- contract


def test_same_book_gives_the_same_answer() -> None:
    book = book_with(written(FATS, 286, 431), written(FATS, 143, 286, name="Other"))
    assert searched(book)[0] == searched(book)[0]


def test_probabilities_are_ordered_and_leave_room_for_no_error() -> None:
    for lye in (100, 121, 133, 153, 286, 1430, 14.3, 5.04):
        found, _ = searched(book_with(written(FATS, 286, lye)))
        offered = [repair.probability for repair in found.by_recipe.get(13, ())]
        assert offered == sorted(offered, reverse=True)
        assert sum(offered) <= 1 + 1e-6


def test_suspected_cells_hold_most_of_the_probability() -> None:
    found, _ = searched(book_with(written(FATS, 286, 1430)))
    named = {change.cell for change in found.by_recipe[13][0].changes}
    assert named <= found.suspected[13]


def test_a_slip_that_no_rule_sees_gets_a_finding() -> None:
    """143 g of lye typed as 134: superfat and liquid both a little off, sound by the rules, odd in this book."""
    found, findings = searched(book_with(written(FATS, 286, 134)))
    assert [f.rule for f in found.findings if 13 in f.recipes] == ["likely-slip"]
    assert found.by_recipe[13][0].changes[0].value == 143
    assert all(f.rule == "likely-slip" for f in findings if 13 in f.recipes and f.signal.rank >= Signal.CAUTION.rank)


def test_a_repair_explains_itself_in_three_lines() -> None:
    found, _ = searched(book_with(written(FATS, 286, 5.04)))
    says, needs, meant = found.by_recipe[13][0].why.split("\n")
    assert says.endswith("says 5.04 g.")
    assert needs.startswith("The rest of the row asks for")
    assert "5.04 oz" in meant
    assert "to 1 against" in meant


def test_a_formula_is_not_blamed_for_a_slip_of_typing() -> None:
    """A typed lye and a fat by formula, either of which could be wrong: the typed one is named."""
    odd = recipe(
        fats={
            "olive oil": {"amount": "500 g", "stored": "formula"},
            "coconut oil": {"amount": "300 g", "stored": "formula"},
        },
        liquid={"water": {"amount": "232 g", "stored": "formula"}},
        lye={"sodium hydroxide": "1160 g"},
    )
    book = evidence([*(sound(FATS) for _ in range(9)), odd])
    found, _ = searched(book)
    best = found.by_recipe[10][0]
    assert [change.value for change in best.changes] == [116.0]


def test_recipe_with_an_unread_amount_is_left_alone() -> None:
    odd = recipe(fats={"olive oil": "500 g", "coconut oil": "a cup or so"}, liquid={"water": "286 g"}, lye="1230 g")
    found, _ = searched(evidence([*(sound(FATS) for _ in range(9)), odd]))
    assert 10 not in found.by_recipe


def test_book_without_amounts_is_left_alone() -> None:
    found, _ = searched(evidence([recipe(fats={"olive oil": "some"})]))
    assert found == repairs.RepairResult({}, [], {})


# --------------------------------------------------------------------------- systematic causes


@pytest.mark.parametrize("first", [0, 8])
def test_lye_of_a_column_in_the_other_unit_is_one_finding(first: int) -> None:
    for book in clean_books(2):
        other = OTHER[book.unit]

        def converted(_recipe: Recipe, lye: Amount, other: str = other) -> Amount:
            return replace(lye, value=round(lye.grams / GRAMS[other], 2))

        found = systematic(with_lye(book, converted, first))
        assert len(found) == 1
        assert f"in {other} where the sheet says {book.unit}" in found[0].message
        assert len(found[0].recipes) >= 0.9 * (len(book.written) - first)


@pytest.mark.parametrize(
    ("factor", "says", "signal"),
    [
        (lambda s: 1 - s, "taken off twice", Signal.NOTICE),
        (lambda s: (1 + s) / (1 - s), "added to the lye", Signal.CAUTION),
        (lambda s: 1 / (1 - s), "No superfat", Signal.CAUTION),
    ],
)
def test_superfat_reckoned_wrongly_everywhere_is_one_finding(
    factor: Callable[[float], float], says: str, signal: Signal
) -> None:
    (book,) = clean_books(1, states_superfat=True, tidy=True, unit="g")

    def reckoned(recipe: Recipe, lye: Amount) -> Amount:
        return replace(lye, value=round(lye.value * factor((recipe.superfat or 0) / 100), 1))

    (finding,) = systematic(with_lye(book, reckoned))
    assert says in finding.message
    assert finding.signal == signal
    assert len(finding.recipes) >= 0.7 * len(book.written)


def test_sound_books_have_no_cause_in_common() -> None:
    assert not [finding for book in clean_books(8) for finding in systematic(book)]


# --------------------------------------------------------------------------- a sample of the benchmark


def test_sample_of_the_benchmark_holds_its_level() -> None:
    """Some 900 rows; the whole benchmark and its figures: tests/benchmarks/RESULTS.md."""
    outcomes = run(SCENARIOS[0], 5, 900)
    clean = [o for o in outcomes if o.kind is None]
    material = [o for o in outcomes if o.material]
    seen = [o for o in material if flagged(o)]
    sure = [o for o in outcomes if o.probability >= 0.97]
    assert share(clean, lambda o: o.signal >= Signal.WARNING.rank) <= 0.5
    assert share(material, flagged) >= 90
    assert share(seen, lambda o: o.cell == 1) >= 88
    assert share(seen, lambda o: 0 < o.cell <= 3) >= 94
    assert share(sure, lambda o: o.cell == 1) >= 97
    assert all(o.said for o in outcomes if o.free_lye)
