"""The launcher: what it holds on each system, and the one for this system run with a workbook dropped on it."""

import configparser
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from sheetcheck.errors import CopyNotWritableError
from sheetcheck.plugins.launcher import main, script, write_launcher
from tests.plugins.recipe_book import make_book

POSIX_ONLY = pytest.mark.skipif(os.name == "nt", reason="runs a shell")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "my kitchen"
    folder.mkdir()
    return make_book(folder / "old recipes.xlsx")


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file into which a stand-in for the system's opener writes what it was asked to open."""
    log, tools = tmp_path / "opened", tmp_path / "tools"
    tools.mkdir()
    for name in ("xdg-open", "open"):
        opener = tools / name
        opener.write_text(f'#!/bin/sh\nprintf "%s\\n" "$@" >> {shlex.quote(str(log))}\n', encoding="utf-8")
        opener.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tools}:{os.environ['PATH']}")
    return log


def exec_words(launcher: Path) -> list[str]:
    """Split the key Exec as the Desktop Entry Specification says."""
    parser = configparser.ConfigParser(interpolation=None)
    parser.read(launcher, encoding="utf-8")
    value = parser["Desktop Entry"]["Exec"].replace("\\\\", "\\")
    words = re.findall(r'"((?:[^"\\]|\\.)*)"|(\S+)', value)
    return [re.sub(r"\\(.)", r"\1", quoted).replace("%%", "%") if quoted else plain for quoted, plain in words]


@pytest.mark.parametrize("python", ["/usr/bin/python3", '/opt/a maker/100% $oap `x` "q" \\b/python'])
def test_linux_keeps_the_path_whatever_is_in_it(tmp_path: Path, python: str) -> None:
    launcher = write_launcher(tmp_path, python, "linux")
    assert launcher.name == "Audit a recipe book.desktop"
    assert exec_words(launcher) == [python, "-m", "sheetcheck.plugins.launcher", "--wait", "%F"]
    assert launcher.stat().st_mode & 0o111 == 0o111


@POSIX_ONLY
def test_linux_launcher_audits_what_is_dropped(tmp_path: Path, book: Path, opened: Path) -> None:
    words = exec_words(write_launcher(tmp_path, sys.executable, "linux"))
    command = [*words[:-1], str(book)]
    done = subprocess.run(command, input="\n", capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 1, done.stderr
    assert "1 of 3 recipes holds too much lye: DO NOT MAKE IT. 2 fine." in done.stdout
    assert "Press Return to close." in done.stdout
    assert opened.read_text(encoding="utf-8").strip() == str(book.with_name("old recipes.checked.xlsx"))


@POSIX_ONLY
@pytest.mark.parametrize("dropped_first", [True, False])
def test_mac_launcher(tmp_path: Path, book: Path, opened: Path, dropped_first: bool) -> None:
    """A path dragged into the window of a terminal comes with a backslash before each space."""
    launcher = write_launcher(tmp_path, sys.executable, "darwin")
    assert launcher.suffix == ".command"
    typed = "\n" if dropped_first else str(book).replace(" ", "\\ ") + " \n\n"
    command = [str(launcher), str(book)] if dropped_first else [str(launcher)]
    done = subprocess.run(command, input=typed, capture_output=True, text=True, check=False, timeout=120)
    assert "1 of 3 recipes holds too much lye: DO NOT MAKE IT. 2 fine." in done.stdout, done.stderr
    assert opened.exists()


def test_windows_launcher() -> None:
    lines = script(r"C:\Users\100% maker\python.exe", "win32").split("\r\n")
    assert lines[0] == "@echo off"
    assert r'"C:\Users\100%% maker\python.exe" -m sheetcheck.plugins.launcher %*' in lines
    assert lines[-2] == "pause"


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    first = write_launcher(tmp_path)
    before = first.read_bytes()
    with pytest.raises(CopyNotWritableError, match="left as it is"):
        write_launcher(tmp_path)
    assert first.read_bytes() == before


@POSIX_ONLY
def test_two_books_of_which_one_is_none(
    book: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr("typer.launch", opened.append)
    assert main([str(book), str(book.with_name("gone.xlsx"))]) == 2
    assert "gone.xlsx: there is no such file" in capsys.readouterr().out.replace("\n", " ")
    assert opened == [str(book.with_name("old recipes.checked.xlsx"))]
    assert main([]) == 2


def test_command(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "sheetcheck", "start", "launcher", str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    assert len(list(tmp_path.glob("Audit a recipe book.*"))) == 1
