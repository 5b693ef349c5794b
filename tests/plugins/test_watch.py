"""A folder watched for real: files are saved as programs save them."""

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sheetcheck.plugins import watch
from sheetcheck.plugins.watch import Watcher
from sheetcheck.settings import Settings
from sheetcheck.workbook.copy import is_checked_copy
from tests.plugins.recipe_book import make_book


def until(done: Callable[[], object], seconds: float = 60) -> None:
    give_up = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < give_up, "nothing was audited"
        time.sleep(0.1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    kitchen = tmp_path / "kitchen"
    kitchen.mkdir()
    return kitchen


@pytest.fixture
def said(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """What a watcher of the folder says."""
    monkeypatch.setattr(watch, "QUIET_MS", 400)
    lines: list[str] = []
    stop = threading.Event()
    watcher = Watcher(folder, Settings(), lines.append)
    thread = threading.Thread(target=watcher.run, args=(stop,))
    thread.start()
    probe = folder / "probe.csv"
    until(lambda: probe.write_text(f"not a recipe {time.time()}\n", encoding="utf-8") and (time.sleep(1) or lines))
    time.sleep(1)
    probe.unlink()
    lines.clear()
    yield lines
    stop.set()
    thread.join(20)
    assert not thread.is_alive()


def test_a_saved_workbook_is_audited_once(folder: Path, said: list[str]) -> None:
    book = make_book(folder / "recipes.xlsx")
    time.sleep(0.1)
    book.write_bytes(book.read_bytes())  # saved twice within a second
    until(lambda: said)
    time.sleep(2)  # its own copy is not taken for another workbook
    assert len(said) == 1
    verdict = "Of 3 recipes: 2 fine, 1 to look at; 1 in DANGER: do not make as written."
    assert said[0].endswith(f"recipes.xlsx: {verdict} recipes.checked.xlsx")
    assert sorted(p.name for p in folder.iterdir()) == ["recipes.checked.xlsx", "recipes.xlsx"]
    assert is_checked_copy(folder / "recipes.checked.xlsx")


def test_saving_by_renaming_as_excel_does(folder: Path, said: list[str]) -> None:
    lock = folder / "~$recipes.xlsx"
    lock.write_bytes(b"maker")
    (folder / ".~lock.recipes.xlsx#").write_text("maker", encoding="utf-8")
    make_book(folder / "4A7F2C00.tmp").replace(folder / "recipes.xlsx")
    until(lambda: said)
    time.sleep(1)
    assert len(said) == 1
    assert "recipes.xlsx: Of 3 recipes" in said[0]


def test_what_cannot_be_audited_is_said_and_the_watch_goes_on(folder: Path, said: list[str]) -> None:
    (folder / "broken.xlsx").write_bytes(b"PK\x03\x04 and no more")
    until(lambda: said)
    assert "broken.xlsx" in said[0]
    assert "is damaged" in said[0]
    make_book(folder / "recipes.xlsx")
    until(lambda: len(said) == 2)


def test_a_book_that_is_still_being_written_is_waited_for(folder: Path, said: list[str]) -> None:
    whole = make_book(folder.parent / "whole.xlsx").read_bytes()
    with (folder / "slow.xlsx").open("wb") as file:
        for start in range(0, len(whole), len(whole) // 12 + 1):
            file.write(whole[start : start + len(whole) // 12 + 1])
            file.flush()
            time.sleep(0.25)
    until(lambda: said)
    time.sleep(2)
    assert [line.split(": ", 1)[1][:12] for line in said] == ["Of 3 recipes"]


def test_saved_yields_own_workbooks_with_something_new(folder: Path) -> None:
    watcher = Watcher(folder, Settings(), print)
    book = make_book(folder / "recipes.xlsx")
    watcher.audit(book)
    everything = [str(p) for p in folder.iterdir()]
    assert [p.name for p in watcher.saved([*everything, str(folder / "gone.xlsx")])] == ["recipes.xlsx"]
    assert list(watcher.saved(everything)) == []
    book.write_bytes(book.read_bytes() + b" ")
    assert list(watcher.saved(everything)) == [book]


# A test run that was started in the background hands down that it takes no interrupts.
_INTERRUPTIBLE = (
    "import runpy, signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
    "runpy.run_module('sheetcheck', run_name='__main__', alter_sys=True)"
)


def test_command(folder: Path) -> None:
    command = [sys.executable, "-u", "-c", _INTERRUPTIBLE, "watch", str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines: list[str] = []
        reader = threading.Thread(target=lines.extend, args=(iter(process.stdout.readline, ""),))
        reader.start()
        try:
            until(lambda: lines, 60)
            assert lines[0].startswith("Watching ")
            give_up = time.monotonic() + 60
            while len(lines) < 2:  # the system may take a while to watch: until then the book is saved again
                assert time.monotonic() < give_up, "nothing was audited"
                make_book(folder / "recipes.xlsx")
                time.sleep(2)
            assert "recipes.xlsx: Of 3 recipes" in lines[1]
        finally:
            process.send_signal(signal.SIGINT)
            reader.join(20)
            if reader.is_alive():
                process.kill()
        assert process.wait(20) in (0, 130)


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "sheetcheck", "watch", str(tmp_path / "no")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 2
    assert "it is not a folder" in done.stderr
