"""Every command in the frozen build, in surroundings without Python.

`SHEETCHECK_FROZEN=FOLDER pytest tests/frozen`, where FOLDER is what `python -m tests.frozen.build` has made; without it
these tests are left out, since the build takes two minutes and CI makes it once.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import urllib.request
from collections.abc import Mapping
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.pipeline import check

MADE = os.environ.get("SHEETCHECK_FROZEN", "")
MOST_BYTES = 60_000_000
pytestmark = pytest.mark.skipif(not MADE, reason="no frozen build was made")


@pytest.fixture(params=["folder/sheetcheck/sheetcheck", "file/sheetcheck"])
def program(request: pytest.FixtureRequest) -> Path:
    return Path(MADE) / request.param


@pytest.fixture
def desk(tmp_path: Path, root: Path) -> Path:
    for book in ("shore_book/shore_book.xlsx", "rescale/orchard_book.xlsx"):
        shutil.copy(root / "examples" / book, tmp_path)
    return tmp_path


def bare(home: Path) -> Mapping[str, str]:
    """Return surroundings in which there is neither a Python nor a library of ours."""
    return {"HOME": str(home), "PATH": "/nowhere", "LANG": "C.UTF-8"}


def run(program: Path, desk: Path, *words: str, status: int = 0) -> str:
    done = subprocess.run(
        [str(program), *words], cwd=desk, env=bare(desk), capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == status, f"{words}: {done.stdout[-500:]}{done.stderr[-1500:]}"
    return done.stdout + done.stderr


def test_small_enough() -> None:
    assert (Path(MADE) / "file/sheetcheck").stat().st_size < MOST_BYTES


def test_what_libreoffice_gets_is_there() -> None:
    inside = Path(MADE) / "folder/sheetcheck/_internal/sheetcheck/plugins/calc/extension"
    assert (inside / "component.py").is_file()
    assert (inside / "pythonpath/sheetcheck_screen.py").is_file()


def test_every_command(program: Path, desk: Path) -> None:
    assert run(program, desk, "--version").split()[1] == sheetcheck.__version__
    assert "of 40 recipes" in run(program, desk, "audit", "shore_book.xlsx", status=1)
    (desk / "german.toml").write_text('language = "de"\n', encoding="utf-8")
    german = ("audit", "shore_book.xlsx", "--settings", "german.toml", "--out", "german.xlsx")
    assert "40 Rezepte" in run(program, desk, *german, status=1)
    assert "one recipe per row" in run(program, desk, "read", "shore_book.xlsx")
    assert "Why it matters" in run(program, desk, "explain", "free-lye")
    assert "lard" in run(program, desk, "fats", "lard")
    assert "lard" in run(program, desk, "ingredients", "lard")
    assert "Rescaled book" in run(program, desk, "rescale", "orchard_book.xlsx", "--to", "x2", status=1)
    for shape in ("rows", "list", "cards", "moulds"):
        run(program, desk, "start", shape)
    run(program, desk, "unmark", "shore_book.checked.xlsx", "own.xlsx")
    assert (desk / "own.xlsx").read_bytes() == (desk / "shore_book.xlsx").read_bytes()
    assert "macOS only" in run(program, desk, "excel", "audit", status=2)
    assert "LibreOffice" in run(program, desk, "calc", "doctor", status=1)


def test_the_copy_is_the_same(program: Path, desk: Path) -> None:
    run(program, desk, "audit", "shore_book.xlsx", "--out", "frozen.xlsx", status=1)
    own = check(desk / "shore_book.xlsx", desk / "own.xlsx").copy
    assert (desk / "frozen.xlsx").read_bytes() == own.read_bytes()


def test_a_folder_with_worker_processes(program: Path, desk: Path) -> None:
    books = desk / "books"
    books.mkdir()
    for number in range(4):
        shutil.copy(desk / "shore_book.xlsx", books / f"b{number}.xlsx")
    said = run(program, desk, "audit", "books", "--out", "copies", "--jobs", "2", status=1)
    assert "Summary of 4 books" in said
    assert len(list((desk / "copies").glob("*.checked.xlsx"))) == 4


def test_what_the_menu_in_calc_runs(program: Path, desk: Path) -> None:
    request = desk / "request.json"
    book = str(desk / "shore_book.xlsx")
    about = {"version": 1, "name": "shore_book.xlsx", "file": book, "cells": [], "snapshot": None, "action": "audit"}
    request.write_text(json.dumps(about), encoding="utf-8")
    done = run(program, desk, "-m", "sheetcheck.plugins.calc", str(request))
    assert "of 40 recipes" in json.loads(done)["say"]
    assert run(program, desk, "-m", "sheetcheck.plugins.calc", "--version").strip() == sheetcheck.__version__
    run(program, desk, "-m", "http.server", "--help", status=2)  # no interpreter for anything else


def test_a_workbook_dropped_on_it(program: Path, desk: Path) -> None:
    done = subprocess.run(
        [str(program), "shore_book.xlsx"],
        cwd=desk,
        env=bare(desk),
        input="\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert "of 40 recipes" in done.stdout
    assert (desk / "shore_book.checked.xlsx").exists()


def test_the_launcher_names_the_program(program: Path, desk: Path) -> None:
    run(program, desk, "start", "launcher", "it.desktop")
    assert f'Exec="{program}" -m sheetcheck.plugins.launcher --wait %F' in (desk / "it.desktop").read_text("utf-8")


def test_the_page(program: Path, desk: Path) -> None:
    """Started without a word it serves the page, and leaves nothing behind."""
    env = {**bare(desk), "TMPDIR": str(desk)}
    with subprocess.Popen([str(program)], cwd=desk, env=env, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        address = re.search(r"http://127\.0\.0\.1:\d+/\S+/", process.stdout.readline())
        assert address
        with urllib.request.urlopen(address[0], timeout=30) as answer:  # noqa: S310 - the page itself
            assert b"Drop your recipe book here" in answer.read()
        with urllib.request.urlopen(f"{address[0]}static/page.css", timeout=30) as answer:  # noqa: S310 - the same
            assert answer.status == 200
        process.terminate()
        assert process.wait(30) == 0
    assert not list(desk.glob("sheetcheck-page-*"))
    assert sys.platform != "linux" or not list(desk.glob("_MEI*"))
