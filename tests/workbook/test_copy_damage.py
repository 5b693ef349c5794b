"""Damaged packages and killed processes: a good copy or a clear refusal, never a broken copy or a changed book."""

from __future__ import annotations

import io
import random
import signal
import subprocess
import sys
import tempfile
import time
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from sheetcheck.errors import SheetcheckError
from sheetcheck.workbook.copy import is_checked_copy, remove_marks, write_copy
from tests.packages import Parts
from tests.workbook import hard_books
from tests.workbook.test_copy import marks

FEW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def book_bytes() -> bytes:
    data = io.BytesIO()
    hard_books.write_plain(data, hard_books.FURNISHED["notes"])
    return data.getvalue()


BOOK = book_bytes()
PARTS = zipfile.ZipFile(io.BytesIO(BOOK)).namelist()


def copy_bytes() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        book, copy = Path(folder) / "book.xlsx", Path(folder) / "copy.xlsx"
        book.write_bytes(BOOK)
        write_copy(book, copy, marks())
        return copy.read_bytes()


COPY = copy_bytes()
COPIED_PARTS = [
    name for name in zipfile.ZipFile(io.BytesIO(COPY)).namelist() if name.endswith((".xml", ".bin", ".vml"))
]


def good_copy_or_refusal(data: bytes, folder: Path) -> None:
    book, copy = folder / "book.xlsx", folder / "copy.xlsx"
    copy.unlink(missing_ok=True)
    book.write_bytes(data)
    try:
        write_copy(book, copy, marks())
    except SheetcheckError:
        assert [p.name for p in folder.iterdir()] == ["book.xlsx"]
    else:
        assert zipfile.ZipFile(copy).testzip() is None
        for name, part in Parts(copy).sheets().items():
            assert Parts(copy).tree(part) is not None, name
        remove_marks(copy, folder / "again.xlsx")
        (folder / "again.xlsx").unlink()
    assert book.read_bytes() == data


@FEW
@given(place=st.integers(0, len(BOOK) - 1), byte=st.integers(0, 255))
@example(place=BOOK.rindex(PARTS[-1].encode()), byte=0)
def test_a_byte_changed_in_the_file(place: int, byte: int, tmp_path: Path) -> None:
    good_copy_or_refusal(BOOK[:place] + bytes([byte]) + BOOK[place + 1 :], tmp_path)


@FEW
@given(length=st.integers(0, len(BOOK)))
def test_a_file_cut_short(length: int, tmp_path: Path) -> None:
    good_copy_or_refusal(BOOK[:length], tmp_path)


@pytest.mark.parametrize("missing", PARTS)
def test_a_part_missing(missing: str, tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(BOOK)) as old, zipfile.ZipFile(out, "w") as new:
        for info in old.infolist():
            if info.filename != missing:
                new.writestr(info.filename, old.read(info))
    good_copy_or_refusal(out.getvalue(), tmp_path)


@FEW
@given(part=st.sampled_from(PARTS), start=st.floats(0, 1), length=st.integers(0, 60), put=st.binary(max_size=12))
@example(part="xl/worksheets/sheet1.xml", start=0.0, length=0, put=b"<!DOCTYPE a [<!ENTITY b 'c'>]>")
@example(part="xl/styles.xml", start=0.0, length=10_000, put=b"")
@example(part="xl/comments1.xml", start=0.0, length=10_000, put=b"<comments/>")
def test_a_part_damaged_inside(part: str, start: float, length: int, put: bytes, tmp_path: Path) -> None:
    def damage(data: bytes) -> bytes:
        place = int(start * len(data))
        return data[:place] + put + data[place + length :]

    good_copy_or_refusal(hard_books.changed(BOOK, {part: damage}), tmp_path)


@FEW
@given(
    old=st.sampled_from([b'r="', b's="', b'min="', b'ref="', b'Id="', b"<c ", b"</row>", b"Target="]),
    new=st.binary(max_size=4),
)
def test_odd_xml(old: bytes, new: bytes, tmp_path: Path) -> None:
    good_copy_or_refusal(
        hard_books.changed(BOOK, {"*.xml": lambda part: part.replace(old, old[:-1] + new, 2)}), tmp_path
    )


@FEW
@given(part=st.sampled_from(COPIED_PARTS), start=st.floats(0, 1), length=st.integers(0, 60), put=st.binary(max_size=12))
@example(part="sheetcheck/original.dat", start=0.375, length=11, put=bytes(11))
def test_a_damaged_copy_is_unmarked_or_refused(
    part: str, start: float, length: int, put: bytes, tmp_path: Path
) -> None:
    def damage(data: bytes) -> bytes:
        place = int(start * len(data))
        return data[:place] + put + data[place + length :]

    copy, again = tmp_path / "copy.xlsx", tmp_path / "again.xlsx"
    again.unlink(missing_ok=True)
    copy.write_bytes(hard_books.changed(COPY, {part: damage}))
    assert is_checked_copy(copy) in (True, False)
    try:
        remove_marks(copy, again, overwrite=True)
    except SheetcheckError:
        assert not again.exists()
    else:
        assert list(Parts(again).sheets()) == ["Recipes"]


WRITER = """
import sys
from pathlib import Path
from tests.workbook.test_copy import marks
from sheetcheck.workbook.copy import write_copy
sys.stdout.write("ready\\n"); sys.stdout.flush()
while True:
    write_copy(Path(sys.argv[1]), Path(sys.argv[2]), marks())
"""


def test_a_killed_process_leaves_the_old_copy_or_a_whole_one(root: Path, tmp_path: Path) -> None:
    book, copy = hard_books.build("furniture", tmp_path / "book.xlsx"), tmp_path / "copy.xlsx"
    before = book.read_bytes()
    chance = random.Random(6)  # noqa: S311 - moments to kill at, no secret
    for _ in range(6):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(book), str(copy)], cwd=root, stdout=subprocess.PIPE
        ) as process:
            assert process.stdout is not None
            process.stdout.readline()
            time.sleep(chance.uniform(0, 0.15))
            process.send_signal(signal.SIGKILL)
        assert book.read_bytes() == before
        if copy.exists():
            assert zipfile.ZipFile(copy).testzip() is None
            remove_marks(copy, tmp_path / "again.xlsx", overwrite=True)
