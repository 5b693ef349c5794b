"""What LibreOffice computes from the formulas of a copy is what the audit computed, for every recipe."""

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

import sheetcheck
from sheetcheck.report.marks import plan
from sheetcheck.report.words import CHANGED, UNKNOWN
from sheetcheck.workbook import write_copy
from tests.report.kitchen import write_kitchen
from tests.report.office import recalculated

DAY = dt.date(2026, 1, 2)
BOOKS = ["farm_book", "clean_book"]


@pytest.fixture(scope="module", params=[*BOOKS, "kitchen"])
def copy(request: pytest.FixtureRequest, root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("copy")
    if request.param == "kitchen":
        book = write_kitchen(folder / "kitchen.xlsx")
    else:
        book = folder / f"{request.param}.xlsx"
        shutil.copy(root / "examples" / request.param / book.name, book)
    target = folder / "copy.xlsx"
    write_copy(book, target, plan(sheetcheck.audit(book), DAY))
    return target


def formulas(book: Path) -> Iterator[tuple[str, str, str]]:
    for sheet in openpyxl.load_workbook(book):
        for row in sheet.iter_rows():
            yield from ((sheet.title, c.coordinate, str(c.value)) for c in row if c.data_type == "f")


def test_every_formula_gives_what_is_stored(copy: Path, soffice: str, tmp_path: Path) -> None:
    stored = openpyxl.load_workbook(copy, data_only=True)
    computed = openpyxl.load_workbook(recalculated(soffice, copy, tmp_path), data_only=True)
    checked = 0
    for sheet, cell, text in formulas(copy):
        ours, theirs = stored[sheet][cell].value, computed[sheet][cell].value
        if isinstance(ours, int | float):
            assert theirs == pytest.approx(ours, rel=1e-9), f"{sheet}!{cell} {text}"
        else:
            assert (theirs or "") == (ours or ""), f"{sheet}!{cell} {text}"
        checked += 1
    assert checked > 100


def test_every_result_that_is_a_number_is_a_formula(copy: Path) -> None:
    seen = 0
    for sheet in openpyxl.load_workbook(copy):
        for heading in (c for row in sheet.iter_rows() for c in row if str(c.value).startswith("Lye recomputed")):
            rows = range(heading.row + 1, sheet.max_row + 1)
            results = [sheet.cell(row, heading.column + i) for row in rows for i in range(5)]
            assert [c.coordinate for c in results if isinstance(c.value, int | float)] == []
            seen += sum(c.data_type == "f" for c in results)
    assert seen >= 40


def test_no_formula_is_longer_than_a_cell_takes(copy: Path) -> None:
    for _, cell, text in formulas(copy):
        assert len(text) <= 8192, cell
        assert all(len(part) <= 255 for part in text.split('"')[1::2]), cell


# --------------------------------------------------------------------------- when something changes


@pytest.fixture(scope="module")
def farm(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("farm") / "farm.xlsx"
    book = root / "examples/farm_book/farm_book.xlsx"
    write_copy(book, target, plan(sheetcheck.audit(book), DAY))
    return target


def column_of(book: Path, sheet: str, heading: str) -> int:
    found = openpyxl.load_workbook(book)[sheet]
    return next(c.column for row in found.iter_rows() for c in row if str(c.value).startswith(heading))


def after(book: Path, change: dict[str, object], soffice: str, folder: Path) -> openpyxl.Workbook:
    """Return a copy in which cells were changed, computed anew."""
    edited = openpyxl.load_workbook(book)
    for place, value in change.items():
        sheet, cell = place.split("!")
        edited[sheet][cell] = value
    edited.save(folder / "edited.xlsx")
    return openpyxl.load_workbook(recalculated(soffice, folder / "edited.xlsx", folder), data_only=True)


CHANGES = {
    "an amount": {"Ounces!L4": 5.0},
    "an amount in a cell that was blank": {"Ounces!E4": 4},
    "a heading": {"Ounces!B3": "Tallow (oz)"},
    "a value": {"Check values!G8": 150},
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_change_takes_the_verdict_back(change: dict[str, object], farm: Path, soffice: str, tmp_path: Path) -> None:
    verdict = column_of(farm, "Ounces", "Verdict")
    before = openpyxl.load_workbook(farm, data_only=True)["Ounces"]
    assert before.cell(4, verdict).value == "fine"
    computed = after(farm, change, soffice, tmp_path)["Ounces"]
    assert computed.cell(4, verdict).value == CHANGED
    assert "run it again" in str(computed.cell(4, verdict + 1).value)


def test_other_recipes_keep_their_verdicts(farm: Path, soffice: str, tmp_path: Path) -> None:
    verdict = column_of(farm, "Ounces", "Verdict")
    computed = after(farm, {"Ounces!L4": 5.0}, soffice, tmp_path)["Ounces"]
    assert computed.cell(5, verdict).value == "fine"
    assert computed.cell(8, verdict).value == "DANGER"


def test_a_corrected_lye_shows_its_superfat_at_once(farm: Path, soffice: str, tmp_path: Path) -> None:
    superfat = column_of(farm, "Ounces", "Lye recomputed") + 2
    computed = after(farm, {"Ounces!L8": 4.56}, soffice, tmp_path)["Ounces"]
    # 16 oz olive, 8 oz coconut, 8 oz palm at 192.5, 256.7, 199.2 mg KOH/g; 0.71289 g NaOH per g KOH
    needed = (16 * 192.5 + 8 * 256.7 + 8 * 199.2) / 1000 * 0.71289
    assert computed.cell(8, superfat).value == pytest.approx(100 * (1 - 4.56 / needed), abs=0.1)


def test_a_text_that_changes_is_not_known(farm: Path, soffice: str, tmp_path: Path) -> None:
    verdict = column_of(farm, "Ounces", "Verdict")
    computed = after(farm, {"Ounces!B10": "3 lb"}, soffice, tmp_path)["Ounces"]
    assert computed.cell(10, verdict).value == CHANGED
    assert computed.cell(10, verdict - 3).value == UNKNOWN
