"""Sheets and what belongs to them: merges, hidden rows and columns, notes; and what is said of a whole file."""

import hashlib
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.comments import Comment
from raw_packages import LINKS, sheet, write_package

from sheetcheck.workbook import read_workbook

ROW = '<row r="1"><c r="A1"><v>1</v></c></row>'


def test_merges_hidden_parts_and_notes_of_an_openpyxl_book(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    ws = book.active
    ws.title = "Barn book"
    ws["A1"] = "Hard bars"
    ws["C9"] = 80
    ws.merge_cells("A1:D1")
    ws.merge_cells("B3:B5")
    ws.row_dimensions[4].hidden = True
    ws.row_dimensions[7].hidden = True
    ws.column_dimensions["B"].hidden = True
    ws.column_dimensions.group("E", "G", hidden=True)
    ws["C9"].comment = Comment("weighed on the old scale", "me")
    ws["Z99"].comment = Comment("a note on a blank cell", "me")
    book.save(tmp_path / "book.xlsx")
    grid = read_workbook(tmp_path / "book.xlsx").grids[0]
    assert grid.name == "Barn book"
    assert set(grid.merges) == {(1, 1, 1, 4), (3, 2, 5, 2)}
    assert grid.hidden_rows == {4, 7}
    assert grid.hidden_columns == {2, 5, 6, 7}
    assert grid.notes == {(9, 3): "weighed on the old scale", (99, 26): "a note on a blank cell"}


def test_hidden_rows_in_other_spellings(tmp_path: Path) -> None:
    rows = (
        '<row r="2" hidden="true"><c r="A2"><v>1</v></c></row><row hidden="1" r="3"/><row r="4" hidden="0"/>'
        '<row r="5" hidden="false"><c r="A5"><v>1</v></c></row>'
    )
    assert read_workbook(write_package(tmp_path / "a.xlsx", sheet(rows))).grids[0].hidden_rows == {2, 3}
    without = '<row r="2"><c><v>1</v></c></row><row hidden="1"><c><v>1</v></c></row>'
    assert read_workbook(write_package(tmp_path / "b.xlsx", sheet(without))).grids[0].hidden_rows == {3}


def test_whole_columns_merged_and_hidden_cost_nothing(tmp_path: Path) -> None:
    merges = "".join(f'<mergeCell ref="{c}1:{c}1048576"/>' for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    path = write_package(
        tmp_path / "book.xlsx",
        sheet(
            ROW,
            head='<cols><col min="3" max="16384" hidden="1"/><col min="1" max="4294967295" hidden="1"/></cols>',
            tail=f'<mergeCells>{merges}<mergeCell ref="AA:AB"/><mergeCell ref="3:4"/></mergeCells>',
        ),
    )
    grid = read_workbook(path).grids[0]
    assert grid.merges[0] == (1, 1, 1048576, 1)
    assert grid.merges[-2:] == ((1, 27, 1048576, 28), (3, 1, 4, 16384))
    assert len(grid.hidden_columns) == 16384


def test_a_conversation_stands_for_the_note_that_only_announces_it(tmp_path: Path) -> None:
    comments = (
        '<comments xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><commentList>'
        '<comment ref="A1"><text><t>[Threaded comment] Your version of the program …</t></text></comment>'
        '<comment ref="B2"><text><r><t>two </t></r><r><t>runs</t></r><rPh><t>x</t></rPh></text></comment>'
        '<comment ref="nowhere"><text><t>lost</t></text></comment></commentList></comments>'
    )
    threads = (
        '<ThreadedComments xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">'
        '<threadedComment ref="A1" id="1"><text>too soft</text></threadedComment>'
        '<threadedComment ref="A1" id="2"><text>more coconut</text></threadedComment></ThreadedComments>'
    )
    path = write_package(
        tmp_path / "book.xlsx",
        sheet(ROW),
        parts={"xl/comments1.xml": comments, "xl/threads/t1.xml": threads},
        sheet_links=(
            f'<Relationship Id="a" Type="{LINKS}/comments" Target="../comments1.xml"/>'
            '<Relationship Id="b" Type="http://schemas.microsoft.com/office/2017/10/relationships/threadedComment" '
            'Target="/xl/threads/t1.xml"/>'
        ),
    )
    assert read_workbook(path).grids[0].notes == {(1, 1): "too soft\nmore coconut", (2, 2): "two runs"}


def test_sheets_of_all_kinds(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "book.xlsx") as book:
        for name in ("Recipes", "Old", "Very old"):
            book.add_worksheet(name).write("A1", name)
        book.get_worksheet_by_name("Old").hide()
        book.get_worksheet_by_name("Very old").very_hidden()
        chart = book.add_chart({"type": "bar"})
        chart.add_series({"values": "=Recipes!$A$1:$A$2"})
        book.add_chartsheet("Picture").set_chart(chart)
    read = read_workbook(tmp_path / "book.xlsx")
    assert [(grid.name, grid.hidden) for grid in read.grids] == [("Recipes", False), ("Old", True), ("Very old", True)]
    assert [notice for notice in read.notices if "hidden" in notice] == [
        'The sheet "Old" is hidden; it is read like the others.',
        'The sheet "Very old" is hidden; it is read like the others.',
    ]


def test_identity_of_the_file_and_a_plain_book_says_nothing(tmp_path: Path) -> None:
    path = write_package(tmp_path / "my book.xlsx", sheet(ROW))
    before = path.read_bytes()
    read = read_workbook(path)
    assert (read.name, read.sha256) == ("my book.xlsx", hashlib.sha256(before).hexdigest())
    assert read.notices == ()
    assert path.read_bytes() == before


SIGNED = (
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="w" Type="{LINKS}/officeDocument" Target="xl/workbook.xml"/><Relationship Id="s" '
    'Type="http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin" '
    'Target="_xmlsignatures/origin.sigs"/></Relationships>'
)
MACROS = (
    '<Relationship Id="m" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="v.bin"/>'
)
NOTICES = {
    "signature": ({"parts": {"_rels/.rels": SIGNED}}, "digitally signed"),
    "macros": ({"links": MACROS}, "contains macros"),
    "a link": (
        {"links": f'<Relationship Id="e" Type="{LINKS}/externalLink" Target="e.xml"/>'},
        "from another workbook",
    ),
    "manual": ({"after_sheets": '<calcPr calcMode="manual"/>'}, "set to manual"),
    "missing sheet": (
        {"sheets": '<sheet name="Recipes" sheetId="1" r:id="s1"/><sheet name="Gone" sheetId="2" r:id="s2"/>'},
        'The sheet "Gone" is listed, but its contents are missing',
    ),
}


@pytest.mark.parametrize("case", NOTICES)
def test_what_is_said_of_the_whole_file(tmp_path: Path, case: str) -> None:
    options, sentence = NOTICES[case]
    read = read_workbook(write_package(tmp_path / "book.xlsx", sheet(ROW), **options))
    assert any(sentence in notice for notice in read.notices)
    assert len(read.notices) == 1
    assert read.grids[0].cell(1, 1) is not None
