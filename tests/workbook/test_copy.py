"""The annotated copy of every hard kind of workbook: nothing of the book lost, the marks there, and off again."""

from __future__ import annotations

import hashlib
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest

from sheetcheck.errors import CopyIsBookError, CopyNotWritableError
from sheetcheck.model import CellMark, Choice, CopyReport, Formula, Link, Mark, NewSheet, ResultColumns, Styled
from sheetcheck.workbook.copy import is_checked_copy, our_sheets, remove_marks, was_edited_since, write_copy
from sheetcheck.workbook.palette import SIGNAL_FILLS
from tests.packages import Parts, cells_of, differences
from tests.workbook import hard_books

MARKED = {(4, 3), (2, 2), (6, 2)}
HEADINGS = ("Verdict", "Superfat %", "Lye needed", "Says")
SHEET_OF_THEIR_OWN = {"hidden to the end", "no room", "whole row summed", "whole row summed elsewhere"}
UNSEEN_BY_OPENPYXL = {"strict namespaces", "empty style"}
FIRST_COLUMN = {"table": 11, "hidden columns at the right": 11, "sum over the place": 12, "furniture": 15}


def marks() -> list[Mark]:
    verdict = Styled(Link("Findings", "A3", "DANGER"), "DANGER")
    results = {
        2: ["fine", Styled(Formula("{{3}}*2", 22.0), "percent"), 11.0, "=1+1"],
        3: ["fine", 5.0, 5.5, "-x"],
        4: [verdict, Styled(-900.0, "percent"), True, None],
    }
    rows = [
        [Styled("Findings", "title")],
        ["cell", "what"],
        [Link("Recipes", "C4", "C4"), Styled("DANGER", "DANGER")],
        ["=2+2"],
    ]
    return [
        CellMark("Recipes", "C4", "DANGER", "80.2 oz of lye is more than this fat takes up.\nPerhaps 8.02 oz."),
        CellMark("Recipes", "B2", "NOTICE"),
        CellMark("Recipes", "B6", "CAUTION", "a blank cell"),
        ResultColumns("Recipes", 1, HEADINGS, results),
        NewSheet(
            "Findings",
            rows,
            widths=(10, 30),
            freeze="A3",
            filter="A2:B4",
            repeat_rows=(1, 2),
            choices=(Choice("C3:C9", ("yes", "no")),),
        ),
    ]


def copy_of(name: str, folder: Path) -> tuple[Path, Path, CopyReport]:
    book, copy = hard_books.build(name, folder / "book.xlsx"), folder / "copy.xlsx"
    before = hashlib.sha256(book.read_bytes()).digest()
    report = write_copy(book, copy, marks())
    assert hashlib.sha256(book.read_bytes()).digest() == before
    assert {p.name for p in folder.iterdir()} == {"book.xlsx", "copy.xlsx"}
    return book, copy, report


def first_column(name: str) -> int:
    return FIRST_COLUMN.get(name, 7)


@pytest.mark.parametrize("name", hard_books.NAMES)
def test_nothing_of_the_book_is_lost(name: str, tmp_path: Path) -> None:
    book, copy, _ = copy_of(name, tmp_path)
    start = first_column(name)
    added = set() if name in SHEET_OF_THEIR_OWN else {(row, start + i) for row in range(1, 5) for i in range(4)}
    marked = (MARKED - {(6, 2)}) | {(6, 1)} if name == "furniture" else MARKED
    assert differences(book, copy, {"Recipes": marked}, {"Recipes": added}) == []


@pytest.mark.parametrize("name", hard_books.NAMES)
def test_unmarking_a_copy_gives_the_parts_of_the_book_to_the_last_byte(name: str, tmp_path: Path) -> None:
    book, copy, _ = copy_of(name, tmp_path)
    assert is_checked_copy(copy)
    assert not was_edited_since(copy)
    assert not is_checked_copy(book)
    remove_marks(copy, tmp_path / "again.xlsx")
    before, after = Parts(book), Parts(tmp_path / "again.xlsx")
    assert list(before.infos) == list(after.infos)
    assert all(before.packed(part) == after.packed(part) for part in before.infos)


@pytest.mark.parametrize("name", hard_books.NAMES)
def test_the_marks_are_there(name: str, tmp_path: Path) -> None:
    _, copy, report = copy_of(name, tmp_path)
    assert report.marked == 3
    if name in UNSEEN_BY_OPENPYXL:
        return
    book = openpyxl.load_workbook(copy)
    sheet = book["Recipes"]
    fill = sheet["C4"].fill.fgColor.rgb
    assert all(abs(int(fill[2 + i : 4 + i], 16) - int(SIGNAL_FILLS["DANGER"][i : i + 2], 16)) < 8 for i in (0, 2, 4))
    assert sheet["C4"].number_format == '0.0" oz"'
    assert sheet["C4"].font.color.rgb == "FF123456"
    if name in SHEET_OF_THEIR_OWN:
        own = book["Results - Recipes"]
        assert [c.value for c in own[1]] == ["Row in Recipes", *HEADINGS]
        assert own["C2"].value == "=D2*2"
        assert len(report.warnings) == 1
    else:
        column = first_column(name)
        assert [sheet.cell(1, column + i).value for i in range(4)] == list(HEADINGS)
        assert sheet.cell(2, column + 1).value == f"={sheet.cell(2, column + 2).coordinate}*2"
        says = sheet.cell(2, column + 3)
        assert says.value == "=1+1"
        assert says.quotePrefix
        assert sheet.cell(4, column).hyperlink.location.endswith("!A3")
        assert all(sheet.cell(row, column - 1).value is None for row in range(1, 5))


def test_a_note_says_what_was_asked_and_hers_stay(tmp_path: Path) -> None:
    _, copy, report = copy_of("notes", tmp_path)
    sheet = openpyxl.load_workbook(copy)["Recipes"]
    assert sheet["C3"].comment.text == "her own note"
    assert sheet["C4"].comment.text.startswith("80.2 oz of lye")
    assert sheet["B6"].comment.author == "sheetcheck"
    assert report.skipped == ()


def test_a_cell_with_a_note_is_coloured_and_ours_left_out(tmp_path: Path) -> None:
    book = hard_books.build("notes", tmp_path / "book.xlsx")
    report = write_copy(book, tmp_path / "copy.xlsx", [CellMark("Recipes", "C3", "WARNING", "ours")])
    assert report.marked == 1
    assert [(sheet, cell) for sheet, cell, _ in report.skipped] == [("Recipes", "C3")]
    cell = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Recipes"]["C3"]
    assert cell.comment.text == "her own note"
    assert cell.fill.patternType == "solid"


def test_a_mark_inside_a_merged_range_goes_to_the_cell_that_shows(tmp_path: Path) -> None:
    book = hard_books.build("furniture", tmp_path / "book.xlsx")
    write_copy(book, tmp_path / "copy.xlsx", [CellMark("Recipes", "B7", "WARNING", "ours")])
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Recipes"]
    assert sheet["A6"].comment.text == "ours"
    assert sheet["A6"].fill.patternType == "solid"


def test_the_worst_signal_colours_and_all_notes_stand(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    both = [
        CellMark("Recipes", "C4", "NOTICE", "first"),
        CellMark("Recipes", "C4", "DANGER", "second"),
        CellMark("Recipes", "C4", "CAUTION"),
    ]
    report = write_copy(book, tmp_path / "copy.xlsx", both)
    cell = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Recipes"]["C4"]
    assert report.marked == 1
    assert cell.comment.text == "first\n\nsecond"
    assert cell.fill.fgColor.rgb[2:4] == SIGNAL_FILLS["DANGER"][:2]


@pytest.mark.parametrize(
    ("sheet", "cell"), [("Nowhere", "A1"), ("Recipes", "ZZZZ1"), ("Recipes", "A0"), ("Chart", "A1")]
)
def test_what_cannot_be_marked_is_reported(sheet: str, cell: str, tmp_path: Path) -> None:
    book = hard_books.build("furniture", tmp_path / "book.xlsx")
    report = write_copy(book, tmp_path / "copy.xlsx", [CellMark(sheet, cell, "DANGER", "x")])
    assert report.marked == 0
    assert [skipped[:2] for skipped in report.skipped] == [(sheet, cell)]


def test_names_of_sheets_are_unique_and_links_follow(tmp_path: Path) -> None:
    _, copy, _ = copy_of("names that are taken", tmp_path)
    book = openpyxl.load_workbook(copy)
    assert book.sheetnames == ["Recipes", "findings", "sheetcheck record", "Findings (2)", "sheetcheck record (2)"]
    assert book["Recipes"]["G4"].hyperlink.location == "'Findings (2)'!A3"
    assert set(our_sheets(copy)) == {"Findings (2)", "sheetcheck record (2)"}
    assert book["sheetcheck record (2)"].sheet_state == "veryHidden"


def test_a_new_sheet_keeps_its_furniture(tmp_path: Path) -> None:
    _, copy, _ = copy_of("furniture", tmp_path)
    sheet = openpyxl.load_workbook(copy)["Findings"]
    assert sheet.freeze_panes == "A3"
    assert sheet.auto_filter.ref == "A2:B4"
    assert sheet.print_title_rows == "$1:$2"
    assert [str(v.sqref) for v in sheet.data_validations.dataValidation] == ["C3:C9"]
    assert sheet["A4"].value == "=2+2"
    assert sheet["A4"].quotePrefix
    assert sheet["A3"].hyperlink.location == "Recipes!C4"


def test_text_is_never_a_formula(tmp_path: Path) -> None:
    _, copy, _ = copy_of("plain", tmp_path)
    parts = Parts(copy)
    for name, part in parts.sheets().items():
        formulas = [f.text for f in parts.tree(part).iter("{*}f")]
        assert not any("1+1" in (text or "") or "2+2" in (text or "") for text in formulas), name


def test_columns_of_several_tables_stand_one_below_the_other(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    blocks = [ResultColumns("Recipes", 1, ["a"], {2: ["x"]}), ResultColumns("Recipes", 8, ["b"], {9: ["y"]})]
    write_copy(book, tmp_path / "copy.xlsx", blocks)
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Recipes"]
    assert [sheet[c].value for c in ("G1", "G2", "G8", "G9")] == ["a", "x", "b", "y"]


def test_columns_of_tables_side_by_side_do_not_meet(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    blocks = [
        ResultColumns("Recipes", 1, ["a", "b"], {2: ["x", "x"]}),
        ResultColumns("Recipes", 1, ["c"], {2: ["y"], 3: ["z"]}),
    ]
    write_copy(book, tmp_path / "copy.xlsx", blocks)
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Recipes"]
    assert [sheet.cell(1, column).value for column in range(6, 11)] == [None, "a", "b", None, "c"]


def test_a_copy_of_a_copy_has_the_marks_once(tmp_path: Path) -> None:
    book, copy, _ = copy_of("notes", tmp_path)
    write_copy(copy, tmp_path / "second.xlsx", marks())
    first, second = Parts(copy), Parts(tmp_path / "second.xlsx")
    assert first.sheets() == second.sheets()
    assert all(first.read(part) == second.read(part) for part in first.infos)
    remove_marks(tmp_path / "second.xlsx", tmp_path / "again.xlsx")
    assert all(Parts(book).packed(p) == Parts(tmp_path / "again.xlsx").packed(p) for p in Parts(book).infos)


def test_the_same_marks_give_the_same_bytes(tmp_path: Path) -> None:
    _, copy, _ = copy_of("furniture", tmp_path)
    write_copy(tmp_path / "book.xlsx", tmp_path / "other.xlsx", marks())
    assert (tmp_path / "other.xlsx").read_bytes() == copy.read_bytes()


def test_the_book_is_never_the_target(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    (tmp_path / "link.xlsx").symlink_to(book)
    (tmp_path / "hard.xlsx").hardlink_to(book)
    before = book.read_bytes()
    for name in ("book.xlsx", "link.xlsx", "hard.xlsx", "../" + tmp_path.name + "/book.xlsx"):
        with pytest.raises(CopyIsBookError):
            write_copy(book, tmp_path / name, marks())
    assert book.read_bytes() == before


def test_a_target_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    book = hard_books.build("plain", tmp_path / "book.xlsx")
    (tmp_path / "folder.xlsx").mkdir()
    for target in (tmp_path / "nowhere" / "copy.xlsx", tmp_path / "folder.xlsx"):
        with pytest.raises(CopyNotWritableError):
            write_copy(book, target, marks())
    assert {p.name for p in tmp_path.iterdir()} == {"book.xlsx", "folder.xlsx"}


def test_a_signed_book_is_copied_with_a_warning(tmp_path: Path) -> None:
    _, _, report = copy_of("signed", tmp_path)
    assert "signature" in report.warnings[0]


def test_a_template_becomes_a_workbook(tmp_path: Path) -> None:
    def template(part: bytes) -> bytes:
        return part.replace(b"sheet.main+xml", b"template.main+xml")

    plain = hard_books.build("plain", tmp_path / "plain.xlsx").read_bytes()
    book = tmp_path / "book.xltx"
    book.write_bytes(hard_books.changed(plain, {"[Content_Types].xml": template}))
    for target, kind in (("copy.xlsx", "sheet.main"), ("copy.xltx", "template.main")):
        write_copy(book, tmp_path / target, marks())
        assert kind in zipfile.ZipFile(tmp_path / target).read("[Content_Types].xml").decode()


def test_macros_are_kept_and_need_their_extension(tmp_path: Path) -> None:
    def macros(part: bytes) -> bytes:
        return part.replace(
            b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
            b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
        )

    plain = hard_books.build("plain", tmp_path / "plain.xlsx").read_bytes()
    book = tmp_path / "book.xlsm"
    book.write_bytes(hard_books.changed(plain, {"[Content_Types].xml": macros}))
    with zipfile.ZipFile(book, "a") as package:
        package.writestr("xl/vbaProject.bin", b"macros")
    write_copy(book, tmp_path / "copy.xlsm", marks())
    assert zipfile.ZipFile(tmp_path / "copy.xlsm").read("xl/vbaProject.bin") == b"macros"
    with pytest.raises(CopyNotWritableError, match="macros"):
        write_copy(book, tmp_path / "copy.xlsx", marks())


def test_libreoffice_shows_the_same_values(soffice: str, tmp_path: Path) -> None:
    _, copy, _ = copy_of("furniture", tmp_path)
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = [soffice, profile, "--headless", "--convert-to", "csv", "--outdir", str(tmp_path), str(copy)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    lines = (tmp_path / "copy.csv").read_text(encoding="utf-8").splitlines()
    assert lines[1].startswith("Plain,80,10.9,24,114.9,")
    assert lines[1].endswith("fine,22,11,=1+1")


def test_cells_of_reads_implied_positions(tmp_path: Path) -> None:
    book = hard_books.build("positions implied", tmp_path / "book.xlsx")
    assert (4, 3) in cells_of(Parts(book).tree(hard_books.SHEET))
