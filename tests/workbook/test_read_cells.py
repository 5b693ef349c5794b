"""What the cells of a worksheet hold, in every form that the standard allows."""

import math
import tomllib
from pathlib import Path

import pytest
from raw_packages import MAIN, STRICT_LINKS, STRICT_MAIN, sheet, write_package

from sheetcheck.model import address
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.grid import Grid, Kind

STRINGS = "<si><t>Lard</t></si><si><r><t>Goat </t></r><r><rPr><b/></rPr><t>milk</t></r></si><si><t/></si>"


def grid_of(path: Path) -> Grid:
    return read_workbook(path).grids[0]


def holds(grid: Grid) -> dict[str, object]:
    """What a grid's cells hold by address: a number, a text, or [kind, text] for all else."""
    found: dict[str, object] = {}
    for index in range(len(grid.row)):
        cell = grid.at(index)
        match cell.kind:
            case Kind.NUMBER:
                found[cell.address] = cell.number
            case Kind.TEXT:
                found[cell.address] = cell.text
            case Kind.BOOL:
                found[cell.address] = bool(cell.number)
            case _:
                found[cell.address] = [cell.kind.name, cell.text]
    return found


CELLS = tomllib.loads((Path(__file__).parent / "cells.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CELLS)
def test_one_cell(tmp_path: Path, case: str) -> None:
    path = write_package(tmp_path / "book.xlsx", sheet(f'<row r="1">{CELLS[case]["cell"]}</row>'), strings=STRINGS)
    assert holds(grid_of(path)) == {"A1": CELLS[case]["holds"]}


@pytest.mark.parametrize("case", CELLS)
def test_one_cell_in_a_strict_file_with_prefixes(tmp_path: Path, case: str) -> None:
    cell = CELLS[case]["cell"]
    for name in ("c", "v", "f", "is", "t", "r", "rPh", "rPr", "b", "extLst", "ext"):
        for start in ("<", "</"):
            for end in (">", " ", "/>"):
                if "CDATA" not in cell and "<!--" not in cell:
                    cell = cell.replace(f"{start}{name}{end}", f"{start}x:{name}{end}")
    xml = f'<x:worksheet xmlns:x="{STRICT_MAIN}"><x:sheetData><x:row r="1">{cell}</x:row></x:sheetData></x:worksheet>'
    if "CDATA" in cell or "<!--" in cell:
        xml = xml.replace("<x:worksheet ", f'<x:worksheet xmlns="{STRICT_MAIN}" ')
    path = write_package(tmp_path / "book.xlsx", xml, strings=STRINGS, main=STRICT_MAIN, relationships=STRICT_LINKS)
    assert holds(grid_of(path)) == {"A1": CELLS[case]["holds"]}


BLANK = {
    "formatted": '<c r="A1" s="0"/>',
    "formatted, long": '<c r="A1" s="0"></c>',
    "empty value": '<c r="A1"><v></v></c>',
    "empty value, short": '<c r="A1"><v/></c>',
    "empty inline text": '<c r="A1" t="inlineStr"><is><t/></is></c>',
    "empty inline text, long": '<c r="A1" t="inlineStr"><is><t></t></is></c>',
    "empty shared text": '<c r="A1" t="s"><v>2</v></c>',
    "text without a value": '<c r="A1" t="s"/>',
    "no formula in it": '<c r="A1"><f></f></c>',
}


@pytest.mark.parametrize("cell", BLANK.values(), ids=BLANK)
def test_blank_cell(tmp_path: Path, cell: str) -> None:
    path = write_package(tmp_path / "book.xlsx", sheet(f'<row r="1">{cell}</row>'), strings=STRINGS)
    assert holds(grid_of(path)) == {}


ROWS = {
    "rows without a number": (
        '<row><c r="A1"><v>1</v></c></row><row r="5"><c r="A5"><v>2</v></c></row><row><c><v>3</v></c></row>',
        {"A1": 1.0, "A5": 2.0, "A6": 3.0},
    ),
    "cells without a place": (
        '<row r="2"><c><v>1</v></c><c/><c><v>2</v></c><c r="F2"><v>3</v></c><c><v>4</v></c></row>',
        {"A2": 1.0, "C2": 2.0, "F2": 3.0, "G2": 4.0},
    ),
    "nothing has a place": (
        "<row><c><v>1</v></c><c><v>2</v></c></row><row/><row><c><v>3</v></c></row>",
        {"A1": 1.0, "B1": 2.0, "A3": 3.0},
    ),
    "rows out of order": (
        '<row r="9"><c r="B9"><v>4</v></c><c r="A9"><v>3</v></c></row><row r="2"><c r="A2"><v>1</v></c></row>',
        {"A2": 1.0, "A9": 3.0, "B9": 4.0},
    ),
    "white space between all": (
        '\n <row r="1">\n  <c r="A1">\n   <v>1</v>\n  </c>\n </row>\n',
        {"A1": 1.0},
    ),
    "a row that is not closed the long way": ('<row r="1"/><row r="2"><c r="A2"><v>1</v></c></row>', {"A2": 1.0}),
}


@pytest.mark.parametrize(("rows", "expected"), ROWS.values(), ids=ROWS)
def test_places(tmp_path: Path, rows: str, expected: object) -> None:
    found = holds(grid_of(write_package(tmp_path / "book.xlsx", sheet(rows))))
    assert found == expected
    assert list(found) == list(expected)


def test_texts_and_numbers_side_by_side_keep_their_places(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="A1"><v>1</v></c><c r="B1" t="inlineStr"><is><t>Lard</t></is></c><c r="C1" t="s"><v>1</v></c>'
        '<c r="D1" t="inlineStr"><is><t></t></is></c><c r="E1" t="b"><v>1</v></c></row>'
        '<row r="2"><c r="A2"><v>2.5</v></c><c r="B2" t="inlineStr"><is><t>Lard</t></is></c><c r="C2"><v>1e999</v></c>'
        "</row>"
    )
    grid = grid_of(write_package(tmp_path / "book.xlsx", sheet(rows), strings=STRINGS))
    first = {"A1": 1.0, "B1": "Lard", "C1": "Goat milk", "E1": True}
    assert holds(grid) == first | {"A2": 2.5, "B2": "Lard", "C2": ["ERROR", "#NUM!"]}
    assert [math.isnan(number) for number in grid.number[:4]] == [False, True, True, False]


def test_cell_that_stands_twice_counts_by_its_last_value_and_is_told(tmp_path: Path) -> None:
    rows = '<row r="3"><c r="B3"><v>1</v></c></row><row r="3"><c r="B3"><v>2</v></c><c r="C3"><v>5</v></c></row>'
    book = read_workbook(write_package(tmp_path / "book.xlsx", sheet(rows)))
    assert holds(book.grids[0]) == {"B3": 2.0, "C3": 5.0}
    assert any("B3" in notice and "more than once" in notice for notice in book.notices)


def test_missing_texts_are_told(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1"><v>80</v></c></row>'
    book = read_workbook(write_package(tmp_path / "book.xlsx", sheet(rows)))
    assert holds(book.grids[0]) == {"A1": ["ERROR", "#N/A"], "B1": 80.0}
    assert any("text of 1 cells is missing" in notice for notice in book.notices)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1"])
def test_encodings_of_a_part(tmp_path: Path, encoding: str) -> None:
    declared = encoding.removesuffix("-sig")
    xml = sheet('<row r="1"><c r="A1" t="inlineStr"><is><t>Olivenöl</t></is></c></row>')
    data = f'<?xml version="1.0" encoding="{declared}"?>{xml}'.encode(encoding)
    assert holds(grid_of(write_package(tmp_path / "book.xlsx", data))) == {"A1": "Olivenöl"}


def test_no_rows_at_all(tmp_path: Path) -> None:
    for number, inside in enumerate(("<sheetData/>", "<sheetData></sheetData>", "")):
        xml = f'<worksheet xmlns="{MAIN}">{inside}</worksheet>'
        grid = grid_of(write_package(tmp_path / f"{number}.xlsx", xml))
        assert (grid.last_row, grid.last_column) == (0, 0)


def test_dimension_that_lies_changes_nothing(tmp_path: Path) -> None:
    for number, reference in enumerate(("A1:XFD1048576", "A1", "rubbish")):
        xml = sheet('<row r="2"><c r="C2"><v>1</v></c></row>', head=f'<dimension ref="{reference}"/>')
        assert holds(grid_of(write_package(tmp_path / f"{number}.xlsx", xml))) == {"C2": 1.0}


def test_numbers_of_other_kinds_are_not_a_number(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="e"><v>#N/A</v></c><c r="C1"><f>A1</f></c></row>'
    grid = grid_of(write_package(tmp_path / "book.xlsx", sheet(rows), strings=STRINGS))
    assert all(math.isnan(number) for number in grid.number.tolist())


def test_many_rows_across_the_pieces_in_which_a_part_is_read(tmp_path: Path) -> None:
    count = 7_000
    rows = (
        f'<row r="{r}"><c r="A{r}" t="s"><v>{r % 2}</v></c><c r="B{r}"><v>{r / 4}</v></c>'
        f'<c r="C{r}" t="str"><f>B{r}&amp;"g"</f><v>{r / 4}g</v></c></row>'
        for r in range(1, count + 1)
    )
    grid = grid_of(write_package(tmp_path / "book.xlsx", sheet(*rows), strings=STRINGS))
    assert len(grid.row) == 3 * count
    assert grid.rows() == list(range(1, count + 1))
    assert [c.address for c in grid.row_cells(4001)] == [address(4001, 1), address(4001, 2), address(4001, 3)]
    assert [c.text or c.number for c in grid.row_cells(4001)] == ["Goat milk", 1000.25, "1000.25g"]
    assert len(grid.formulas) == count
