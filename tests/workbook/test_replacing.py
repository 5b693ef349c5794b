"""A file that takes another's place: whole or not at all, and nothing left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sheetcheck.errors import CopyNotWritableError
from sheetcheck.workbook import replacing as module
from sheetcheck.workbook.replacing import replacing, store

HANGING = """
import sys, time
from pathlib import Path
from sheetcheck.workbook.replacing import replacing, store
with replacing(Path(sys.argv[1])) as (file, _):
    file.write(b"half"); store(file)
    print("ready", flush=True); time.sleep(60)
"""
NAMES = {"nameless": True, "hidden name": False}


@pytest.fixture(params=NAMES, autouse=True)
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways of writing, whatever this system would choose."""
    if request.param == "hidden name":
        monkeypatch.setattr(module, "_open_nameless", lambda _: None)
    elif not hasattr(os, "O_TMPFILE"):
        pytest.skip("every file has a name here")
    return str(request.param)


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_the_file_is_there_at_the_end_and_can_be_read_before(tmp_path: Path) -> None:
    target = tmp_path / "copy.xlsx"
    for text in (b"first", b"second"):
        with replacing(target) as (file, path):
            file.write(text)
            store(file)
            assert path.read_bytes() == text
        assert target.read_bytes() == text
        assert names(tmp_path) == {"copy.xlsx"}


def test_while_it_is_written_only_a_hidden_name_shows_or_none(tmp_path: Path, way: str) -> None:
    with replacing(tmp_path / "copy.xlsx") as (file, _):
        store(file)
        assert [name[0] for name in names(tmp_path)] == ([] if way == "nameless" else ["."])


def test_an_error_leaves_what_stood_there(tmp_path: Path) -> None:
    target = tmp_path / "copy.xlsx"
    target.write_bytes(b"old")
    with pytest.raises(UnicodeEncodeError), replacing(target) as (file, _):
        file.write(b"new" + "ü".encode("ascii"))
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == {"copy.xlsx"}


def test_a_disk_that_cannot_name_a_file_later_gets_a_second_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cannot(*_: object, **__: object) -> None:
        raise OSError

    monkeypatch.setattr(os, "link", cannot)
    with replacing(tmp_path / "copy.xlsx") as (file, _):
        file.write(b"whole")
        store(file)
    assert (tmp_path / "copy.xlsx").read_bytes() == b"whole"
    assert names(tmp_path) == {"copy.xlsx"}


def test_a_missing_folder_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(CopyNotWritableError), replacing(tmp_path / "none" / "copy.xlsx"):
        pass


def test_what_a_killed_process_left_goes_at_the_next_run(tmp_path: Path) -> None:
    old, young, other = (tmp_path / f".{name}.part" for name in ("copy.xlsx.1a", "copy.xlsx.2b", "other.xlsx.3c"))
    for draft in (old, young, other):
        draft.touch()
    for draft in (old, other):
        long_ago = time.time() - 7200
        os.utime(draft, (long_ago, long_ago))
    with replacing(tmp_path / "copy.xlsx") as (file, _):
        store(file)
    assert names(tmp_path) == {"copy.xlsx", young.name, other.name}


def test_a_killed_process_leaves_nothing(tmp_path: Path, root: Path) -> None:
    with replacing(tmp_path / "copy.xlsx"):
        if names(tmp_path):
            pytest.skip("the file has a name while it is written")
    (tmp_path / "copy.xlsx").unlink()
    command = [sys.executable, "-c", HANGING, str(tmp_path / "copy.xlsx")]
    with subprocess.Popen(command, cwd=root, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        process.stdout.readline()
        process.send_signal(signal.SIGKILL)
    assert names(tmp_path) == set()
