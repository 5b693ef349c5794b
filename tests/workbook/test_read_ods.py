"""OpenDocument spreadsheets, .ods."""

import zipfile
from pathlib import Path

import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableColumn, TableRow
from odf.text import P
from raw_ods import cell, write_ods
from test_read_cells import holds

from sheetcheck.errors import DamagedBookError, EncryptedBookError, HostileBookError, NotAWorkbookError
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.grid import CellStyle, Kind

ODS_CELLS = {
    "number": (cell("<text:p>80,5</text:p>", value_type="float", value="80.5"), 80.5),
    "share": (cell(value_type="percentage", value="0.05"), 0.05),
    "text": (cell("<text:p>80 oz</text:p>", value_type="string"), "80 oz"),
    "text in pieces": (
        cell("<text:p>a<text:s text:c='2'/>b<text:tab/>c<text:span>d</text:span>e</text:p><text:p>f</text:p>"),
        "a  b\tcde\nf",
    ),
    "text without a type": (cell("<text:p>plain</text:p>"), "plain"),
    "truth": (cell(value_type="boolean", boolean_value="true"), True),
    "date": (cell(value_type="date", date_value="2024-03-01"), ["DATE", "2024-03-01"]),
    "time": (cell(value_type="time", time_value="PT36H30M00S"), ["DATE", "36:30:00"]),
    "error": (
        cell("<text:p>#REF!</text:p>", formula="of:=[.#REF!]", value_type="string", string_value=""),
        ["ERROR", "#REF!"],
    ),
    "error in newer files": (
        '<table:table-cell calcext:value-type="error"><text:p>Err:502</text:p></table:table-cell>',
        ["ERROR", "Err:502"],
    ),
    "formula never calculated": (cell(formula="of:=[.B1]"), ["EMPTY_FORMULA", ""]),
    "formula with an empty text": (cell(formula="of:=&quot;&quot;", value_type="string"), ""),
    "number that is none": (cell("<text:p>80 oz</text:p>", value_type="float", value="x"), "80 oz"),
    "date that is none": (cell("<text:p>soon</text:p>", value_type="date", date_value="soon"), "soon"),
}  # fmt: skip


@pytest.mark.parametrize(("written", "expected"), ODS_CELLS.values(), ids=ODS_CELLS)
def test_ods_cell(tmp_path: Path, written: str, expected: object) -> None:
    path = write_ods(tmp_path / "b.ods", f"<table:table-row>{written}</table:table-row>")
    assert holds(read_workbook(path).grids[0]) == {"A1": expected}


def test_ods_repeated_cells_rows_and_hidden_parts(tmp_path: Path) -> None:
    one = cell(value_type="float", value="1")
    seven = cell(value_type="float", value="7", repeated="2")
    rows = (
        '<table:table-column table:number-columns-repeated="2"/><table:table-column table:visibility="collapse"/>'
        f'<table:table-row table:number-rows-repeated="2">{cell(repeated="2")}{seven}'
        '</table:table-row><table:table-row table:number-rows-repeated="3" table:visibility="filter"/>'
        f"<table:table-row-group><table:table-row>{one}</table:table-row></table:table-row-group>"
        '<table:table-row table:number-rows-repeated="1048570" table:visibility="collapse">'
        f"{cell(repeated='16384')}</table:table-row>"
    )
    grid = read_workbook(write_ods(tmp_path / "b.ods", rows)).grids[0]
    assert holds(grid) == {"C1": 7.0, "D1": 7.0, "C2": 7.0, "D2": 7.0, "A6": 1.0}
    assert grid.hidden_rows == {3, 4, 5}
    assert grid.hidden_columns == {3}


def test_ods_formulas_notes_and_merges(tmp_path: Path) -> None:
    note = "<office:annotation><dc:creator>me</dc:creator><text:p>old scale</text:p></office:annotation>"
    rows = (
        "<table:table-row>"
        + cell(
            "<text:p>8</text:p>" + note,
            formula="of:=SUM([.B1:.C9];[$Old.A1];&quot;[.x]&quot;)",
            value_type="float",
            value="8",
        )
        + '<table:table-cell table:number-columns-spanned="2" table:number-rows-spanned="3"><text:p>Hard</text:p>'
        "</table:table-cell><table:covered-table-cell/></table:table-row>"
    )
    grid = read_workbook(write_ods(tmp_path / "b.ods", rows)).grids[0]
    assert dict(grid.formulas) == {(1, 1): 'SUM(B1:C9;Old!A1;"[.x]")'}
    assert dict(grid.notes) == {(1, 1): "old scale"}
    assert grid.merges == ((1, 2, 3, 3),)
    assert holds(grid) == {"A1": 8.0, "B1": "Hard"}


def test_ods_formats_and_fonts(tmp_path: Path) -> None:
    styles = (Path(__file__).parent / "ods_styles.xml").read_text()
    number = {"value_type": "float", "value": "45352"}
    rows = (
        '<table:table-column table:number-columns-repeated="4"/>'
        '<table:table-column table:default-cell-style-name="ce4"/>'
        f"<table:table-row>{cell(style='ce1', **number)}{cell(style='ce2', **number)}{cell(style='ce3', **number)}"
        f"{cell(**number)}{cell(**number)}</table:table-row>"
    )
    grid = read_workbook(write_ods(tmp_path / "b.ods", rows, styles=styles)).grids[0]
    cells = [grid.at(i) for i in range(5)]
    assert [c.style for c in cells] == [
        CellStyle('#,##0.00" oz"', bold=True),
        CellStyle('0.0" g"', struck=True, filled=True),
        CellStyle('dd"."mmm yyyy'),
        CellStyle(),
        CellStyle("0%"),
    ]
    assert [c.kind for c in cells] == [Kind.NUMBER, Kind.NUMBER, Kind.DATE, Kind.NUMBER, Kind.NUMBER]


def test_ods_sheets(tmp_path: Path) -> None:
    hiding = '<style:table-properties table:display="false"/>'
    styles = f'<style:style style:name="ta" style:family="table">{hiding}</style:style>'
    row = f"<table:table-row>{cell(value_type='float', value='1')}</table:table-row>"
    more = (
        f'<table:table table:name="Old" table:style-name="ta">{row}</table:table>'
        f"<table:table table:name=\"'file:///prices.ods'#$Fats\">{row}</table:table>"
    )
    book = read_workbook(write_ods(tmp_path / "b.ods", row, styles=styles, more=more))
    assert [(grid.name, grid.hidden) for grid in book.grids] == [("Recipes", False), ("Old", True)]
    assert book.notices == (
        "Formulas take values from other workbooks; the values last stored are used.",
        'The sheet "Old" is hidden; it is read like the others.',
    )


def test_ods_written_by_a_general_library(tmp_path: Path) -> None:
    document, sheet = OpenDocumentSpreadsheet(), Table(name="Recipes")
    sheet.addElement(TableColumn())
    for values in (["Name", "Lard"], ["Plain", 80.5]):
        row = TableRow()
        for value in values:
            is_text = isinstance(value, str)
            made = TableCell(valuetype="string") if is_text else TableCell(valuetype="float", value=value)
            made.addElement(P(text=str(value)))
            row.addElement(made)
        row.addElement(CoveredTableCell())
        sheet.addElement(row)
    document.spreadsheet.addElement(sheet)
    document.save(str(tmp_path / "b.ods"))
    assert holds(read_workbook(tmp_path / "b.ods").grids[0]) == {"A1": "Name", "B1": "Lard", "A2": "Plain", "B2": 80.5}


def test_ods_that_would_exhaust_the_machine(tmp_path: Path) -> None:
    full = cell(value_type="float", value="1", repeated="16384")
    rows = f'<table:table-row table:number-rows-repeated="1048576">{full}</table:table-row>'
    with pytest.raises(HostileBookError, match="cells"):
        read_workbook(write_ods(tmp_path / "a.ods", rows))
    far = f'<table:table-row table:number-rows-repeated="999999999"/><table:table-row>{full}</table:table-row>'
    with pytest.raises(HostileBookError, match="row 1,000,000,000"):
        read_workbook(write_ods(tmp_path / "b.ods", far))
    corner = (
        '<table:table-row table:number-rows-repeated="1048575"/><table:table-row>'
        f"{cell(repeated='16383')}{cell(value_type='float', value='1')}</table:table-row>"
    )
    grid = read_workbook(write_ods(tmp_path / "c.ods", corner)).grids[0]
    assert (len(grid.row), grid.last_row, grid.last_column) == (1, 1048576, 16384)


def test_ods_with_faulty_xml(tmp_path: Path) -> None:
    with pytest.raises(HostileBookError, match="document type"):
        read_workbook(write_ods(tmp_path / "a.ods", "", document_type='<!DOCTYPE a [<!ENTITY b "c">]>'))
    with pytest.raises(DamagedBookError, match=r"content\.xml"):
        read_workbook(write_ods(tmp_path / "b.ods", "<table:table-row>"))


def test_ods_encrypted_and_other_documents(tmp_path: Path) -> None:
    path = write_ods(tmp_path / "b.ods", "")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("META-INF/manifest.xml", "<manifest:encryption-data/>")
    with pytest.raises(EncryptedBookError):
        read_workbook(path)
    with zipfile.ZipFile(tmp_path / "b.odt", "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.text")
        archive.writestr("content.xml", "<a/>")
    with pytest.raises(NotAWorkbookError, match="a text document"):
        read_workbook(tmp_path / "b.odt")
