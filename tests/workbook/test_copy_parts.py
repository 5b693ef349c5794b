"""The pieces that the annotated copy is made of: references in formulas, cells as XML, colours, zip entries."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
from lxml import etree

from sheetcheck.errors import CopyNotWritableError
from sheetcheck.model import Formula, NewSheet, Styled
from sheetcheck.workbook.cell_xml import cell_xml
from sheetcheck.workbook.new_sheets import write_sheets
from sheetcheck.workbook.palette import SHADES, SIGNAL_FILLS, STYLES, shade
from sheetcheck.workbook.ranges import Area, formula_areas, on_sheet, parse_area, quoted, renamed
from sheetcheck.workbook.replacing import replacing
from sheetcheck.workbook.zip_copy import ZipCopy


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("SUM(B2:D2)", [(None, Area(2, 2, 2, 4))]),
        ("SUM(B2:B9)", []),
        ("SUM(5:5)", [(None, Area(5, 1, 5, 16384))]),
        ("SUM($5:$7)*2", [(None, Area(5, 1, 7, 16384))]),
        ("SUM(P:P)", [(None, Area(1, 16, 1048576, 16))]),
        ("SUM('My sheet'!A1:C3)", [("My sheet", Area(1, 1, 3, 3))]),
        ("SUM(Recipes!$2:$3)", [("Recipes", Area(2, 1, 3, 16384))]),
        ("SUM('O''Brien'!A1:B2)", [("O'Brien", Area(1, 1, 2, 2))]),
        ('"5:5"&A1', []),
        ("IF(A1>0,SUM(A1:B2),SUM(C3:D4))", [(None, Area(1, 1, 2, 2)), (None, Area(3, 3, 4, 4))]),
    ],
)
def test_ranges_of_formulas(formula: str, expected: list[tuple[str | None, Area]]) -> None:
    assert list(formula_areas(formula)) == expected


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("Findings!A1+1", "'Findings (2)'!A1+1"),
        ("'Findings'!$A$1:$B$2", "'Findings (2)'!$A$1:$B$2"),
        ('"Findings!A1"&A1', '"Findings!A1"&A1'),
        ("Other!A1", "Other!A1"),
    ],
)
def test_references_follow_a_new_name(formula: str, expected: str) -> None:
    assert renamed(formula, {"Findings": "Findings (2)"}) == expected


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("SUM(B5:F5)/C5", "SUM('My book'!B5:F5)/'My book'!C5"),
        ("Values!A1*$B$5", "Values!A1*'My book'!$B$5"),
        ("PI()*2+TRUE", "PI()*2+TRUE"),
    ],
)
def test_a_formula_on_another_sheet(formula: str, expected: str) -> None:
    assert on_sheet(formula, "My book") == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [("Recipes", "Recipes"), ("My book", "'My book'"), ("A1", "'A1'"), ("2024", "'2024'"), ("it's", "'it''s'")],
)
def test_names_of_sheets_in_formulas(name: str, expected: str) -> None:
    assert quoted(name) == expected


def test_addresses() -> None:
    assert parse_area("$B$2:A1") is not None
    assert parse_area("B2:A1") == Area(1, 1, 2, 2)
    assert parse_area("XFE1") is None
    assert parse_area("A1048577") is None


@pytest.mark.parametrize(
    ("value", "text", "kind"),
    [
        ("=1+1", "=1+1", "inlineStr"),
        ("a\x0bb", "a_x000B_b", "inlineStr"),
        ("_x0041_", "_x005F_x0041_", "inlineStr"),
        ("<&>\ud800", "<&>\N{REPLACEMENT CHARACTER}", "inlineStr"),
        (True, "1", "b"),
        (0.1, "0.1", None),
        (3, "3", None),
        (float("nan"), "", None),
        (Formula('A1&"<"', "x<"), 'A1&"<"x<', "str"),
        (Formula("=A1*2", 4.0), "A1*24", None),
    ],
)  # fmt: skip
def test_a_cell_as_xml(value: object, text: str, kind: str | None) -> None:
    cell = etree.fromstring(cell_xml(b"", b"A1", value, 3))
    assert ("".join(str(t) for t in cell.itertext()), cell.get("t"), cell.get("s")) == (text, kind, "3")


def _luminance(rgb: str) -> float:
    channels = [int(rgb[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("signal", SIGNAL_FILLS)
def test_black_text_on_every_shade_keeps_its_contrast(signal: str) -> None:
    """Contrast ratio of at least 7 to 1: Web Content Accessibility Guidelines 2.1, success criterion 1.4.6."""
    shades = {shade(signal, n) for n in range(SHADES)}
    assert len(shades) == SHADES
    assert min((_luminance(rgb) + 0.05) / 0.05 for rgb in shades) >= 7


def test_every_style_can_be_written(tmp_path: Path) -> None:
    rows = [[Styled(name, name), Styled(1.25, name), Styled(Formula("1+1", 2.0), name)] for name in STYLES]
    write_sheets([NewSheet("Styles", rows)], tmp_path / "styles.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "styles.xlsx")["Styles"]
    assert [row[0].value for row in sheet.iter_rows()] == list(STYLES)


def test_entries_are_taken_over_with_their_bytes() -> None:
    source, target = io.BytesIO(), io.BytesIO()
    with zipfile.ZipFile(source, "w", zipfile.ZIP_DEFLATED) as old:
        old.writestr("a/é.xml", b"text" * 1000)
        old.writestr(zipfile.ZipInfo("stored.bin", (2001, 2, 3, 4, 5, 6)), b"\0\1")
    out = ZipCopy(target)
    for info in zipfile.ZipFile(source).infolist():
        out.take_over(source, info)
    out.add("new.xml", [b"one", b"two"])
    out.finish()
    copied = zipfile.ZipFile(target)
    assert copied.testzip() is None
    assert [copied.read(name) for name in copied.namelist()] == [b"text" * 1000, b"\0\1", b"onetwo"]
    assert copied.namelist() == ["a/é.xml", "stored.bin", "new.xml"]
    assert copied.getinfo("stored.bin").date_time == (2001, 2, 3, 4, 5, 6)


def test_a_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "target"
    target.write_bytes(b"old")
    with pytest.raises(ZeroDivisionError), replacing(target) as (file, _):
        file.write(b"%d" % (1 // 0))
    assert target.read_bytes() == b"old"
    with replacing(target) as (file, _):
        file.write(b"whole")
    assert target.read_bytes() == b"whole"
    assert list(tmp_path.iterdir()) == [target]
    with pytest.raises(CopyNotWritableError), replacing(tmp_path / "nowhere" / "target"):
        pass
