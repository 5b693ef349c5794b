"""A cause for many speaks once, and what the maker accepts is quiet and part of the habits; free lye stays DANGER."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sheetcheck import rules
from sheetcheck.model import Finding, Signal
from sheetcheck.reading.answers import ON_PURPOSE, Answer, Answers, keys_of
from sheetcheck.repairs import RepairResult
from sheetcheck.repairs.entries import read_entries
from sheetcheck.repairs.stated import read_statements
from sheetcheck.repairs.view import view
from sheetcheck.rules import Evidence
from sheetcheck.settings import Settings
from sheetcheck.settling import accepted_recipes, settle
from tests.builders import Sketch, evidence
from tests.repairs.house import BLENDS, book_with, sound, written

FATS = {"olive oil": 500, "coconut oil": 300, "palm oil": 200}


def settled(book: Evidence, answers: dict[str, str] | None = None) -> tuple[list[Finding], RepairResult]:
    return settle(book, rules.run(book).findings, Answers(to_findings=answers or {}))


def about(findings: list[Finding], recipe: int) -> list[Finding]:
    return [f for f in findings if f.recipe == recipe]


def on_purpose(book: Evidence, recipe: int) -> dict[str, str]:
    """Answer everything on a recipe."""
    findings, _ = settled(book)
    keys = keys_of(findings, book.book)
    return {key: ON_PURPOSE for key, f in zip(keys, findings, strict=True) if f.recipe == recipe}


def grams_as_ounces(row: Sketch, roles: tuple[str, ...] = ("alkali",)) -> Sketch:
    """Return a recipe whose lye was weighed in ounces and stands in a column of grams."""

    def said(role: str, text: str) -> str:
        return f"{float(text.split(maxsplit=1)[0]) / 28.349523125:.2f} g" if role in roles else text

    return replace(row, amounts=[(role, name, said(role, str(text))) for role, name, text in row.amounts])


# --------------------------------------------------------------------------- answers


def test_an_accepted_slip_is_quiet_and_nothing_is_withheld_for_it() -> None:
    book = book_with(written(FATS, 286, 134))
    before, found = settled(book)
    assert any(f.rule == "likely-slip" for f in about(before, 13))
    assert 13 in found.suspected
    after, found = settled(book, on_purpose(book, 13))
    assert {f.signal for f in about(after, 13)} == {Signal.NOTICE}
    assert not any(f.repairs for f in about(after, 13))
    assert 13 not in found.by_recipe
    assert 13 not in found.suspected


def test_an_accepted_recipe_becomes_part_of_the_habits() -> None:
    """A soap at 20 % in a book of 5 %: once accepted, another like it is less of an exception."""
    book = book_with(sound(BLENDS[2], superfat=20))
    entries = read_entries(book)
    statements = read_statements(book, entries)
    nothing = np.zeros(13, dtype=bool)
    before, after = (view(entries, statements, accepted).habits for accepted in (nothing, ~nothing))
    at = np.log([0.8])
    assert (before.rows, after.rows) == (12, 13)
    assert after.superfat.log(at)[0] > before.superfat.log(at)[0] + 1
    answers = on_purpose(book, 13)
    assert accepted_recipes(settled(book, answers)[0]) == {13}


def test_an_accepted_row_with_free_lye_stays_danger_and_out_of_the_habits() -> None:
    book = book_with(written(FATS, 286, 160))
    answers = on_purpose(book, 13)
    findings, found = settled(book, answers)
    danger = [f for f in about(findings, 13) if f.signal is Signal.DANGER]
    assert [f.rule for f in danger] == ["free-lye"]
    assert danger[0].answer == ON_PURPOSE
    assert danger[0].repairs, "what would put it right is shown still"
    assert not accepted_recipes(findings)
    assert 13 in found.by_recipe


def test_an_answer_is_dropped_when_the_amount_changes_and_that_is_said_once() -> None:
    book = book_with(written(FATS, 286, 134))
    answers = {key: Answer(said, "Row 13, Recipes!F14") for key, said in on_purpose(book, 13).items()}
    changed = book_with(written(FATS, 286, 143))
    findings, _ = settled(changed, answers)
    (dropped,) = [f for f in findings if f.rule == "answer-not-needed"]
    assert dropped.signal is Signal.NOTICE
    assert "“on purpose” to Row 13, Recipes!F14" in dropped.message
    assert not [f for f in settled(book, answers)[0] if f.rule == "answer-not-needed"]


# --------------------------------------------------------------------------- one cause for many


@pytest.mark.parametrize("first", [0, 5])
def test_a_column_in_another_unit_is_one_finding_for_the_whole_book(first: int) -> None:
    """Lye in ounces under a heading of grams, in all rows or from one row down."""
    rows = [sound(blend, name=f"Soap {number}") for number, blend in enumerate((*BLENDS, *BLENDS))]
    book = evidence([grams_as_ounces(row) if number >= first else row for number, row in enumerate(rows)])
    findings, _ = settled(book)
    loud = [f for f in findings if f.signal.rank >= Signal.CAUTION.rank]
    assert [f.rule for f in loud] == ["systematic-slip"]
    assert len(loud[0].about()) == len(rows) - first
    assert loud[0].signal is Signal.WARNING


def test_a_cause_is_one_finding_in_a_book_searched_in_stretches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sheetcheck.repairs.stretches._STRETCH", 12)
    rows = [grams_as_ounces(sound(blend, name=f"Soap {number}")) for number, blend in enumerate((*BLENDS, *BLENDS))]
    (cause,) = [f for f in settled(evidence(rows))[0] if f.rule == "systematic-slip"]
    assert cause.about() == tuple(range(1, 25))
    assert "In 24 recipes" in cause.message


def test_too_much_lye_everywhere_stays_danger_in_each_recipe() -> None:
    """Fats in ounces under a heading of grams: each recipe as written is free lye, and says so beside the one cause."""
    rows = [grams_as_ounces(sound(blend), ("fat",)) for blend in BLENDS]
    findings, _ = settled(evidence(rows))
    danger = {f.recipe for f in findings if f.signal is Signal.DANGER}
    assert danger == set(range(1, len(rows) + 1))
    loud = {f.rule for f in findings if f.signal.rank >= Signal.CAUTION.rank}
    assert loud == {"free-lye", "systematic-slip"}


def test_the_cause_is_as_bad_as_the_worst_that_it_stands_for() -> None:
    """No superfat taken off though 5 % are stated: hardly any margin, a WARNING, said once."""
    rows = [sound(blend, superfat=0.4, stated=5.0) for blend in (*BLENDS, *BLENDS)]
    book = evidence(rows)
    alone = [f for f in rules.run(book).findings if f.recipe is not None and f.signal is Signal.WARNING]
    (cause,) = [f for f in settled(book)[0] if f.rule == "systematic-slip"]
    assert alone
    assert cause.signal is Signal.WARNING
    left = [f for f in settled(book)[0] if f.recipe in cause.about() and f.signal.rank >= Signal.CAUTION.rank]
    assert all(f.signal is Signal.DANGER for f in left)


def test_a_second_fault_in_a_row_of_the_column_is_told_apart() -> None:
    rows = [grams_as_ounces(sound(blend)) for blend in (*BLENDS, *BLENDS)]
    rows[0] = replace(rows[0], amounts=[(r, n, "9000 g" if n == "olive oil" else t) for r, n, t in rows[0].amounts])
    findings, _ = settled(evidence(rows))
    assert [f for f in about(findings, 1) if f.signal.rank >= Signal.CAUTION.rank]


# --------------------------------------------------------------------------- weights


def test_weights_of_slips_change_which_reading_comes_first() -> None:
    """143 g of lye for fats that take twice as much: left from before doubling, unless that is said to be rare."""
    book = book_with(written({fat: 2 * grams for fat, grams in FATS.items()}, 286, 143))
    usual = settled(book)[1].by_recipe[13][0]
    rare = replace(book, settings=Settings(slips={"stale lye": 1e-6}))
    others = settled(rare)[1].by_recipe.get(13, ())
    assert usual.kind == "stale"
    assert all(repair.kind != "stale" for repair in others[:1])
