"""What a copy remembers of its marks, on a sheet that no menu shows.

A sheet, because a sheet survives a save by every spreadsheet program. Places are kept as formulas, such as
`ROWS(Recipes!$P$4:$P$20)`: the programs keep a formula's references right when rows are inserted, columns moved or
sheets renamed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from sheetcheck.model import Formula
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.new_sheets import HiddenSheet
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.ranges import Area, parse_area, quoted, unquoted
from sheetcheck.workbook.styles_patch import UsedFill

RECORD_SHEET = "sheetcheck record"
_TITLE = "Record of marks, version 1"
_ADVICE = "Leave this sheet as it is: with it `sheetcheck unmark` takes the marks off again."
_DIGEST_LENGTH, _DIGESTS_PER_CELL = 10, 2_000


@dataclass(frozen=True, slots=True)
class MarkedColumn:
    """One result column: where it stands, and the width that it had before."""

    sheet: str
    area: Area
    width_before: float | None = None


@dataclass(frozen=True)
class Record:
    """What was added to a book: names and places as they are now."""

    sheets: tuple[str, ...] = ()
    columns: tuple[MarkedColumn, ...] = ()
    fills: tuple[UsedFill, ...] = ()
    notes: frozenset[str] = field(default_factory=frozenset)  # digests of their texts
    theme: str = ""  # digest of the book's theme


def note_digest(text: str) -> str:
    """Return what a note is known by, whatever a program does to its blanks and line ends."""
    return hashlib.sha256(" ".join(text.split()).encode("utf-8", "replace")).hexdigest()[:_DIGEST_LENGTH]


# ---------------------------------------------------------------------- writing


def record_sheet(record: Record, taken: Iterable[str]) -> HiddenSheet:
    """Return the sheet that holds a record, under a name that is not taken."""
    names = {name.lower() for name in taken}
    name = RECORD_SHEET
    number = 2
    while name in names:
        name, number = f"{RECORD_SHEET} ({number})", number + 1
    rows: list[Sequence[object]] = [[_TITLE], [_ADVICE]]
    rows += [["sheet", Formula(f"ROWS({quoted(sheet)}!$A$1)", 1)] for sheet in (*record.sheets, name)]
    rows += [_column_row(column) for column in record.columns]
    rows += [["theme", record.theme]]
    rows += [
        ["fill", fill.rgb, fill.before, fill.plain if fill.plain != fill.before else None] for fill in record.fills
    ]
    digests = sorted(record.notes)
    starts = range(0, len(digests), _DIGESTS_PER_CELL)
    rows += [["notes", " ".join(digests[start : start + _DIGESTS_PER_CELL])] for start in starts]
    return HiddenSheet(name, rows)


def _column_row(column: MarkedColumn) -> Sequence[object]:
    area = Area(*column.area)
    first, _, last = area.address.partition(":")
    reference = ":".join(_absolute(corner) for corner in ((first, last) if last else (first,)))
    return [
        "column",
        Formula(f"ROWS({quoted(column.sheet)}!{reference})", area.last_row - area.first_row + 1),
        column.width_before,
    ]


def _absolute(cell: str) -> str:
    letters = cell.rstrip("0123456789")
    return f"${letters}${cell[len(letters) :]}"


# ---------------------------------------------------------------------- reading


def read_record(package: Package) -> Record | None:
    """Return the record that a workbook holds, None where it is no copy of ours."""
    for sheet in package.sheets:
        if sheet.is_worksheet and sheet.name.lower().startswith(RECORD_SHEET):
            rows = _rows(package, sheet)
            if rows and rows[0][:1] == [_TITLE]:
                return _record(rows)
    return None


def _record(rows: Sequence[Sequence[str]]) -> Record:
    def of(kind: str) -> Iterator[list[str]]:
        return ([*row[1:], "", ""] for row in rows if row[:1] == [kind])

    places = ((_place(formula), width) for formula, width, *_ in of("column"))
    return Record(
        sheets=tuple(place[0] for formula, *_ in of("sheet") if (place := _place(formula))),
        columns=tuple(MarkedColumn(*place, float(width) if width else None) for place, width in places if place),
        fills=tuple(UsedFill(rgb.upper(), before, plain or before) for rgb, before, plain, *_ in of("fill")),
        theme=next((digest for digest, *_ in of("theme")), ""),
        notes=frozenset(digest for digests, *_ in of("notes") for digest in digests.split()),
    )


def _place(formula: str) -> tuple[str, Area] | None:
    """Return sheet and area of a formula of the record; None where what it referred to was deleted."""
    inner = formula.strip().removeprefix("ROWS(").removesuffix(")")
    sheet, mark, cells = inner.rpartition("!")
    area = parse_area(cells.replace("$", ""))
    return (unquoted(sheet), area) if mark and area else None


def _rows(package: Package, sheet: SheetEntry) -> list[list[str]]:
    """Return the cells of the record's sheet as texts, of formulas the formula; a row without a gap at its left."""
    root = package.tree(sheet.part)
    cells = [list(row.iterfind("{*}c")) for row in root.iterfind("{*}sheetData/{*}row")]
    wanted = {int(v) for row in cells for c in row if c.get("t") == "s" and (v := c.findtext("{*}v", "")).isdigit()}
    texts = _shared_texts(package, wanted) if wanted else {}
    return [[_text(cell, texts) for cell in row] for row in cells]


def _text(cell: etree._Element, texts: Mapping[int, str]) -> str:
    formula, value = cell.findtext("{*}f"), cell.findtext("{*}v", "")
    if formula:
        return formula
    if cell.get("t") == "s":
        return texts.get(int(value), "") if value.isdigit() else ""
    return "".join(t.text or "" for t in cell.iter("{*}t")) if cell.get("t") == "inlineStr" else value


def _shared_texts(package: Package, wanted: set[int]) -> dict[int, str]:
    """Return some of the workbook's shared strings, without holding the others."""
    part = package.related(package.workbook_part, "sharedStrings")
    if part is None:
        return {}
    found: dict[int, str] = {}
    number, within = -1, False
    parser = safe_xml.stream_parser()

    def begin(name: str, _: object) -> None:
        nonlocal number, within
        local = name.rpartition(":")[2]
        number += local == "si"
        within = local == "t" and number in wanted

    def end(_: str) -> None:
        nonlocal within
        within = False

    def characters(text: str) -> None:
        if within:
            found[number] = found.get(number, "") + text

    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = begin, end, characters
    safe_xml.feed(parser, package.chunks(part))
    return found
