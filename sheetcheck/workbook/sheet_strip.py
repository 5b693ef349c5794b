"""One sheet without our marks: the fills that stood before, and none of our columns, links and widths."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from sheetcheck.workbook.package import Package
from sheetcheck.workbook.ranges import parse_area, quoted
from sheetcheck.workbook.record import MarkedColumn
from sheetcheck.workbook.sheet_frame import column_break, with_widths
from sheetcheck.workbook.sheet_rows import Row, SheetRows, style_index, with_style

_LINK = re.compile(
    rb"<(?:[\w.-]+:)?hyperlink(?=\s)[^>]*?\sref\s*=\s*[\"']([^\"']+)[\"'][^>]*?(?:/>|></(?:[\w.-]+:)?hyperlink>)"
)
_NO_LINKS = re.compile(rb"<(?:[\w.-]+:)?hyperlinks\s*>\s*</(?:[\w.-]+:)?hyperlinks\s*>")
_DRAWING_OF_NOTES = re.compile(rb"<(?:[\w.-]+:)?legacyDrawing\s[^>]*?/>")
_COLUMN_STYLE = re.compile(rb"(<(?:[\w.-]+:)?col\s[^>]*?\bstyle\s*=\s*[\"'])(\d+)")
_FORMULA = re.compile(rb"(<(?:[\w.-]+:)?f(?:\s[^>]*?)?>)([^<]*)(?=<)")


@dataclass(frozen=True)
class OurMarks:
    """What of a copy is ours, as far as one sheet of the user's is concerned."""

    columns: Sequence[MarkedColumn]  # our result columns on this sheet
    formats: Mapping[int, int]  # format with one of our fills -> format with the fill that stood before
    sheets: Sequence[str]  # names of our sheets: formulas that refer to them will have nothing to refer to
    drop_drawing: bool  # the sheet's drawing of notes held only ours and is gone


def stripped(package: Package, part: str, ours: OurMarks) -> Iterator[bytes]:
    """Yield the bytes of a worksheet part without our marks."""
    sheet = SheetRows(package, part)
    columns, formats = ours.columns, ours.formats
    change = _formula_change(ours.sheets)
    head = _COLUMN_STYLE.sub(lambda m: m.group(1) + b"%d" % formats.get(int(m.group(2)), int(m.group(2))), sheet.head)
    yield with_widths(head, sheet.prefix, {column.area.first_column: column.width_before for column in columns})
    yield sheet.opening
    for row in sheet.rows():
        yield row.before + change(_row(sheet, row, columns, formats))
    yield change(_tail(sheet.tail, sheet.prefix, columns, drop_drawing=ours.drop_drawing))


def _row(sheet: SheetRows, row: Row, columns: Sequence[MarkedColumn], formats: Mapping[int, int]) -> bytes:
    ours = {c.area.first_column for c in columns if c.area.first_row <= row.number <= c.area.last_row}
    pieces, position = [], 0
    for cell in sheet.cells(row.body):
        if cell.column in ours:
            pieces.append(row.body[position : cell.start])
            position = cell.end
        elif (style := style_index(cell.attributes)) in formats:
            start = cell.start + len(sheet.prefix) + 2
            pieces += row.body[position:start], with_style(cell.attributes, formats[style])
            position = start + len(cell.attributes)
    style = style_index(row.attributes)
    if not pieces and style not in formats:
        return row.raw
    attributes = with_style(row.attributes, formats[style]) if style in formats else row.attributes
    body = b"".join(pieces) + row.body[position:]
    return b"<%srow%s>%s</%srow>" % (sheet.prefix, attributes, body, sheet.prefix)


def _tail(tail: bytes, prefix: bytes, columns: Sequence[MarkedColumn], *, drop_drawing: bool) -> bytes:
    def link(match: re.Match[bytes]) -> bytes:
        place = parse_area(match.group(1).decode("ascii", "replace"))
        inside = place and any(c.area.holds(*place[:2]) and c.area.holds(*place[2:]) for c in columns)
        return b"" if inside else match.group()

    if columns:
        tail = _NO_LINKS.sub(b"", _LINK.sub(link, tail))
        tail = tail.replace(column_break(prefix, min(c.area.first_column for c in columns) - 1), b"")
    return _DRAWING_OF_NOTES.sub(b"", tail) if drop_drawing else tail


def _formula_change(sheets: Sequence[str]) -> Callable[[bytes], bytes]:
    """Return what turns references to our sheets into the error that a deleted sheet leaves."""
    reference = without_sheets(sheets)

    def change(data: bytes) -> bytes:
        return _FORMULA.sub(lambda m: m.group(1) + reference(m.group(2)), data) if b"!" in data else data

    return change


def without_sheets(sheets: Sequence[str]) -> Callable[[bytes], bytes]:
    """Return a function that writes `#REF!` for each reference to these sheets in the XML of a formula."""
    spelled = {form for name in sheets for form in (quoted(name), "'" + name.replace("'", "''") + "'")}
    names = b"|".join(re.escape(form.encode()) for s in spelled for form in {escape(s), escape(s, {"'": "&apos;"})})
    pattern = re.compile(rb"(?<![\w.'\]])(?:" + names + rb")!\$?[A-Za-z]*\$?\d*(?::\$?[A-Za-z]*\$?\d*)?")
    return lambda formula: pattern.sub(b"#REF!", formula)
