"""Marks taken off a copy that somebody worked in: her edits stay, ours go."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.workbook import Workbook

from sheetcheck.errors import NoMarksError
from sheetcheck.model import CellMark
from sheetcheck.workbook.copy import is_checked_copy, our_sheets, remove_marks, was_edited_since, write_copy
from tests.workbook import hard_books
from tests.workbook.test_copy import copy_of, marks

Edit = Callable[[Workbook], None]


def edited_and_unmarked(name: str, folder: Path, edit: Edit) -> Workbook:
    """Mark a book, edit the copy in a program that rewrites the package, and take the marks off."""
    _, copy, _ = copy_of(name, folder)
    book = openpyxl.load_workbook(copy)
    edit(book)
    book.save(copy)
    assert is_checked_copy(copy)
    assert was_edited_since(copy)
    remove_marks(copy, folder / "again.xlsx")
    return openpyxl.load_workbook(folder / "again.xlsx")


def looks(book: Workbook) -> dict[tuple[str, str], tuple[object, ...]]:
    """Value, fill, number format, weight and note of each cell that has more than its row's fill."""
    found = {}
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                fill = cell.fill.fgColor.rgb[-6:] if cell.fill.patternType == "solid" else None
                note = cell.comment.text if cell.comment else None
                of_row = fill is not None and sheet.row_dimensions[cell.row].fill.fgColor.rgb[-6:] == fill
                if cell.value is not None or note or (fill and not of_row):
                    found[sheet.title, cell.coordinate] = (cell.value, fill, cell.number_format, cell.font.b, note)
    return found


@pytest.mark.parametrize(
    "name", ["plain", "notes", "furniture", "names that are taken", "hidden to the end", "row with a format"]
)
def test_a_copy_that_was_only_saved_gives_the_book(name: str, tmp_path: Path) -> None:
    again = edited_and_unmarked(name, tmp_path, lambda _: None)
    book = openpyxl.load_workbook(tmp_path / "book.xlsx")
    assert again.sheetnames == book.sheetnames
    assert looks(again) == looks(book)
    assert again["Recipes"].column_dimensions["G"].width == book["Recipes"].column_dimensions["G"].width
    assert again.defined_names.keys() == book.defined_names.keys()


def test_her_edits_stay(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        sheet = book["Recipes"]
        sheet["C4"] = 8.02
        sheet["A5"] = "New"
        sheet["B2"].fill = PatternFill("solid", fgColor="FF00FF00")
        sheet["A2"].comment = Comment("hers", "Maker")
        book.create_sheet("Her sheet")["A1"] = "mine"

    again = edited_and_unmarked("plain", tmp_path, edit)
    sheet = again["Recipes"]
    assert again.sheetnames == ["Recipes", "Her sheet"]
    assert (sheet["C4"].value, sheet["C4"].fill.patternType, sheet["C4"].comment) == (8.02, None, None)
    assert sheet["A5"].value == "New"
    assert sheet["B2"].fill.fgColor.rgb == "FF00FF00"
    assert sheet["A2"].comment.text == "hers"
    assert sheet["G2"].value is None


def test_a_note_she_wrote_into_is_hers(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book["Recipes"]["C4"].comment.text += "\nasked Ann: it is 8.02"

    sheet = edited_and_unmarked("plain", tmp_path, edit)["Recipes"]
    assert sheet["C4"].comment.text.endswith("asked Ann: it is 8.02")
    assert sheet["B6"].comment is None


def test_fills_go_from_cells_that_moved(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        sheet = book["Recipes"]
        sheet.move_range("A4:E4", rows=10)

    sheet = edited_and_unmarked("plain", tmp_path, edit)["Recipes"]
    assert sheet["C14"].value == 80.2
    assert sheet["C14"].fill.patternType is None
    assert sheet["C14"].number_format == '0.0" oz"'


def test_her_formulas_to_our_sheets_say_that_these_are_gone(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book["Recipes"]["A9"] = "=Findings!B3&Recipes!A2"

    assert edited_and_unmarked("plain", tmp_path, edit)["Recipes"]["A9"].value == "=#REF!&Recipes!A2"


def test_a_workbook_without_a_record_cannot_be_unmarked(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    with pytest.raises(NoMarksError):
        remove_marks(book, tmp_path / "again.xlsx")
    assert not (tmp_path / "again.xlsx").exists()


@pytest.mark.parametrize("name", ["notes", "furniture", "row with a format"])
def test_the_record_survives_a_save_by_libreoffice(name: str, soffice: str, tmp_path: Path) -> None:
    book, copy, _ = copy_of(name, tmp_path)
    saved = tmp_path / "saved"
    command = [
        soffice,
        f"-env:UserInstallation=file://{tmp_path}/profile",
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(saved),
    ]
    for path in (book, copy):
        subprocess.run([*command, str(path)], check=True, capture_output=True, timeout=120)
    assert set(our_sheets(saved / "copy.xlsx")) == {"Findings", "sheetcheck record"}
    remove_marks(saved / "copy.xlsx", tmp_path / "again.xlsx")
    again, expected = openpyxl.load_workbook(tmp_path / "again.xlsx"), openpyxl.load_workbook(saved / "book.xlsx")
    assert again.sheetnames == expected.sheetnames
    assert looks(again) == looks(expected)


def test_a_fill_of_the_theme_comes_back_where_the_theme_did_not(soffice: str, tmp_path: Path) -> None:
    book, copy = hard_books.build("fill of the theme", tmp_path / "book.xlsx"), tmp_path / "copy.xlsx"
    write_copy(book, copy, [CellMark("Recipes", "B1", "DANGER")])
    saved = tmp_path / "saved"
    command = [
        soffice,
        f"-env:UserInstallation=file://{tmp_path}/profile",
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(saved),
    ]
    subprocess.run([*command, str(copy)], check=True, capture_output=True, timeout=120)
    remove_marks(saved / "copy.xlsx", tmp_path / "again.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "again.xlsx")["Recipes"]
    unmarked, neighbour = (bytes.fromhex(sheet[cell].fill.fgColor.rgb[-6:]) for cell in ("B1", "C1"))
    assert all(abs(a - b) <= 2 for a, b in zip(unmarked, neighbour, strict=True))


def test_a_copy_saved_by_another_program_can_be_marked_again(tmp_path: Path) -> None:
    _, copy, _ = copy_of("notes", tmp_path)
    book = openpyxl.load_workbook(copy)
    book.save(copy)
    write_copy(copy, tmp_path / "second.xlsx", marks())
    second = openpyxl.load_workbook(tmp_path / "second.xlsx")
    assert second.sheetnames == ["Recipes", "Findings", "sheetcheck record"]
    assert [second["Recipes"].cell(1, column).value for column in range(6, 12)] == [
        None,
        "Verdict",
        "Superfat %",
        "Lye needed",
        "Says",
        None,
    ]
