"""One sheet of a file with the cells laid over it that read differently on the screen of a spreadsheet program."""

from __future__ import annotations

import copy
import math
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import TypeAlias
from xml.sax.saxutils import escape

from lxml import etree

from sheetcheck.model import address
from sheetcheck.workbook.cell_xml import cell_xml, text_xml
from sheetcheck.workbook.number_formats import serial_number
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.sheet_facts import column_spans
from sheetcheck.workbook.sheet_frame import patched_head
from sheetcheck.workbook.sheet_rows import CellBytes, Row, SheetRows, style_index
from sheetcheck.workbook.styles_patch import StylesPatch

Shown: TypeAlias = str | float | bool | datetime | None
_DAYS_1904 = 1462  # between the first days of the two date systems (ECMA-376-1, 18.17.4.1)
_METADATA = re.compile(rb"\s[cv]m\s*=\s*[\"']\d+[\"']")  # says that a formula may spill
_FIRST_OWN_NUMBER_FORMAT = 164  # lower ids are built in (ECMA-376-1, 18.8.30)


@dataclass(frozen=True, slots=True)
class ScreenCell:
    """One cell as it stands on the screen, where that is not what the file says."""

    sheet: str
    row: int
    column: int
    value: Shown  # a formula's result; None for a blank cell, or a formula of which no result is known
    formula: str | None = None  # without the equals sign, as a file spells it
    number_format: str | None = None  # None: that of the file
    is_error: bool = False  # `value` is the name of an error
    only_result: bool = False  # the file's formula stands; its result is another


class ScreenStyles(StylesPatch):
    """The style sheet, with other number formats where a cell was given one."""

    def __init__(self, edit: PackageEdit) -> None:
        super().__init__(edit)
        self._known: dict[tuple[int, str], int] = {}

    def with_number_format(self, before: int, code: str) -> int:
        """Return the format `before` with another number format."""
        if (before, code) not in self._known:
            element = copy.deepcopy(self._formats[before if before < len(self._formats) else 0])
            element.set("numFmtId", str(self._number_format(code)))
            element.set("applyNumberFormat", "1")
            self._known[before, code] = self._add_format(element)
        return self._known[before, code]

    def _number_format(self, code: str) -> int:
        if code == "General":
            return 0
        elements = list(self.root.iterfind("{*}numFmts/{*}numFmt"))
        for element in elements:
            if element.get("formatCode") == code:
                return int(element.get("numFmtId") or 0)
        used = [int(element.get("numFmtId") or 0) for element in elements]
        number = max([*used, _FIRST_OWN_NUMBER_FORMAT - 1]) + 1
        self._append("numFmts", etree.Element(self._tag + "numFmt", numFmtId=str(number), formatCode=code))
        return number


@dataclass
class SheetOverlay:
    """The rows of one sheet with cells laid over them."""

    package: Package
    sheet: SheetEntry
    cells: Sequence[ScreenCell]
    styles: ScreenStyles

    def __post_init__(self) -> None:
        self.rows: dict[int, dict[int, ScreenCell]] = defaultdict(dict)
        for cell in self.cells:
            self.rows[cell.row][cell.column] = cell

    def pieces(self) -> Iterator[bytes]:
        """Yield the bytes of the sheet."""
        self.broken = set(self._broken_groups())
        sheet = SheetRows(self.package, self.sheet.part)
        self.prefix, self.head = sheet.prefix, sheet.head
        self.cells_of = sheet.cells
        filled = [cell for cell in self.cells if cell.value is not None or cell.formula is not None]
        last = max((c.row for c in filled), default=0), max((c.column for c in filled), default=0)
        yield patched_head(sheet.head, sheet.prefix, last, {})
        yield sheet.opening.replace(b"/>", b">") if sheet.is_empty else sheet.opening
        yield from self._all_rows(sheet)
        if sheet.is_empty:
            yield b"</%ssheetData>" % self.prefix
        yield sheet.tail

    def _all_rows(self, sheet: SheetRows) -> Iterator[bytes]:
        waiting = sorted(self.rows, reverse=True)
        for row in sheet.rows():
            yield row.before
            while waiting and waiting[-1] < row.number:
                yield self._new_row(waiting.pop())
            if waiting and waiting[-1] == row.number:
                waiting.pop()
            yield self._row(row)
        while waiting:
            yield self._new_row(waiting.pop())

    def _new_row(self, number: int) -> bytes:
        body = b"".join(self._new_cell(cell, 0) for _, cell in sorted(self.rows[number].items()))
        return b'<%srow r="%d">%s</%srow>' % (self.prefix, number, body, self.prefix) if body else b""

    def _row(self, row: Row) -> bytes:
        ours = self.rows.get(row.number, {})
        if not ours and not self.broken:
            return row.raw
        body, position = [], 0
        waiting = sorted(ours, reverse=True)
        row_style = style_index(row.attributes) if b"customFormat" in row.attributes else 0
        for cell in self.cells_of(row.body):
            body.append(row.body[position : cell.start])
            position = cell.end
            while waiting and waiting[-1] < cell.column:
                body.append(self._new_cell(ours[waiting.pop()], row_style))
            if waiting and waiting[-1] == cell.column:
                body.append(self._laid_over(cell, ours[waiting.pop()]))
            else:
                body.append(self._kept(row.number, cell, row.body[cell.start : cell.end]))
        body.extend(self._new_cell(ours[column], row_style) for column in reversed(waiting))
        body.append(row.body[position:])
        attributes = re.sub(rb"\sspans\s*=\s*[\"'][^\"']*[\"']", b"", row.attributes)  # a hint, and optional
        return b"<%srow%s>%s</%srow>" % (self.prefix, attributes, b"".join(body), self.prefix)

    # ------------------------------------------------------------------ one cell

    def _new_cell(self, cell: ScreenCell, row_style: int) -> bytes:
        style = row_style or next(
            (span.style for span in column_spans(self.head) if span.first <= cell.column <= span.last), 0
        )
        blank = cell.value is None and cell.formula is None
        return b"" if blank or cell.only_result else self._element(cell, style, _formula_xml(self.prefix, cell))

    def _laid_over(self, before: CellBytes, cell: ScreenCell) -> bytes:
        style = style_index(before.attributes)
        if not cell.only_result:
            return self._element(cell, style, _formula_xml(self.prefix, cell))
        metadata = b"".join(_METADATA.findall(before.attributes))
        return self._element(cell, style, self._filed_formula(before.content), metadata)

    def _element(self, cell: ScreenCell, style: int, formula: bytes, metadata: bytes = b"") -> bytes:
        if cell.number_format is not None:
            style = self.styles.with_number_format(style, cell.number_format)
        value = _days(cell.value, self.package) if isinstance(cell.value, datetime) else cell.value
        reference = address(cell.row, cell.column).encode()
        if not formula and not cell.is_error:
            return cell_xml(self.prefix, reference, value, style)
        kind, stored = _stored(value, is_error=cell.is_error)
        inside = formula + (b"<%sv>%s</%sv>" % (self.prefix, stored, self.prefix) if stored or kind else b"")
        return b'<%sc r="%s" s="%d"%s%s>%s</%sc>' % (self.prefix, reference, style, kind, metadata, inside, self.prefix)

    def _kept(self, row: int, cell: CellBytes, raw: bytes) -> bytes:
        """Return a cell of the file; of a group whose first formula was changed, with the formula written out."""
        if _group(cell.content) not in self.broken or b"<" not in cell.content:
            return raw
        formula = escape(self._file_formulas[row, cell.column]).encode()
        spelled = b"<%sf>%s</%sf>" % (self.prefix, formula, self.prefix)
        return raw.replace(self._filed_formula(cell.content), spelled)

    def _filed_formula(self, content: bytes) -> bytes:
        name = re.escape(self.prefix + b"f")
        match = re.search(rb"<" + name + rb"(?:\s[^>]*?)?(?:/>|>.*?</" + name + rb"\s*>)", content, re.DOTALL)
        return match.group() if match else b""

    def _broken_groups(self) -> Iterator[bytes]:
        """Yield the numbers of shared formulas whose first cell, which alone has the text, is laid over."""
        sheet = SheetRows(self.package, self.sheet.part)
        for row in sheet.rows():
            for cell in sheet.cells(row.body) if row.number in self.rows else ():
                ours = self.rows[row.number].get(cell.column)
                group = _group(cell.content)
                if group is not None and ours is not None and not ours.only_result and b" ref=" in cell.content:
                    yield group

    @cached_property
    def _file_formulas(self) -> Mapping[tuple[int, int], str]:
        grids = read_workbook(self.package.path).grids
        return next(grid.formulas for grid in grids if grid.name == self.sheet.name)


def _group(content: bytes) -> bytes | None:
    match = re.search(rb"<[^<>]*f\s[^<>]*\bsi\s*=\s*[\"'](\d+)[\"']", content)
    return match.group(1) if match else None


def _formula_xml(prefix: bytes, cell: ScreenCell) -> bytes:
    if cell.formula is None:
        return b""
    return b"<%sf>%s</%sf>" % (prefix, escape(cell.formula).encode(), prefix)


def _stored(value: Shown, *, is_error: bool) -> tuple[bytes, bytes]:
    """Return the attribute that says what a value is, and the value."""
    match value:
        case str():
            return (b' t="e"' if is_error else b' t="str"'), text_xml(value)
        case bool():
            return b' t="b"', b"%d" % value
        case int() | float() if math.isfinite(value):
            return b"", repr(float(value)).removesuffix(".0").encode()
    return b"", b""


def _days(moment: datetime, package: Package) -> float | None:
    """Return the serial number of a moment in the date system of the file."""
    serial = serial_number(moment.isoformat())
    properties = package.workbook.find("{*}workbookPr")
    from_1904 = properties is not None and properties.get("date1904") in ("1", "true")
    return serial - _DAYS_1904 if serial is not None and from_1904 else serial
