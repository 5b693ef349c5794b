"""Small things that a copy keeps: the looks of columns, cells with an empty text, folders of the zip file."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from sheetcheck.model import CellMark, Mark, NewSheet, ResultColumns
from sheetcheck.workbook.copy import is_checked_copy, remove_marks, was_edited_since, write_copy
from sheetcheck.workbook.limits import Limits
from sheetcheck.workbook.marking import Marking
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.self_check import check_marked
from sheetcheck.workbook.sheet_facts import column_spans
from sheetcheck.workbook.sheet_frame import with_widths
from sheetcheck.workbook.zip_copy import ZipCopy
from tests.packages import differences
from tests.workbook.raw_packages import sheet, write_package

STYLES = (
    "<fonts><font/></fonts><fills><fill/></fills><borders><border/></borders>"
    '<cellXfs><xf numFmtId="0"/><xf numFmtId="2"/><xf numFmtId="4"/></cellXfs>'
)
MARKS: list[Mark] = [
    CellMark("Recipes", "A1", "DANGER", "a note"),
    CellMark("Recipes", "C2", "CAUTION"),
    ResultColumns("Recipes", 1, ("Verdict", "Says"), {2: ["fine", "nothing"]}),
]
OURS = {(row, column) for row in (1, 2) for column in (5, 6)}


def looks(head: bytes) -> dict[int, bytes]:
    """What the last definition of each of the first ten columns says, but of its width."""
    found: dict[int, bytes] = {}
    for span in column_spans(head):
        said = b" ".join(sorted(each for each in span.attributes.split() if each.startswith((b"style", b"outline"))))
        found.update(dict.fromkeys(range(span.first, min(span.last, 10) + 1), said))
    return {column: said for column, said in found.items() if said}


@pytest.mark.parametrize(
    "head",
    [
        b'<cols><col min="1" max="16384" width="9" style="3" customWidth="1"/></cols>',
        b'<cols><col min="1" max="4"/><col min="5" max="7" style="2" outlineLevel="1" width="3"/></cols>',
        b'<cols><col min="1" max="4"/></cols><cols><col min="5" max="8" style="2"/></cols>',
        b'<cols>\n<col\nmin="5" max="5" style="2" />\n</cols>',
        b'<cols><col min="1" max="9" style="2"/><col min="5" max="7" style="1" width="3"/></cols>',
        b'<x:cols><x:col min="4" max="6" style="2"></x:col></x:cols>',
    ],
)
@pytest.mark.parametrize("prefix", [b"", b"x:"])
def test_a_column_made_wider_keeps_what_else_is_said_of_it(head: bytes, prefix: bytes) -> None:
    wider = with_widths(b"<sheetFormatPr/>" + head, prefix, {5: 12.0, 6: None})
    assert looks(wider) == looks(head)
    assert [span.width for span in column_spans(wider) if span.first <= 5 <= span.last][-1] == 12.0
    assert wider.count(b"cols>") == 2


@pytest.mark.parametrize(
    "cell",
    [
        '<c r="C2" t="str"><f>IF(1,"","")</f><v></v></c>',
        '<c r="C2" s="1" t="str"><f>IF(1,"","")</f><v/></c>',
        '<c r="C2" t="str"><v></v></c>',
        '<c r="C2" t="inlineStr"><is><t></t></is></c>',
        '<c r="C2" t="s"><v>0</v></c>',
    ],
)
@pytest.mark.parametrize("remark", ["", "<!-- so that its bytes are not cut as they stand -->"])
def test_a_cell_that_holds_an_empty_text_holds_it_still(cell: str, remark: str, tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><v>1</v></c></row>', f'<row r="2"><c r="A2"><v>1</v></c>{cell}</row>'
    book = write_package(tmp_path / "b.xlsx", sheet(*rows, tail=remark), strings="<si><t></t></si>", styles=STYLES)
    write_copy(book, tmp_path / "c.xlsx", MARKS)
    assert differences(book, tmp_path / "c.xlsx", {"Recipes": {(1, 1), (2, 3)}}, {"Recipes": OURS}) == []


@pytest.mark.parametrize("remark", ["", "<!-- as above -->"])
def test_a_row_longer_than_what_is_read_at_a_time(remark: str, tmp_path: Path) -> None:
    text = "".join(f"olive oil {number} " for number in range(60_000))  # a megabyte, read 64 kilobytes at a time
    rows = [f'<row r="{n}"><c r="A{n}" t="inlineStr"><is><t>{text}</t></is></c></row>' for n in (1, 3)]
    book = write_package(tmp_path / "b.xlsx", sheet(rows[0], '<row r="2"/>', rows[1], tail=remark), styles=STYLES)
    beside = {(row, column) for row in (1, 2) for column in (3, 4)}
    write_copy(book, tmp_path / "c.xlsx", [MARKS[0], MARKS[2]])
    assert differences(book, tmp_path / "c.xlsx", {"Recipes": {(1, 1)}}, {"Recipes": beside}) == []


def test_a_book_with_as_many_sheets_as_are_read_is_copied(tmp_path: Path) -> None:
    book = write_package(tmp_path / "b.xlsx", sheet('<row r="1"><c r="A1"><v>1</v></c></row>'))
    more = NewSheet("Findings", [["one"]])
    with Package.open(book, Limits(sheets=1)) as package:
        marking = Marking(package, [*MARKS[:1], more])
        with (tmp_path / "c.xlsx").open("wb") as file:
            out = ZipCopy(file)
            marking.edit.write(out)
            out.finish()
        check_marked(marking, tmp_path / "c.xlsx")


def test_folders_of_the_zip_file_stay(tmp_path: Path) -> None:
    book = write_package(tmp_path / "b.xlsx", sheet('<row r="1"><c r="A1"><v>1</v></c></row>'))
    with zipfile.ZipFile(book, "a") as package:
        for folder in ("xl/", "xl/worksheets/", "empty/"):
            package.mkdir(folder)
    write_copy(book, tmp_path / "c.xlsx", MARKS)
    assert is_checked_copy(tmp_path / "c.xlsx")
    assert not was_edited_since(tmp_path / "c.xlsx")
    remove_marks(tmp_path / "c.xlsx", tmp_path / "again.xlsx")
    for name in ("c.xlsx", "again.xlsx"):
        folders = {info.filename for info in zipfile.ZipFile(tmp_path / name).infolist() if info.is_dir()}
        assert folders == {"xl/", "xl/worksheets/", "empty/"}
    assert set(zipfile.ZipFile(tmp_path / "again.xlsx").namelist()) == set(zipfile.ZipFile(book).namelist())
