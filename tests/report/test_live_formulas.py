"""What LibreOffice computes from the formulas of a copy is what the audit computed, for every recipe."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

import sheetcheck
from sheetcheck.model import Audit
from sheetcheck.report.marks import plan
from sheetcheck.report.places import RESULTS, VALUES
from sheetcheck.report.words import CHANGED, UNKNOWN
from sheetcheck.workbook import write_copy
from tests.books import write_book
from tests.conftest import ROOT
from tests.report.kitchen import write_kitchen
from tests.report.office import recalculated

DAY = dt.date(2026, 1, 2)
EXAMPLES = sorted(path.relative_to(ROOT) for path in ROOT.glob("examples/*/*.xlsx"))
NUMBERS = ("superfat_typical", "lye_concentration", "liquid_recomputed_g")  # and the lye, of one alkali or two


@pytest.fixture(scope="module", params=[*EXAMPLES, "kitchen"], ids=str)
def audited(request: pytest.FixtureRequest, root: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Audit]:
    folder = tmp_path_factory.mktemp("copy")
    book = write_kitchen(folder / "kitchen.xlsx") if request.param == "kitchen" else root / request.param
    audit = sheetcheck.audit(book)
    write_copy(book, folder / "copy.xlsx", plan(audit, DAY))
    return folder / "copy.xlsx", audit


@pytest.fixture(scope="module")
def copy(audited: tuple[Path, Audit]) -> Path:
    return audited[0]


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
    assert checked > 50


def test_every_result_that_is_a_number_is_a_formula(audited: tuple[Path, Audit]) -> None:
    copy, audit = audited
    seen = 0
    for sheet in openpyxl.load_workbook(copy):
        for heading in (c for row in sheet.iter_rows() for c in row if str(c.value).startswith("Lye for that")):
            rows = range(heading.row + 1, sheet.max_row + 1)
            results = [sheet.cell(row, heading.column + i) for row in rows for i in (-3, -2, 0, 1, 2)]
            assert [c.coordinate for c in results if c.value is not None and c.data_type != "f"] == []
            seen += sum(c.data_type == "f" for c in results)
    lye = audit.recipes["naoh_recomputed_g"].notna() & audit.recipes["koh_recomputed_g"].notna()
    ranges = audit.recipes["superfat_low"].notna()
    assert seen == sum(int(audit.recipes[number].notna().sum()) for number in NUMBERS) + lye.sum() + ranges.sum()


def test_no_formula_is_longer_than_a_cell_takes(copy: Path) -> None:
    for _, cell, text in formulas(copy):
        assert len(text) <= 8192, cell
        assert all(len(part) <= 255 for part in text.split('"')[1::2]), cell


# --------------------------------------------------------------------------- when something changes


@pytest.fixture(scope="module")
def farm(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("farm") / "farm.xlsx"
    book = root / "examples/shore_book/shore_book.xlsx"
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
    "an amount as text in a cell that was blank": {"Ounces!E4": "4 oz"},
    "an amount in words in a cell that was blank": {"Ounces!E4": "a good splash"},
    "the stated superfat": {"Ounces!O4": 0},
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
    assert "check the book again" in str(computed.cell(4, verdict + 1).value)


def test_other_recipes_keep_their_verdicts(farm: Path, soffice: str, tmp_path: Path) -> None:
    verdict = column_of(farm, "Ounces", "Verdict")
    computed = after(farm, {"Ounces!L4": 5.0}, soffice, tmp_path)["Ounces"]
    assert computed.cell(5, verdict).value == "fine"
    assert computed.cell(8, verdict).value == "◆ DANGER"


def test_a_corrected_lye_shows_its_superfat_at_once(farm: Path, soffice: str, tmp_path: Path) -> None:
    superfat = column_of(farm, "Ounces", "Superfat, %")
    computed = after(farm, {"Ounces!L8": 4.56}, soffice, tmp_path)["Ounces"]
    # 16 oz olive, 8 oz coconut, 8 oz palm at 190, 256.5, 199.2 mg KOH/g, none above the middle of its published range;
    # 0.71289 g NaOH per g KOH
    needed = (16 * 190 + 8 * 256.5 + 8 * 199.2) / 1000 * 0.71289
    assert computed.cell(8, superfat).value == pytest.approx(100 * (1 - 4.56 / needed), abs=0.1)


def test_a_text_that_changes_is_not_known(farm: Path, soffice: str, tmp_path: Path) -> None:
    verdict = column_of(farm, "Ounces", "Verdict")
    computed = after(farm, {"Ounces!B10": "3 lb"}, soffice, tmp_path)["Ounces"]
    assert computed.cell(10, verdict).value == CHANGED
    assert computed.cell(10, verdict + 2).value == UNKNOWN


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("kitchen")
    book = write_kitchen(folder / "kitchen.xlsx")
    write_copy(book, folder / "copy.xlsx", plan(sheetcheck.audit(book), DAY))
    return folder / "copy.xlsx"


def result_of(workbook: openpyxl.Workbook, recipe: str, heading: str) -> object:
    """A result of a recipe on the sheet of results, by its heading."""
    sheet = workbook[RESULTS]
    column = next(c.column for c in sheet[1] if str(c.value).startswith(heading))
    return next(sheet.cell(c.row, column).value for c in sheet["A"] if c.value == recipe)


def test_two_alkalis_are_live_and_right(kitchen: Path, soffice: str, tmp_path: Path) -> None:
    """500 g tallow, 250 g coconut oil; 40 g NaOH and 100 g KOH of 90 % as the row divides them.

    By hand, with 195 and 256.5 mg KOH/g and molar masses of 39.997 and 56.105 g/mol (NaOH, KOH): the fats take up
    (500 x 195 + 250 x 256.5) / 1000 = 161.6 g KOH; what the row has does the work of 90 + 40 x 56.105 / 39.997 g.
    """
    superfat_aimed_at = usual_superfat(kitchen)
    needed = (500 * 195 + 250 * 256.5) / 1000 * (1 - superfat_aimed_at / 100)
    times = needed / (90 + 40 * 56.105 / 39.997)
    computed = openpyxl.load_workbook(recalculated(soffice, kitchen, tmp_path), data_only=True)
    said = str(result_of(computed, "Shaving", "Lye for that"))
    naoh, koh = (float(part.split(" g ")[0]) for part in said.split(", "))
    assert said == f"{naoh:.1f} g NaOH, {koh:.1f} g KOH"
    assert (naoh, koh) == (pytest.approx(40 * times, abs=0.1), pytest.approx(100 * times, abs=0.15))


def usual_superfat(copy: Path) -> float:
    sheet = openpyxl.load_workbook(copy, data_only=True)[VALUES]
    shown = {c.value: sheet.cell(c.row, 7).value for c in sheet["A"]}
    usual = shown["Usual superfat of this book, %"]
    return float(
        usual if isinstance(usual, int | float) else shown["Superfat where neither recipe nor book has one, %"]
    )


def test_two_alkalis_follow_an_amount_and_take_the_verdict_back(kitchen: Path, soffice: str, tmp_path: Path) -> None:
    sheet = openpyxl.load_workbook(kitchen)["List"]
    cell = next(c for row in sheet.iter_rows() for c in row if c.value == "40 g")
    before = openpyxl.load_workbook(kitchen, data_only=True)
    assert result_of(before, "Shaving", "Verdict") != CHANGED
    computed = after(kitchen, {f"List!{cell.coordinate}": "45 g"}, soffice, tmp_path)
    assert result_of(computed, "Shaving", "Verdict") == CHANGED
    assert result_of(computed, "Shaving", "Lye for that") == UNKNOWN  # a text is read by the next check
    assert result_of(computed, "Vinegar", "Verdict") == result_of(before, "Vinegar", "Verdict")


def test_a_column_in_pounds_and_ounces_is_shown_in_ounces(tmp_path: Path) -> None:
    rows = [["Soap", "Lard", "Coconut oil", "Lye", "Water"], ["One", "2 lb 4 oz", "1 lb 3 oz", "8.1 oz", "1 lb 2 oz"]]
    book = write_book(
        tmp_path / "pounds.xlsx", {"Soaps": [*rows, ["Two", "3 lb 2 oz", "1 lb 1 oz", "0 lb 9 oz", "1 lb 5 oz"]]}
    )
    audit = sheetcheck.audit(book)
    write_copy(book, tmp_path / "copy.xlsx", plan(audit, DAY))
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx", data_only=True)["Soaps"]
    lye = next(c for row in sheet.iter_rows() for c in row if str(c.value).startswith("Lye for that"))
    grams = float(audit.recipes["alkali_recomputed_g"].iloc[0])
    assert sheet.cell(2, lye.column).value == pytest.approx(grams / 28.349523125)
    assert "oz" in lye.value or "oz" in sheet.cell(2, lye.column).number_format
