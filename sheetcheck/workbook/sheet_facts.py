"""What has to be known of a sheet before it is marked: where there is room, what the marked cells look like now."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.ranges import Area, formula_areas, parse_area
from sheetcheck.workbook.sheet_rows import Row, SheetRows, style_index

_COLUMN = re.compile(rb"<(?:[\w.-]+:)?col(?=\s)([^>]*?)/?>")
_MERGE = re.compile(rb"<(?:[\w.-]+:)?mergeCell\s[^>]*?ref\s*=\s*[\"']([^\"']+)")
_LEGACY_DRAWING = re.compile(rb"<(?:[\w.-]+:)?legacyDrawing\s[^>]*?:id\s*=\s*[\"']([^\"']+)")
_FORMULA = re.compile(rb"<(?:[\w.-]+:)?f(?:\s[^>]*?)?>([^<]*)<")
_SIZES = re.compile(rb"<(?:[\w.-]+:)?sheetFormatPr(?=\s)([^>]*?)/?>")
_BUILT_IN_WIDTH, _BUILT_IN_HEIGHT = 8.43, 15.0


class ColumnSpan(NamedTuple):
    """One `<col>` element: the columns it is about, its attributes as they stand."""

    first: int
    last: int
    attributes: bytes

    @property
    def hidden(self) -> bool:
        """Whether the columns are not shown."""
        return (
            _attribute(self.attributes, b"hidden") in (b"1", b"true") or _attribute(self.attributes, b"width") == b"0"
        )

    @property
    def width(self) -> float | None:
        """Width in characters where it is stated."""
        value = _attribute(self.attributes, b"width")
        return float(value) if value else None

    @property
    def style(self) -> int:
        """Style of the columns' blank cells."""
        return int(_attribute(self.attributes, b"style") or 0)


@dataclass
class SheetFacts:
    """What `look` found on one sheet."""

    used: dict[int, int] = field(default_factory=dict)  # row -> last column that holds something
    columns: list[ColumnSpan] = field(default_factory=list)
    merges: list[Area] = field(default_factory=list)
    tables: list[Area] = field(default_factory=list)
    drawings: list[Area] = field(default_factory=list)
    summed: set[Area] = field(default_factory=set)  # ranges that formulas of this sheet take in, of several columns
    formulas_elsewhere: set[tuple[str, Area]] = field(
        default_factory=set
    )  # such ranges on other sheets, by lower-case name
    styles: dict[tuple[int, int], int] = field(default_factory=dict)  # of the cells asked for
    row_styles: dict[int, int] = field(default_factory=dict)  # of the rows asked for, where the row has one
    legacy_drawing: str | None = None  # relationship id
    default_width: float = _BUILT_IN_WIDTH
    default_height: float = _BUILT_IN_HEIGHT  # points
    plain: bool = False  # as `SheetRows` has it
    prefix: bytes = b""  # of its elements

    @cached_property
    def _rows(self) -> list[int]:
        return sorted(self.used)

    def last_used(self, first_row: int, last_row: int) -> int:
        """Return the last column that holds something in some rows, 0 where none does."""
        rows = self._rows[bisect_left(self._rows, first_row) : bisect_right(self._rows, last_row)]
        return max((self.used[row] for row in rows), default=0)

    def anchor(self, row: int, column: int) -> tuple[int, int]:
        """Return the cell that is shown at a place: the upper left one of a merged range."""
        for area in self.merges:
            if area.holds(row, column):
                return area.first_row, area.first_column
        return row, column

    def width_before(self, column: int) -> float:
        """Return how wide, in characters, the columns before one are that are shown."""
        widths = dict.fromkeys(range(1, column), self.default_width)
        for span in self.columns:
            shown = 0.0 if span.hidden else self.default_width if span.width is None else span.width
            widths |= dict.fromkeys(range(span.first, min(span.last + 1, column)), shown)
        return sum(widths.values())

    def stated_width(self, column: int) -> float | None:
        """Return the width that the sheet states for a column."""
        return next((c.width for c in self.columns if c.first <= column <= c.last), None)

    def style_before(self, row: int, column: int) -> int:
        """Return the style that a cell shows now: its own, its row's or its column's."""
        if (row, column) in self.styles:
            return self.styles[row, column]
        if row in self.row_styles:
            return self.row_styles[row]
        return next((c.style for c in self.columns if c.first <= column <= c.last), 0)


def look(package: Package, sheet: SheetEntry, marked: Collection[tuple[int, int]] = ()) -> SheetFacts:
    """Go through a sheet once; `marked` are the cells whose style is asked for."""
    sheet_rows = SheetRows(package, sheet.part)
    facts = SheetFacts(columns=list(column_spans(sheet_rows.head)), plain=sheet_rows.plain, prefix=sheet_rows.prefix)
    _read_sizes(facts, sheet_rows.head)
    wanted: dict[int, set[int]] = {}
    for marked_row, column in marked:
        wanted.setdefault(marked_row, set()).add(column)
    for row in sheet_rows.rows():
        facts.used[row.number] = sheet_rows.last_used_column(row)
        if b"<f" in row.raw or b":f" in row.raw:
            _note_formulas(facts, row.body)
        if row.number in wanted:
            _note_styles(facts, sheet_rows, row, wanted[row.number])
    _note_formulas(facts, sheet_rows.tail)
    facts.merges = [
        a for m in _MERGE.finditer(sheet_rows.tail) if (a := parse_area(m.group(1).decode("ascii", "replace")))
    ]
    legacy = _LEGACY_DRAWING.search(sheet_rows.tail)
    facts.legacy_drawing = legacy.group(1).decode() if legacy else None
    facts.tables = list(_tables(package, sheet.part))
    facts.drawings = list(_drawings(package, sheet.part))
    return facts


def formulas_about(package: Package, sheet: SheetEntry) -> set[tuple[str, Area]]:
    """Return the ranges on other sheets that the formulas of this sheet take in, by lower-case name of that sheet."""
    facts = SheetFacts()
    for row in SheetRows(package, sheet.part).rows():
        if b"!" in row.raw:
            _note_formulas(facts, row.body)
    return facts.formulas_elsewhere


def column_spans(head: bytes) -> Iterator[ColumnSpan]:
    """Yield what the head of a sheet says of its columns."""
    for match in _COLUMN.finditer(head):
        first, last = _attribute(match.group(1), b"min"), _attribute(match.group(1), b"max")
        if first.isdigit() and last.isdigit():
            yield ColumnSpan(int(first), int(last), match.group(1))


def _attribute(attributes: bytes, name: bytes) -> bytes:
    match = re.search(rb"\s" + name + rb"\s*=\s*[\"']([^\"']*)[\"']", attributes)
    return match.group(1) if match else b""


def _read_sizes(facts: SheetFacts, head: bytes) -> None:
    match = _SIZES.search(head)
    if match:
        width = _attribute(match.group(1), b"defaultColWidth") or _attribute(match.group(1), b"baseColWidth")
        height = _attribute(match.group(1), b"defaultRowHeight")
        facts.default_width = float(width) if width else _BUILT_IN_WIDTH
        facts.default_height = float(height) if height else _BUILT_IN_HEIGHT


def _note_formulas(facts: SheetFacts, data: bytes) -> None:
    for match in _FORMULA.finditer(data):
        if b":" in match.group(1):
            for sheet, area in formula_areas(match.group(1).decode("utf-8", "replace")):
                if sheet is None:
                    facts.summed.add(area)
                else:
                    facts.formulas_elsewhere.add((sheet.lower(), area))


def _note_styles(facts: SheetFacts, sheet_rows: SheetRows, row: Row, columns: set[int]) -> None:
    if re.search(rb"\scustomFormat\s*=\s*[\"'](1|true)", row.attributes):
        facts.row_styles[row.number] = style_index(row.attributes)
    for cell in sheet_rows.cells(row.body):
        if cell.column in columns:
            facts.styles[row.number, cell.column] = style_index(cell.attributes)


def _tables(package: Package, part: str) -> Iterator[Area]:
    for relationship in package.relationships(part):
        if relationship.kind == "table" and relationship.target in package:
            area = parse_area(package.tree(relationship.target).get("ref", ""))
            if area:
                yield area


def _drawings(package: Package, part: str) -> Iterator[Area]:
    """Places of pictures, charts and shapes; what moves with no cell is left out."""
    for relationship in package.relationships(part):
        if relationship.kind != "drawing" or relationship.target not in package:
            continue
        for anchor in package.tree(relationship.target).iter("{*}twoCellAnchor", "{*}oneCellAnchor"):
            corners = [
                (int(corner.findtext("{*}row", "0")) + 1, int(corner.findtext("{*}col", "0")) + 1)
                for corner in (anchor.find("{*}from"), anchor.find("{*}to"))
                if corner is not None
            ]
            if corners:
                (first_row, first_column), (last_row, last_column) = corners[0], corners[-1]
                yield Area(first_row, first_column, last_row, last_column)
