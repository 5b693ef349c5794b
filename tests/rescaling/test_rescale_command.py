"""`sheetcheck rescale`, as it is typed."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from examples.rescale.build import BOOK, RECIPES, RESULT, SIZES, stale
from sheetcheck.pipeline import audit


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "sheetcheck", "rescale", *words]
    path = os.pathsep.join([str(Path(__file__).parents[2]), os.environ.get("PYTHONPATH", "")])
    environment = os.environ | {"COLUMNS": "100", "PYTHONPATH": path}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture
def example(root: Path) -> Path:
    return root / "examples/rescale"


def test_the_book_is_as_its_script_builds_it() -> None:
    assert stale() == []


def test_the_command_of_the_readme_gives_what_it_shows(example: Path, tmp_path: Path) -> None:
    text = (example / "README.md").read_text(encoding="utf-8")
    shown = re.search(r"```console\n\$ sheetcheck rescale (.*?)\n(.*?)```", text, re.DOTALL)
    assert shown is not None
    words = [str(example / BOOK) if w.endswith(BOOK) else w for w in shlex.split(shown[1])]
    done = run(*words, folder=tmp_path)
    assert done.returncode == 1, done.stderr  # three recipes are left out
    assert done.stdout.split() == shown[2].split()


def test_the_shipped_result_holds_what_the_command_gives(example: Path, tmp_path: Path) -> None:
    sizes = [word for size in SIZES for word in ("--to", size)]
    run(str(example / BOOK), *sizes, "--out", str(tmp_path / "new.xlsx"), folder=tmp_path)
    shipped, new = (audit(book).recipes.set_index("name") for book in (example / RESULT, tmp_path / "new.xlsx"))
    assert shipped.index.tolist() == new.index.tolist()
    for column in ("fat_g", "alkali_g", "liquid_g"):
        assert (shipped[column] - new[column]).abs().max() < 1e-9


def test_each_set_takes_the_recipes_that_it_is_meant_for(example: Path) -> None:
    names = audit(example / RESULT).recipes["name"].tolist()
    assert [name for name in names if "Shells" in name] == ["Quince (Shells)", "Damson (Shells)"]
    sound = len(RECIPES) - 3
    assert len(names) == 3 * sound + 2


def test_moulds_of_another_workbook(example: Path, root: Path, tmp_path: Path) -> None:
    book = root / "examples/clean_book/clean_book.xlsx"
    words = ["--to", "moulds=Two loaves", "--moulds", str(example / BOOK), "--out", "out.xlsx", "--quiet"]
    done = run(str(book), *words, folder=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert (tmp_path / "out.xlsx").exists()


def test_options_of_the_bench(example: Path, tmp_path: Path) -> None:
    words = [
        "--to",
        "fats=20 lb",
        "--recipe",
        "Quince",
        "--scale",
        "0.1 oz to 8 lb",
        "--pot",
        "6 qt",
        "--paper",
        "letter",
    ]
    done = run(
        str(example / BOOK), *words, "--weigh-in", "lb oz", "--paper", "letter", "--out", "out.xlsx", folder=tmp_path
    )
    assert done.returncode == 0, done.stderr
    names = openpyxl.load_workbook(tmp_path / "out.xlsx").sheetnames
    assert [name for name in names if name.startswith("W")] == ["W1 Quince"]
    (name,) = audit(tmp_path / "out.xlsx").recipes["name"]
    assert name == "Quince (20 lb fats, one of 3 equal batches)"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--to", "big"], "x2, fats=5kg"),
        (["--to", "moulds=Huge"], "Two loaves, Market day, Shells"),
        (["--to", "x2", "--also", "Slow"], "did you mean “Sloe”"),
        (["--to", "x2", "--paper", "vellum"], "a4, letter"),
        (["--to", "x2", "--scale", "fine"], "0.01 oz to 16 oz"),
        (["--to", "x2", "--out", "nowhere/out.xlsx"], "there is no folder"),
    ],
)
def test_a_slip_is_one_clear_sentence_and_writes_nothing(
    example: Path, tmp_path: Path, words: list[str], says: str
) -> None:
    done = run(str(example / BOOK), *(["--out", "out.xlsx"] if "--out" not in words else []), *words, folder=tmp_path)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_free_lye_is_not_taken_even_if_answered_for(example: Path, tmp_path: Path) -> None:
    done = run(str(example / BOOK), "--to", "x2", "--also", "Sloe", "--out", "out.xlsx", folder=tmp_path)
    assert "Sloe" in done.stdout
    assert not [name for name in audit(tmp_path / "out.xlsx").recipes["name"] if name.startswith("Sloe")]


def test_a_coarse_scale_is_told_in_the_terminal_and_by_the_status(example: Path, tmp_path: Path) -> None:
    words = ["--to", "x0.25", "--recipe", "Quince", "--scale", "0.5 oz", "--out", "out.xlsx"]
    done = run(str(example / BOOK), *words, folder=tmp_path)
    assert done.returncode == 1, done.stderr
    told = " ".join(done.stdout.split())
    assert "Scale too coarse" in told
    assert "nearest batch that it can weigh" in told
    assert "1 batch size made (1 on too coarse a scale), nothing left out." in told
    sheets = openpyxl.load_workbook(tmp_path / "out.xlsx")
    for name in ("Soaps", "W1 Quince"):
        texts = [str(cell.value).lower() for row in sheets[name] for cell in row if cell.value]
        assert any("scale too coarse" in t or "scale is too coarse" in t for t in texts), name
    again = audit(tmp_path / "out.xlsx").recipes.iloc[0]
    assert again["stated_superfat"] == 6, "the recipe's own superfat stays the stated one"
    assert again["verdict"] != "fine", "so that the next audit says what has become of it"
