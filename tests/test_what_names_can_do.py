"""What a name can do: of files, sheets and recipes, it is only ever a text."""

import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from sheetcheck.many import SUMMARY, check_folder
from sheetcheck.pipeline import check
from tests.books import write_book

HEADINGS = ["Recipe", "Lard (g)", "Water (g)", "Lye (g)"]
RECIPES = [
    *("=1+1", "+1", "-2", "@SUM(A1)", "cmd|' /C calc'!A0", "two\nlines", "\x1b[31mred", "\x07bell", "[red]x[/red]"),
    *("<b>bold</b>", "https://x.example/", "internal:Recipes!A1", "file://c", "🧼", 'it\'s "one"', "--help", "{x} %s"),
]
SHEETS = ["cmd|' C calc'!A0", "=1+1", "-x", "@x", "it's", "+1 'x", "<b>&", "🧼", "{x}", "$(x)", "%s"]
FILES = ["-x", "=1+1", "@SUM", "--help", "🧼", "<b>", 'a"b', "\x1b[31mred", "two\nlines", "$(x)"]


def book(place: Path, sheet: str) -> Path:
    """Write recipes of all these names; every third has free lye."""
    rows = [[name, 900 + n, 270, 150 if n % 3 == 0 else 118] for n, name in enumerate(RECIPES)]
    return write_book(place, {sheet: [HEADINGS, *rows]})


@pytest.mark.parametrize("sheet", SHEETS)
def test_in_the_copy_nothing_becomes_a_formula_or_a_link(sheet: str, tmp_path: Path) -> None:
    done = check(book(tmp_path / "b.xlsx", sheet), report=str(tmp_path / "r.json"))
    assert done.editable
    names = [r["name"] for r in json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["recipes"]]
    assert names[:5] == RECIPES[:5]
    assert names[6] == "␛[31mred"
    ours = set(openpyxl.load_workbook(done.copy).sheetnames)
    with zipfile.ZipFile(done.copy) as package:
        for part in package.namelist():
            text = package.read(part).decode("utf-8", "replace")
            for formula in re.findall(r"<(?:\w+:)?f(?: [^>]*)?>([^<]*)</(?:\w+:)?f>", text):
                assert _refers_to_known_sheets(formula, ours), (part, formula)
            assert 'TargetMode="External"' not in text, part


def _refers_to_known_sheets(formula: str, sheets: set[str]) -> bool:
    plain = formula.replace("&apos;", "'").replace("&amp;", "&").replace("&lt;", "<").replace("&gt;", ">")
    plain = re.sub(r'"[^"]*"', "", plain.replace("&quot;", '"'))
    named = [quoted.replace("''", "'") for quoted in re.findall(r"'((?:[^']|'')*)'!", plain)]
    rest = re.sub(r"'(?:[^']|'')*'!", "", plain)
    bare = re.findall(r"([^\s!(),+*/<>=&:-]+)!", rest)
    return all(name in sheets for name in (*named, *bare)) and "|" not in rest


def test_names_of_files_in_a_folder(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    for file, sheet in zip(FILES, SHEETS, strict=False):
        book(tmp_path / "in" / f"{file}.xlsx", sheet)
    outcomes = check_folder(tmp_path / "in", tmp_path / "out", jobs=1)
    assert [o.worst for o in outcomes] == ["DANGER"] * len(FILES)
    cells = [cell for row in openpyxl.load_workbook(tmp_path / "out" / SUMMARY).active.iter_rows() for cell in row]
    assert not [cell.value for cell in cells if cell.data_type == "f" or cell.hyperlink]


def test_on_the_terminal_no_name_is_a_code_or_an_option(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    for file in ("-x", "\x1b[31mred"):
        book(tmp_path / "in" / f"{file}.xlsx", "Recipes")
    for command in (
        ("audit", ".", "--out", "../out"),
        ("audit", "--", "-x.xlsx"),
        ("audit", "\x1b[31mred.xlsx"),
        ("read", "\x1b[31mred.xlsx"),
        ("audit", "\x1b[31mnone.xlsx"),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "sheetcheck", *command],
            cwd=tmp_path / "in", capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip
        assert done.stdout + done.stderr
        assert "\x1b" not in done.stdout + done.stderr, command
        assert "[red]x[/red]" in done.stdout or "[red]" not in done.stdout
    assert min(p.name for p in (tmp_path / "out").iterdir()) == "\x1b[31mred.checked.xlsx"
