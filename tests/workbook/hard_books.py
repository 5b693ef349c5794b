"""Small workbooks, one for each thing that makes a package hard to edit; built, not copied from anywhere.

Each is made by XlsxWriter and then changed part by part to the form that other programs write.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

SHEET = "xl/worksheets/sheet1.xml"
STRICT = (
    (b"http://schemas.openxmlformats.org/spreadsheetml/2006/main", b"http://purl.oclc.org/ooxml/spreadsheetml/main"),
    (
        b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
        b"http://purl.oclc.org/ooxml/officeDocument/relationships",
    ),
)
Change = Callable[[bytes], bytes]


def write_plain(
    target: Path | io.BytesIO, furnish: Callable[[xlsxwriter.Workbook, Worksheet], None] | None = None
) -> None:
    """Write three recipes in rows 2 to 4, with a heading, formats and a formula; `furnish` adds to it."""
    with xlsxwriter.Workbook(target, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Recipes")
        bold = book.add_format({"bold": True, "bg_color": "#FFE4B5", "border": 1})
        ounces = book.add_format({"num_format": '0.0" oz"', "font_color": "#123456"})
        sheet.write_row(0, 0, ["Recipe", "Lard", "Lye", "Water", "Total"], bold)
        for row, (name, *amounts) in enumerate(
            [("Plain", 80, 10.9, 24), ("Barn", 40, 5.4, 12), ("Ewe", 60, 80.2, 18)], 1
        ):
            sheet.write_string(row, 0, name)
            sheet.write_row(row, 1, amounts, ounces)
            sheet.write_formula(row, 4, f"=SUM(B{row + 1}:D{row + 1})", ounces, sum(amounts))
        sheet.set_column(0, 0, 24)
        sheet.set_row(0, 30)
        sheet.freeze_panes(1, 1)
        if furnish:
            furnish(book, sheet)


def changed(data: bytes, changes: Mapping[str, Change]) -> bytes:
    """Return a package with parts changed; a name that begins with `*` ends the names it is for."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            part = old.read(info)
            for name, change in changes.items():
                if info.filename == name or (name[:1] == "*" and info.filename.endswith(name[1:])):
                    part = change(part)
            new.writestr(info.filename, part)
    return out.getvalue()


def _in(*pairs: tuple[bytes, bytes]) -> Change:
    def change(part: bytes) -> bytes:
        for old, new in pairs:
            assert old in part, old
            part = part.replace(old, new)
        return part

    return change


def _prefixed(part: bytes) -> bytes:
    """Give every element of the main namespace the prefix x."""
    part = re.sub(rb"<(/?)(?=[a-zA-Z])(?!\?)", rb"<\1x:", part)
    return part.replace(b' xmlns="', b' xmlns:x="')


def _without_positions(part: bytes) -> bytes:
    return re.sub(rb'(<(?:row|c)) r="[A-Z]*\d+"', rb"\1", part)


def _strict(part: bytes) -> bytes:
    for transitional, strict in STRICT:
        part = part.replace(transitional, strict)
    return part


def _utf16(part: bytes) -> bytes:
    return part.decode().replace('encoding="UTF-8"', 'encoding="UTF-16"').encode("utf-16")


def _notes(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.write_comment("C3", "her own note", {"author": "Maker"})
    sheet.write_comment("A1", "and another", {"author": "Maker"})


def _furniture(book: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.data_validation("B2:B9", {"validate": "list", "source": ["1", "2"]})
    sheet.conditional_format(
        "C2:C9", {"type": "cell", "criteria": ">", "value": 50, "format": book.add_format({"bg_color": "#00FF00"})}
    )
    sheet.write_url("A8", "https://example.org/")
    sheet.merge_range("A6:C7", "merged")
    sheet.protect()
    sheet.set_header("&LRecipes")
    sheet.repeat_rows(0)
    chart = book.add_chart({"type": "column"})
    chart.add_series({"values": "=Recipes!$C$2:$C$4"})
    sheet.insert_chart("G2", chart)
    sheet.insert_textbox("G20", "a text box")
    book.add_chartsheet("Chart").set_chart(chart2 := book.add_chart({"type": "line"}))
    chart2.add_series({"values": "=Recipes!$D$2:$D$4"})
    book.define_name("Lye", "=Recipes!$C$2:$C$4")


def _table(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.add_table("G1:I4", {"data": [[1, 2, 3]] * 3})


def _hidden_right(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.set_column(5, 9, None, None, {"hidden": True})


def _hidden_to_the_end(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.set_column(5, 16383, None, None, {"hidden": True})


def _wide_column(book: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.set_column(5, 30, 13, book.add_format({"bg_color": "#EEEEEE"}))


def _blank_formats(book: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    grey = book.add_format({"bg_color": "#DDDDDD"})
    for row in range(5):
        for column in range(5, 12):
            sheet.write_blank(row, column, None, grey)


def _no_room(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.write("XFC2", 1)


def _whole_row(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.write_formula("A10", "=SUM(2:2)", None, 1)


def _whole_row_elsewhere(book: xlsxwriter.Workbook, _: Worksheet) -> None:
    book.add_worksheet("Sums").write_formula("A1", "=SUM(Recipes!$2:$3)", None, 1)


def _wide_sum(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.write_formula("A10", "=SUM(B2:K2)", None, 1)


def _row_format(book: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.set_row(5, 20, book.add_format({"bg_color": "#00FFFF", "italic": True}))


def _taken_names(book: xlsxwriter.Workbook, _: Worksheet) -> None:
    book.add_worksheet("findings")
    book.add_worksheet("sheetcheck record")


def _array(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.write_array_formula("A12:A13", "{=B2:B3*2}", None, 160)
    sheet.write_dynamic_array_formula("C12", "=LEN(A2:A4)", None, 5)


def _image(_: xlsxwriter.Workbook, sheet: Worksheet) -> None:
    sheet.insert_image("B20", "dot.png", {"image_data": io.BytesIO(DOT)})


DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c6360606060000000050001a5f64540"
    "0000000049454e44ae426082"
)
FURNISHED: Mapping[str, Any] = {
    "plain": None,
    "notes": _notes,
    "furniture": _furniture,
    "table": _table,
    "hidden columns at the right": _hidden_right,
    "hidden to the end": _hidden_to_the_end,
    "one definition for many columns": _wide_column,
    "blank formatted cells": _blank_formats,
    "no room": _no_room,
    "whole row summed": _whole_row,
    "whole row summed elsewhere": _whole_row_elsewhere,
    "sum over the place": _wide_sum,
    "row with a format": _row_format,
    "names that are taken": _taken_names,
    "array formulas": _array,
    "picture": _image,
}
THEME_FILL = (b'<fgColor rgb="FFFFE4B5"/>', b'<fgColor theme="4" tint="0.5999"/>')
SIGNATURE = (
    b'<Relationship Id="rIdS" Target="_xmlsignatures/origin.sigs"'
    b' Type="http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"/>'
)
CHANGED: Mapping[str, Mapping[str, Change]] = {
    "prefixed elements": {SHEET: _prefixed},
    "positions implied": {SHEET: _without_positions},
    "strict namespaces": {"*.xml": _strict, "*.rels": _strict},
    "UTF-16": {SHEET: _utf16},
    "CDATA": {SHEET: _in((b"SUM(B2:D2)", b"<![CDATA[SUM(B2:D2)]]>"))},
    "XML comments": {SHEET: _in((b"<sheetData>", b"<!-- a <row> --><sheetData><!-- <c r='A9'/> -->"))},
    "empty style": {SHEET: _in((b'<c r="A2" t', b'<c r="A2" s="" t'))},
    "byte order mark": {SHEET: lambda part: b"\xef\xbb\xbf" + part},
    "extent that lies": {SHEET: _in((b'ref="A1:E4"', b'ref="A1"'))},
    "single quotes": {SHEET: lambda part: re.sub(rb'(<c r=)"(\w+)"', rb"\1'\2'", part)},
    "white space between": {SHEET: lambda part: part.replace(b"<row ", b"\r\n  <row ").replace(b"<c ", b"\n\t<c ")},
    "fill of the theme": {
        "xl/styles.xml": _in(THEME_FILL),
        "xl/theme/theme1.xml": _in((b'<a:accent1><a:srgbClr val="4F81BD"/>', b'<a:accent1><a:srgbClr val="228833"/>')),
    },
    "signed": {"_rels/.rels": _in((b"</Relationships>", SIGNATURE + b"</Relationships>"))},
}


def build(name: str, target: Path) -> Path:
    """Write one of the workbooks."""
    data = io.BytesIO()
    write_plain(data, FURNISHED.get(name))
    target.write_bytes(changed(data.getvalue(), CHANGED.get(name, {})))
    return target


NAMES = (*FURNISHED, *CHANGED)
