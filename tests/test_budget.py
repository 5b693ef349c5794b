"""What an audit may take is bounded: all recipes get verdicts, the worst get suggestions, and the rest is said."""

import re
from pathlib import Path

import pytest

from sheetcheck import faults, work
from sheetcheck.errors import NoRecipeError
from sheetcheck.model import Signal
from sheetcheck.pipeline import audit
from sheetcheck.repairs import search
from sheetcheck.rules import Evidence
from sheetcheck.settings import Settings
from tests.benchmarks.hostile_files import fats, faulty
from tests.books import write_book


@pytest.fixture
def book(tmp_path: Path) -> Path:
    faulty(60)(tmp_path / "book.xlsx")
    return tmp_path / "book.xlsx"


def little(monkeypatch: pytest.MonkeyPatch, seconds: float) -> None:
    monkeypatch.setattr(work, "_LEAST", seconds * work.SECOND)
    monkeypatch.setattr(work, "_PER_CELL", 0.0)
    monkeypatch.setattr(work, "_PER_SHEET", 0.0)


def test_verdicts_stand_for_all_and_suggestions_come_for_the_worst(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = audit(book)
    assert whole.missing == ()
    little(monkeypatch, 0.2)
    part = audit(book)
    assert part.recipes["superfat_typical"].equals(whole.recipes["superfat_typical"])
    dangers = {f.recipe for f in whole.findings if f.signal is Signal.DANGER}
    assert dangers == {f.recipe for f in part.findings if f.signal is Signal.DANGER}
    searched, left = map(int, re.findall(r"\d+", part.missing[0]))
    assert searched > 0 < left
    assert "have no suggestion; their verdicts stand" in part.missing[0]
    helped = {f.recipe for f in part.findings if f.repairs}
    assert helped
    assert {r for r in helped if r is not None} <= dangers  # free lye first


def test_the_same_book_gets_the_same_report(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work is counted, not timed."""
    little(monkeypatch, 0.2)
    one, two = audit(book), audit(book)
    assert one.findings == two.findings
    assert one.missing == two.missing


def test_what_was_not_searched_is_not_weighed_from(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = audit(book)
    evidence = Evidence(book=whole.book, recipes=whole.recipes, settings=Settings())
    with work.bounded(0.001), faults.gathering():
        found = search(evidence, whole.findings)
    assert found.unsearched
    little(monkeypatch, 1.1 * work.SHEET / work.SECOND)  # enough to read its sheet
    part = audit(book)
    assert part.recipes.loc[sorted(found.unsearched), "alkali_recomputed_g"].isna().all()


def test_a_recipe_of_very_many_fats_is_judged_and_not_searched(tmp_path: Path) -> None:
    fats(work.MOST_AMOUNTS + 100)(tmp_path / "long.xlsx")
    done = audit(tmp_path / "long.xlsx")
    assert done.recipes["superfat_typical"].notna().all()
    assert all("amounts" in sentence for sentence in done.missing)


def test_sheets_without_end_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [["Recipe", "Lard (g)", "Lye (g)", "Water (g)"], ["Plain", 900, 118, 270]]
    write_book(tmp_path / "b.xlsx", {f"S{n}": rows for n in range(10)})
    little(monkeypatch, 5.5 * work.SHEET / work.SECOND)
    done = audit(tmp_path / "b.xlsx")
    assert len(done.recipes) == 5
    assert "“S9” is not read: there was no work left for it." in done.missing


def test_a_huge_sheet_of_something_else_is_told_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sheetcheck.reading.arrangements._LARGE", 50)
    write_book(tmp_path / "b.xlsx", {"Towns": [["Leeds", n, 2 * n] for n in range(200)]})
    monkeypatch.setattr("sheetcheck.reading.arrangements.FREE_CELL", work.SECOND)
    with pytest.raises(NoRecipeError, match="On “Towns” 600 cells stand outside of tables; so many are not looked"):
        audit(tmp_path / "b.xlsx")
