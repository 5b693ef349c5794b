"""The shipped examples give what their folders say."""

import csv
import math
from pathlib import Path

import pytest

import sheetcheck
from examples.build import stale
from sheetcheck.model import Audit, Signal

RANKS = {"": 0} | {s.value: s.rank for s in Signal}


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/farm_book/farm_book.xlsx")


@pytest.fixture(scope="module")
def expected(root: Path) -> list[dict[str, str]]:
    with (root / "examples/farm_book/expected.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def recipe_of(audit: Audit, sheet: str, name: str) -> int:
    rows = audit.recipes[(audit.recipes["sheet"] == sheet) & (audit.recipes["name"] == name)]
    assert len(rows) == 1, f"{sheet}, {name}: {len(rows)} recipes"
    return int(rows.index[0])


def test_books_are_as_their_script_builds_them() -> None:
    assert stale() == []


def test_every_recipe_is_found(farm: Audit) -> None:
    assert len(farm.recipes) == 40


def test_faulty_rows_get_verdict_and_signal(farm: Audit, expected: list[dict[str, str]]) -> None:
    wrong = []
    for row in expected:
        found = farm.recipes.loc[recipe_of(farm, row["sheet"], row["recipe"])]
        signal = found["signal"] or ""
        if found["verdict"] != row["verdict"] or (row["signal"] and signal != row["signal"]):
            wrong.append((row["recipe"], row["verdict"], row["signal"], found["verdict"], signal))
    assert wrong == []


def test_sound_rows_are_quiet(farm: Audit, expected: list[dict[str, str]]) -> None:
    spoken_of = {(row["sheet"], row["recipe"]) for row in expected}
    sound = farm.recipes[[(s, n) not in spoken_of for s, n in zip(farm.recipes["sheet"], farm.recipes["name"])]]  # noqa: B905 - columns of one frame
    loud = sound[(sound["verdict"] != "fine")]
    assert loud[["name", "verdict", "signal"]].to_numpy().tolist() == []


def test_the_wrong_cell_and_what_it_should_be(farm: Audit, expected: list[dict[str, str]]) -> None:
    wrong = []
    for row in expected:
        if not row["right_value"] or row["recipe"] == "Harbour":
            continue
        number = recipe_of(farm, row["sheet"], row["recipe"])
        repairs = [r for f in farm.findings if f.recipe == number for r in f.repairs]
        change = next((c for c in repairs[0].changes if c.cell == row["cell"]), None) if repairs else None
        right = float(row["right_value"])
        if change is None or change.unit != row["right_unit"] or change.value is None:
            wrong.append((row["recipe"], repairs[:1]))
        elif not math.isclose(change.value, right, rel_tol=0.02):
            wrong.append((row["recipe"], change))
    assert wrong == []


def test_no_lye_to_weigh_where_a_fat_is_in_doubt(farm: Audit) -> None:
    for name in ("Sea Beet", "Sheldrake"):
        found = farm.recipes.loc[recipe_of(farm, "Ounces", name)]
        assert math.isnan(found["alkali_recomputed_g"])
        assert math.isnan(found["liquid_recomputed_g"])


def test_clean_book_is_quiet(root: Path) -> None:
    audit = sheetcheck.audit(root / "examples/clean_book/clean_book.xlsx")
    assert len(audit.recipes) == 12
    assert [f for f in audit.findings if f.signal.rank >= Signal.CAUTION.rank] == []
    assert set(audit.recipes["verdict"]) == {"fine"}
