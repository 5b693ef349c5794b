"""A part's failure costs its part: each stage is broken on purpose, and the rest of the book is audited as ever."""

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NoReturn, cast

import openpyxl
import pytest

import sheetcheck.reading.book as book_reader
from sheetcheck import pipeline, repairs, rules
from sheetcheck.cli.audit_command import status_of
from sheetcheck.model import Signal
from sheetcheck.pipeline import Checked, check
from sheetcheck.repairs import slips
from sheetcheck.report import marks
from sheetcheck.rules import Check, Evidence, Rule
from tests.books import write_book

HEADINGS = ["Recipe", "Lard (g)", "Olive oil (g)", "Water (g)", "Lye (g)", "Superfat %"]
SOUND = [[f"Sound {n}", 600 * n, 400 * n, 280 * n, 131 * n, 5] for n in range(1, 6)]
HEAVY = ["Heavy", 600, 400, 280, 231, 5]  # free lye
PYTHON_WORDS = ("Error", "Traceback", "None", "nan", "KeyError", "object", "float", "NaN", "ZeroDivision")


class OnPurposeError(Exception):
    """A fault of the program that no stage expects."""


def broken(*_given: object, **_named: object) -> NoReturn:
    raise OnPurposeError("on purpose")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "book.xlsx", {"Recipes": [HEADINGS, *SOUND, HEAVY], "More": [HEADINGS, *SOUND]})


def audited(book: Path) -> Checked:
    done = check(book, report=str(book.with_suffix(".json")))
    assert done.audit.missing, "what was lost is said"
    assert done.audit.faults[0].where.partition(": ")[2].startswith("OnPurposeError in ")
    for sentence in done.audit.missing:
        assert not any(word in sentence for word in PYTHON_WORDS), sentence
    assert status_of(done.audit, Signal.DANGER) == 1
    report = json.loads(book.with_suffix(".json").read_text(encoding="utf-8"))
    assert report["missing"] == list(done.audit.missing)
    assert report["faults"][0]["cost"] in report["missing"]
    openpyxl.load_workbook(done.copy)
    return done


def verdicts(done: Checked) -> dict[str, int]:
    return {str(k): int(v) for k, v in done.audit.recipes["verdict"].value_counts().items()}


def danger(done: Checked) -> set[str]:
    found = {f.recipe for f in done.audit.findings if f.signal is Signal.DANGER}
    return set(done.audit.recipes.loc[sorted(n for n in found if n is not None), "name"])


@pytest.mark.parametrize("rule", [r.name for r in rules.all_rules() if r.check is not None])
def test_a_rule_that_fails(book: Path, rule: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that it should have judged is called fine."""
    listed = rules.all_rules()

    def with_one_broken() -> tuple[Rule, ...]:
        return tuple(replace(r, check=broken) if r.name == rule else r for r in listed)

    monkeypatch.setattr(rules, "all_rules", with_one_broken)
    done = audited(book)
    assert "fine" not in verdicts(done)
    assert danger(done) == (set() if rule == "free-lye" else {"Heavy"})
    assert f"“{rule}”" in done.audit.missing[0]


def test_a_rule_that_fails_with_one_recipe(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed = rules.all_rules()

    def fails_with_one(evidence: Evidence) -> list[object]:
        numbers = [r.Index for r in evidence.rows(evidence.recipes["name"] == "Sound 3") if r.sheet == "More"]
        return broken() if numbers else []

    def with_one_broken() -> tuple[Rule, ...]:
        check = cast(Check, fails_with_one)
        return tuple(replace(r, check=check) if r.name == "superfat-high" else r for r in listed)

    monkeypatch.setattr(rules, "all_rules", with_one_broken)
    done = audited(book)
    recipes = done.audit.recipes
    assert recipes.loc[recipes["verdict"] == "not checked", ["sheet", "name"]].to_numpy().tolist() == [
        ["More", "Sound 3"]
    ]
    assert verdicts(done)["fine"] == 9


def test_a_slip_that_fails(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = slips._of_all  # noqa: SLF001 - the list of them, to be made longer
    monkeypatch.setattr(slips, "_of_all", lambda kind: (("made up", broken), *real(kind)))
    done = audited(book)
    assert danger(done) == {"Heavy"}
    assert verdicts(done) == {"fine": 10, "flagged": 1}
    assert any(f.repairs for f in done.audit.findings)  # the other sorts of slip are tried


@pytest.mark.parametrize("name", ["read_row", "search_row", "repairs_of", "read_entries", "rows_to_search", "units"])
def test_the_search_fails(book: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(repairs, name, broken)
    done = audited(book)
    assert danger(done) == {"Heavy"}
    heavy = done.audit.recipes.set_index("name").loc["Heavy"]
    assert heavy[["alkali_recomputed_g", "liquid_recomputed_g"]].isna().all()  # it may hold a wrong fat


def test_what_follows_the_search_fails(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pipeline, "settle", broken)
    done = audited(book)
    assert danger(done) == {"Heavy"}


def test_a_sheet_that_cannot_be_read(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = book_reader.read_sheet

    def fails_with_one(opened: object, grid: object, *given: object, **named: object) -> object:
        return broken() if grid.name == "More" else real(opened, grid, *given, **named)  # type: ignore[attr-defined,arg-type]  # whatever the reader passes

    monkeypatch.setattr(book_reader, "read_sheet", fails_with_one)
    done = audited(book)
    assert verdicts(done) == {"fine": 5, "flagged": 1}
    assert "“More” is not read, because of a fault of sheetcheck itself." in done.audit.missing


def test_chemistry_fails_with_one_recipe(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = pipeline.compute

    def fails_with_one(recipes: object, *given: object) -> object:
        return broken() if "Sound 2" in set(recipes["name"]) else real(recipes, *given)  # type: ignore[index,arg-type]  # a frame

    monkeypatch.setattr(pipeline, "compute", fails_with_one)
    done = audited(book)
    recipes = done.audit.recipes
    assert set(recipes.loc[recipes["verdict"] == "not checked", "name"]) == {"Sound 2"}
    assert danger(done) == {"Heavy"}


SHEETS = ("summary", "findings", "result", "batch", "reading", "values", "workings", "cautions")


def _breaking(name: str) -> Callable[[pytest.MonkeyPatch], None]:
    """Break what a sheet is made with, inside of what guards it."""

    def at(monkeypatch: pytest.MonkeyPatch) -> None:
        made = getattr(marks, name)
        inside = made.__wrapped__.__globals__
        used = [n for n in made.__wrapped__.__code__.co_names if callable(inside.get(n)) and n not in ("tr", "later")]
        monkeypatch.setitem(inside, used[0], broken)

    return at


@pytest.mark.parametrize("name", ["strip_and_data", "note", *(f"{sheet}_sheet" for sheet in SHEETS)])
def test_a_part_of_the_copy_fails(book: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    if name == "result_sheet":
        pytest.skip("this book has no recipes that are no rows")
    _breaking(name)(monkeypatch)
    done = audited(book)
    assert danger(done) == {"Heavy"}
    assert set(done.copy_report.warnings) >= {s for s in done.audit.missing if "left out" in s}


def test_debug_shows_the_way_and_nothing_else_does(book: Path) -> None:
    code = (
        "import sys, sheetcheck.repairs as r\n"
        "def broken(*a, **k): raise RuntimeError('on purpose')\n"
        "r.read_row = broken\n"
        "import sheetcheck.cli as c\n"
        "sys.argv = ['sheetcheck', *sys.argv[1:]]\n"
        "c.main()\n"
    )
    for more, shown in (((), False), (("--debug",), True)):
        done = subprocess.run(
            [sys.executable, "-c", code, "audit", str(book), *more],
            capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip
        assert done.returncode == 1
        assert ("RuntimeError: on purpose" in done.stderr) is shown
        assert "Of some recipes nothing is suggested; their verdicts stand." in done.stdout
