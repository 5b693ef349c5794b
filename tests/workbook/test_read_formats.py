"""Number formats, dates and fonts, against openpyxl's own tables and conversions."""

import datetime as dt
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.styles.numbers import BUILTIN_FORMATS
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel
from raw_packages import sheet, write_package

from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.grid import CellStyle, Kind
from sheetcheck.workbook.number_formats import builtin_format, iso_form, serial_number, shows_date, shows_elapsed_time


@pytest.mark.parametrize("identifier", BUILTIN_FORMATS)
def test_builtin_formats_show_dates_where_openpyxl_says_so(identifier: int) -> None:
    expected = openpyxl.styles.numbers.is_date_format(BUILTIN_FORMATS[identifier])
    assert shows_date(builtin_format(identifier)) == expected


def test_builtin_formats_of_plain_numbers_read_as_openpyxl_has_them() -> None:
    for identifier in (0, 1, 2, 3, 4, 9, 10, 11, 12, 13, 14, 20, 21, 22, 45, 46, 48, 49):
        assert builtin_format(identifier) == BUILTIN_FORMATS[identifier]
    assert builtin_format(163) == "General"


@pytest.mark.parametrize(
    ("code", "date", "elapsed"),
    [
        ("General", False, False),
        ('0.00" oz"', False, False),
        ('0.0" days"', False, False),
        (r"0.00\ \g\m\s", False, False),
        ('0" lb "0" oz"', False, False),
        ('_(* #,##0.00_);_(* "-"_)', False, False),
        ("[Red]0.00;[Blue]-0.00", False, False),
        ("[$£-809]0.00", False, False),
        ("0.00_d", False, False),
        ("@", False, False),
        ('0;"d";"m"', False, False),
        ("0.00E+00", False, False),
        ("dd/mm/yyyy", True, False),
        ("[$-409]d-mmm-yy;@", True, False),
        ("yyyy", True, False),
        ("h:mm AM/PM", True, False),
        ("mm:ss.0", True, False),
        ("[h]:mm:ss", True, True),
        ("[mm]", True, True),
        ("[Magenta]d", True, False),
    ],
)
def test_formats_that_show_a_date(code: str, date: bool, elapsed: bool) -> None:  # noqa: FBT001 - a table of cases
    assert (shows_date(code), shows_elapsed_time(code)) == (date, elapsed)


@given(st.integers(min_value=61, max_value=2_958_465), st.integers(min_value=0, max_value=86_399))
def test_dates_are_openpyxls_dates(day: int, second: int) -> None:
    serial = day + second / 86_400
    for from_1904, epoch in ((False, CALENDAR_WINDOWS_1900), (True, CALENDAR_MAC_1904)):
        if from_1904 and day > 2_957_000:
            continue
        moment = from_excel(serial, epoch)
        whole = (moment + dt.timedelta(microseconds=500_000)).replace(microsecond=0)
        text = iso_form(serial, from_1904=from_1904)
        assert dt.datetime.fromisoformat(text) == whole
    assert serial_number(iso_form(serial)) == pytest.approx(serial, abs=1e-9)


@pytest.mark.parametrize(
    ("serial", "text"),
    [
        (0, "00:00:00"),
        (0.5, "12:00:00"),
        (0.9999999, "23:59:59"),
        (1, "1900-01-01"),
        (59, "1900-02-28"),
        (60, "1900-02-29"),  # the day that never was, as the serial numbers count it
        (61, "1900-03-01"),
        (45352, "2024-03-01"),
        (45352.75, "2024-03-01T18:00:00"),
        (2958465, "9999-12-31"),
        (2958466, ""),
        (-1, ""),
        (1e300, ""),
    ],
)
def test_serial_numbers(serial: float, text: str) -> None:
    assert iso_form(serial) == text


def test_elapsed_time_goes_past_a_day() -> None:
    assert iso_form(1.5, elapsed=True) == "36:00:00"
    assert iso_form(-0.25, elapsed=True) == "-06:00:00"
    assert iso_form(1e300, elapsed=True) == ""


def test_formats_and_fonts_of_cells(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "book.xlsx") as book:
        written = book.add_worksheet()
        written.write("A1", 80.5, book.add_format({"num_format": '0.00" oz"', "bold": True}))
        written.write("A2", "crossed out", book.add_format({"font_strikeout": True, "bg_color": "#FFFF00"}))
        written.write("A3", 45352, book.add_format({"num_format": 14, "bg_color": "white"}))
        written.write("A4", 45352)
        written.write("A5", 0.05, book.add_format({"num_format": 9, "pattern": 4}))
        written.write("A6", 1.5, book.add_format({"num_format": "[h]:mm"}))
        written.write("A7", -5, book.add_format({"num_format": "d/m/yyyy"}))
    grid = read_workbook(tmp_path / "book.xlsx").grids[0]
    cells = [cell for row in range(1, 8) if (cell := grid.cell(row, 1))]
    assert [cell.style for cell in cells] == [
        CellStyle('0.00" oz"', bold=True),
        CellStyle(struck=True, filled=True),
        CellStyle("mm-dd-yy"),
        CellStyle(),
        CellStyle("0%", filled=True),
        CellStyle("[h]:mm"),
        CellStyle("d/m/yyyy"),
    ]
    dates = [(cell.kind, cell.text) for cell in cells if cell.kind is not Kind.TEXT]
    assert dates == [
        (Kind.NUMBER, ""),
        (Kind.DATE, "2024-03-01"),
        (Kind.NUMBER, ""),
        (Kind.NUMBER, ""),
        (Kind.DATE, "36:00:00"),
        (Kind.NUMBER, ""),
    ]


def test_dates_that_count_from_1904(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "book.xlsx", {"date_1904": True}) as book:
        day = dt.date(2024, 3, 1)
        book.add_worksheet().write("A1", day, book.add_format({"num_format": "yyyy-mm-dd"}))
    cell = read_workbook(tmp_path / "book.xlsx").grids[0].cell(1, 1)
    assert cell is not None
    assert (cell.kind, cell.text, cell.number) == (Kind.DATE, "2024-03-01", 45352 - 1462)


def test_styles_in_odd_forms(tmp_path: Path) -> None:
    styles = (
        '<numFmts><numFmt numFmtId="164" formatCode="0.0&quot; g&quot;"/>'
        '<numFmt numFmtId="165" formatCode=""/></numFmts>'
        '<fonts><font><b val="0"/><strike/></font><font><b/></font></fonts>'
        '<fills><fill><gradientFill/></fill><fill><patternFill patternType="none"/></fill></fills>'
        '<cellXfs><xf numFmtId="164" fontId="0" fillId="0"/><xf numFmtId="165" fontId="9" fillId="9"/><xf/>'
        '<xf numFmtId="x" fontId="1" fillId="1"/></cellXfs>'
    )
    cells = "".join(f'<c r="A{n + 1}" s="{n}"><v>1</v></c>' for n in range(4))
    path = write_package(tmp_path / "book.xlsx", sheet(f'<row r="1">{cells}</row>'), styles=styles)
    grid = read_workbook(path).grids[0]
    assert [grid.at(i).style for i in range(4)] == [
        CellStyle('0.0" g"', struck=True, filled=True),
        CellStyle(),
        CellStyle(struck=True, filled=True),
        CellStyle(bold=True),
    ]


def test_no_styles_at_all(tmp_path: Path) -> None:
    grid = read_workbook(
        write_package(tmp_path / "b.xlsx", sheet('<row r="1"><c r="A1" s="3"><v>1</v></c></row>'))
    ).grids[0]
    assert grid.at(0).style == CellStyle()
