"""A file with the cells of the screen laid over it: only those differ, and spreadsheet programs take it for sound."""

import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from sheetcheck.errors import UneditableBookError
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.overlay import lay_over
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.sheet_overlay import ScreenCell
from tests.plugins.recipe_book import make_book


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def laid(book: Path, *cells: ScreenCell) -> Path:
    target = book.with_name(f"laid-{book.name}")
    lay_over(book, target, cells)
    return target


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return make_book(tmp_path / "recipes.xlsx")


def test_only_the_sheet_and_the_styles_differ(book: Path) -> None:
    target = laid(book, ScreenCell("Batches", 2, 4, 13.0))
    before, after = parts(book), parts(target)
    assert {n for n in after if after[n] != before[n]} == {"xl/worksheets/sheet1.xml", "xl/styles.xml"}
    assert before.keys() == after.keys()


def test_values_of_each_kind(book: Path) -> None:
    target = laid(
        book,
        ScreenCell("Batches", 2, 1, "=not a formula & <no tag>"),
        ScreenCell("Batches", 3, 1, None),
        ScreenCell("Batches", 2, 3, True),
        ScreenCell("Batches", 2, 5, None, "D2/0", is_error=False),
        ScreenCell("Batches", 3, 5, "#DIV/0!", "D3/0", is_error=True),
        ScreenCell("Batches", 4, 5, 0.25, only_result=True),
        ScreenCell("Batches", 4, 6, datetime.fromisoformat("2025-02-03"), number_format="dd.mm.yyyy"),
        ScreenCell("Batches", 30, 28, 5.5, number_format='0.0" oz"'),
    )
    grid = read_workbook(target).grids[0]
    found = {address: grid.cell(*address) for address in [(2, 1), (2, 3), (2, 5), (3, 5), (4, 5), (4, 6), (30, 28)]}
    kinds = [(c.kind, c.text or c.number, c.formula) for c in found.values() if c is not None]
    assert kinds[:2] == [(Kind.TEXT, "=not a formula & <no tag>", None), (Kind.BOOL, 1.0, None)]
    assert (kinds[2][0], kinds[2][2]) == (Kind.EMPTY_FORMULA, "D2/0")
    assert kinds[3:] == [
        (Kind.ERROR, "#DIV/0!", "D3/0"),
        (Kind.NUMBER, 0.25, "D4/(C4+D4)"),
        (Kind.DATE, "2025-02-03", None),
        (Kind.NUMBER, 5.5, None),
    ]
    assert grid.cell(3, 1) is None
    last = found[30, 28]
    assert last is not None
    assert last.style.number_format == '0.0" oz"'
    sheet = openpyxl.load_workbook(target)["Batches"]
    assert sheet["B2"].number_format == '0.00" oz"'
    assert sheet["A4"].fill.fgColor.rgb == "FF00FF00"


def test_the_first_of_a_shared_formula_can_go(tmp_path: Path) -> None:
    """Its text stands in the first cell alone: the others get it written out."""
    book = tmp_path / "shared.xlsx"
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    assert sheet is not None
    for row in range(1, 6):
        sheet.append([row, None])
    workbook.save(book)
    shared = [b'<f t="shared" ref="B1:B5" si="0">A1*2+$A$1</f>', *[b'<f t="shared" si="0"/>'] * 4]
    contents = parts(book)
    xml = contents["xl/worksheets/sheet1.xml"]
    for row, formula in enumerate(shared, 1):
        cell = f'<c r="A{row}" t="n"><v>{row}</v></c>'.encode()
        assert cell in xml
        xml = xml.replace(cell, cell + f'<c r="B{row}">'.encode() + formula + b"<v>3</v></c>")
    with zipfile.ZipFile(book, "w") as package:
        for name, data in contents.items():
            package.writestr(name, xml if name.endswith("sheet1.xml") else data)
    before = dict(read_workbook(book).grids[0].formulas)
    assert before[5, 2] == "A5*2+$A$1"
    after = read_workbook(laid(book, ScreenCell("Sheet", 1, 2, 7.0))).grids[0]
    assert dict(after.formulas) == {place: text for place, text in before.items() if place != (1, 2)}
    first = after.cell(1, 2)
    assert first is not None
    assert (first.number, first.formula) == (7.0, None)


def test_dates_of_a_book_that_counts_from_1904(tmp_path: Path) -> None:
    book = tmp_path / "mac.xlsx"
    with xlsxwriter.Workbook(str(book), {"date_1904": True}) as workbook:
        workbook.add_worksheet("Days").write(0, 0, "Made")
    target = laid(book, ScreenCell("Days", 2, 1, datetime.fromisoformat("2024-03-01"), number_format="yyyy-mm-dd"))
    cell = read_workbook(target).grids[0].cell(2, 1)
    assert cell is not None
    assert cell.text == "2024-03-01"


def test_the_chain_of_calculation_goes(book: Path, tmp_path: Path) -> None:
    """A chain that names a cell without a formula is taken for damage."""
    chained = tmp_path / "chained.xlsx"
    contents = parts(book)
    chain = (
        b'<calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><c r="E2" i="1"/></calcChain>'
    )
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    type_ = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain"
    override = b'<Override PartName="/xl/calcChain.xml" ContentType="%s"/></Types>' % kind
    related = b'<Relationship Id="rId99" Type="%s" Target="calcChain.xml"/></Relationships>' % type_
    contents["[Content_Types].xml"] = contents["[Content_Types].xml"].replace(b"</Types>", override)
    rels = "xl/_rels/workbook.xml.rels"
    contents[rels] = contents[rels].replace(b"</Relationships>", related)
    with zipfile.ZipFile(chained, "w") as package:
        for name, data in {**contents, "xl/calcChain.xml": chain}.items():
            package.writestr(name, data)
    after = parts(laid(chained, ScreenCell("Batches", 2, 5, 1.0)))
    assert not [n for n in after if "calcChain" in n]
    assert b"calcChain" not in after["[Content_Types].xml"] + after[rels]


def test_a_heading_of_a_table_is_refused(tmp_path: Path) -> None:
    book = tmp_path / "table.xlsx"
    with xlsxwriter.Workbook(str(book)) as workbook:
        workbook.add_worksheet("Batches").add_table("A1:B3", {"columns": [{"header": "Recipe"}, {"header": "Lard"}]})
    with pytest.raises(UneditableBookError, match="heading or a total of a table"):
        laid(book, ScreenCell("Batches", 1, 2, "Lard (g)"))
    assert laid(book, ScreenCell("Batches", 2, 2, 80.0)).exists()


def test_a_sheet_that_is_not_there_is_refused(book: Path) -> None:
    with pytest.raises(UneditableBookError, match='the sheet "More" is not in the file'):
        laid(book, ScreenCell("More", 1, 1, 80.0))
    assert [p.name for p in book.parent.iterdir()] == ["recipes.xlsx"]


def test_real_books_come_through(root: Path, tmp_path: Path) -> None:
    """A cell far from all others is laid over each example; every cell of the book is as before."""
    examples: list[Any] = sorted((root / "examples").rglob("*.xlsx"))
    assert examples
    for example in examples:
        book = tmp_path / example.name
        book.write_bytes(example.read_bytes())
        name = read_workbook(book).grids[0].name
        grid = read_workbook(laid(book, ScreenCell(name, 5000, 200, "far away"))).grids[0]
        assert grid.cell(5000, 200) is not None
