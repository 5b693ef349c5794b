"""The shipped examples give what their folders say."""

import csv
import math
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import sheetcheck
from examples.build import stale
from sheetcheck.model import Audit, Signal
from sheetcheck.settings import load

RANKS = {"": 0} | {s.value: s.rank for s in Signal}


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


@pytest.fixture(scope="module")
def expected(root: Path) -> list[dict[str, str]]:
    with (root / "examples/shore_book/expected.csv").open(encoding="utf-8") as file:
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


CONSOLE = re.compile(r"```console\n(.*?)```", re.DOTALL)
OWN_READMES = ("whole_chemistry", "old_books")


def told(readme: str) -> list[tuple[str, list[str]]]:
    """Return each command of a README with the output that stands below it."""
    lines = [line for block in CONSOLE.findall(readme) for line in block.splitlines()]
    starts = [n for n, line in enumerate(lines) if line.startswith("$ ")]
    return [(lines[a][2:], lines[a + 1 : b]) for a, b in zip(starts, [*starts[1:], len(lines)], strict=True)]


@pytest.mark.parametrize("folder", OWN_READMES)
def test_readmes_show_the_real_output(root: Path, folder: str, tmp_path: Path) -> None:
    readme = (root / "examples" / folder / "README.md").read_text(encoding="utf-8")
    assert any(shown for _, shown in told(readme))
    environment = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "NO_COLOR", "LANG")}
    for command, shown in told(readme):
        words = [str(root / word) if word.startswith("examples/") else word for word in shlex.split(command)[1:]]
        done = subprocess.run(
            [sys.executable, "-m", "sheetcheck", *words],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode in (0, 1), done.stderr
        assert [line.rstrip() for line in done.stdout.splitlines()][: len(shown)] == shown, command


def rows_of_table(root: Path, folder: str, first: str) -> list[list[str]]:
    """Return the rows of the table of a README whose first heading is `first`."""
    lines = (root / "examples" / folder / "README.md").read_text(encoding="utf-8").splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith(f"| {first} |"))
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[start + 2 :]]
    return rows[: next(n for n, row in enumerate(rows) if len(row) < 2)]


@pytest.fixture(scope="module")
def mill(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/whole_chemistry/mill_book.xlsx")


EVERYTHING = {
    *("goat milk", "cow milk", "sheep milk", "buffalo milk", "cream, heavy", "buttermilk", "yoghurt"),
    *("evaporated milk", "milk powder", "coconut milk", "coconut water", "half water, half milk", "egg yolk", "ice"),
    *("beer", "wine", "tea", "coffee", "aloe juice", "apple juice", "carrot juice", "honey", "sugar", "brine"),
    *("citric acid, anhydrous", "citric acid, monohydrate", "lactic acid", "vinegar", "ascorbic acid"),
    *("tartaric acid", "malic acid", "stearic acid", "baking soda", "sodium lactate", "sodium citrate"),
    *("rosin", "beeswax", "lanolin", "borax", "sodium hydroxide", "potassium hydroxide"),
}


def test_the_mill_has_every_thing_and_all_of_it_is_fine(mill: Audit) -> None:
    assert set(mill.book.components["substance"]) >= EVERYTHING
    assert mill.book.not_understood == ()
    assert [f.message for f in mill.findings if f.signal.rank >= Signal.CAUTION.rank] == []
    assert set(mill.recipes["verdict"]) == {"fine"}
    assert mill.recipes["superfat_typical"].between(2.5, 7).all()
    assert set(mill.recipes["alkali"]) == {"NaOH", "KOH", "mixed"}
    strengths = set(mill.book.components["strength"].dropna().round(2))
    assert {0.3, 0.33, 0.5, 0.9, 0.97} <= strengths  # 36 °Bé and sp. gr. 1.33, 72 °Tw, 50 %, 90 %, 97 %
    rules = {f.rule for f in mill.findings}
    assert {"sugar-in-the-lye", "alcohol-in-the-lye", "fat-in-the-liquid", "large-batch"} <= rules


def test_the_drawer_comes_out_as_its_readme_says(root: Path) -> None:
    drawer = sheetcheck.audit(root / "examples/whole_chemistry/drawer_book.xlsx")
    said = {row[0]: row[2] for row in rows_of_table(root, "whole_chemistry", "leaf")}
    found = drawer.recipes.set_index("name")
    assert set(said) == set(found.index)
    for name, comes_out in said.items():
        verdict, signal = found.loc[name, "verdict"], found.loc[name, "signal"]
        assert (signal == "DANGER") == comes_out.startswith("DANGER"), name
        assert comes_out.startswith(("DANGER", verdict)), name
    assert found.loc["Syrup", "signal"] == "CAUTION"
    assert any("60 °Bé is above 50" in f.message for f in drawer.findings)
    assert any("it says two strengths" in f.message for f in drawer.findings)


def test_old_books_come_out_as_their_readme_says(root: Path) -> None:
    theirs = sheetcheck.audit(root / "examples/old_books/as_the_books_reckon.xlsx").recipes
    ours = sheetcheck.audit(root / "examples/old_books/as_printed.xlsx").recipes
    by_hand = {
        row["recipe_id"]: float(row["lye_discount_pct"])
        for row in csv.DictReader(
            (root / "tests/chemistry/old_book_recipes_audit.csv").read_text(encoding="utf-8").splitlines()
        )
    }
    rows = rows_of_table(root, "old_books", "recipe")
    assert [row[0] for row in rows] == theirs["name"].tolist() == ours["name"].tolist()
    assert {row[0][:3] for row in rows} == set(by_hand)
    judged = set()
    for row, own, other, verdict in zip(
        rows, theirs["superfat_typical"], ours["superfat_typical"], theirs["verdict"], strict=True
    ):
        number = row[0][:3]
        assert row[2:5] == [_shown(by_hand[number]), _shown(own), _shown(other)]
        assert row[5].startswith(verdict)
        if not math.isnan(own):
            judged.add(number)
            assert own == pytest.approx(by_hand[number], abs=1)
    assert judged == set(by_hand)


def _shown(value: float) -> str:
    return "not known" if math.isnan(value) else f"{value:.1f}"


def test_aged_lye_is_a_second_figure_and_changes_no_verdict(root: Path, mill: Audit) -> None:
    settings = load(root / "examples/whole_chemistry/aged_lye.toml")
    aged = sheetcheck.audit(root / "examples/whole_chemistry/mill_book.xlsx", settings)
    assert aged.recipes["superfat_typical"].tolist() == mill.recipes["superfat_typical"].tolist()
    assert aged.recipes["verdict"].tolist() == mill.recipes["verdict"].tolist()
    assert (aged.recipes["superfat_if_aged"] >= aged.recipes["superfat_typical"]).all()
    assert "lye-aged" in {f.rule for f in aged.findings}
