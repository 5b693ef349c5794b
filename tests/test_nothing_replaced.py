"""No command replaces a file that it did not make itself without --overwrite, and none ever the original."""

from pathlib import Path

import openpyxl
import pytest

from sheetcheck.many import SUMMARY
from tests.books import write_book
from tests.test_cli import sheetcheck

SHEETS = {"Recipes": [["Recipe", "Lard (g)", "Water (g)", "Lye (g)"], ["Plain", 900, 270, 118]]}
HERS = b"years of work"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "book.xlsx", SHEETS)


@pytest.fixture
def copy(book: Path) -> Path:
    assert sheetcheck("audit", book).returncode == 0
    return book.with_name("book.checked.xlsx")


def test_report_over_a_file_of_hers(book: Path, tmp_path: Path) -> None:
    hers = tmp_path / "notes.json"
    hers.write_bytes(HERS)
    done = sheetcheck("audit", book, "--report", hers)
    assert (done.returncode, hers.read_bytes()) == (2, HERS)
    assert "notes.json: is left as it is" in done.stderr
    assert "--overwrite" in done.stderr
    assert not book.with_name("book.checked.xlsx").exists()  # status 2 writes nothing
    assert sheetcheck("audit", book, "--report", hers, "--overwrite").returncode == 0
    assert hers.read_bytes() != HERS


def test_an_earlier_report_is_replaced(book: Path, tmp_path: Path) -> None:
    place = tmp_path / "report.json"
    assert [sheetcheck("audit", book, "--report", place).returncode for _ in range(2)] == [0, 0]


def test_unmark_over_a_file_of_hers(copy: Path, tmp_path: Path) -> None:
    hers = tmp_path / "edited_since.xlsx"
    hers.write_bytes(HERS)
    done = sheetcheck("unmark", copy, hers)
    assert (done.returncode, hers.read_bytes()) == (2, HERS)
    assert "is left as it is" in done.stderr
    assert sheetcheck("unmark", copy, hers, "--overwrite").returncode == 0
    assert openpyxl.load_workbook(hers).sheetnames == ["Recipes"]


@pytest.mark.parametrize(
    "command",
    [
        ("unmark", "{copy}", "{book}", "--overwrite"),
        ("audit", "{copy}", "--out", "{book}", "--overwrite"),
        ("audit", "{book}", "--out", "{book}", "--overwrite"),
        ("audit", "{book}", "--report", "{book}", "--overwrite"),
        ("rescale", "{book}", "--to", "x2", "--out", "{book}", "--overwrite"),
        ("rescale", "{copy}", "--to", "x2", "--out", "{book}", "--overwrite"),
        ("rescale", "{copy}", "--to", "x2", "--moulds", "{book}", "--out", "{book}", "--overwrite"),
        ("read", "{book}", "--write-settings", "{book}"),
        ("start", "rows", "{book}"),
        ("start", "launcher", "{book}"),
    ],
    ids=" ".join,
)
def test_never_the_original(book: Path, copy: Path, command: tuple[str, ...]) -> None:
    before = book.read_bytes()
    done = sheetcheck(*(part.format(book=book, copy=copy) for part in command))
    assert book.read_bytes() == before
    if command[:2] != ("start", "launcher"):  # it puts its own ending to the name
        assert done.returncode == 2, done.stdout


def test_a_rescaled_book_with_weights_in_it(book: Path, tmp_path: Path) -> None:
    hers = tmp_path / "weighed.xlsx"
    hers.write_bytes(HERS)
    assert sheetcheck("rescale", book, "--to", "x2", "--out", hers).returncode == 2
    assert hers.read_bytes() == HERS


def test_the_summary_of_a_folder(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "copies"
    assert sheetcheck("audit", book.parent, "--out", out).returncode == 0
    assert sheetcheck("audit", book.parent, "--out", out).returncode == 0  # ours, and as it was made
    edited = openpyxl.load_workbook(out / SUMMARY)
    edited.active["J1"] = "asked at the market"
    edited.save(out / SUMMARY)
    before = (out / SUMMARY).read_bytes()
    done = sheetcheck("audit", book.parent, "--out", out)
    assert (done.returncode, (out / SUMMARY).read_bytes()) == (2, before)
    assert sheetcheck("audit", book.parent, "--out", out, "--overwrite").returncode == 0
