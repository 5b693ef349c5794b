"""The marks of one sheet, written into its bytes: everything that is not ours passes through unchanged."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from sheetcheck.errors import UneditableBookError
from sheetcheck.words import tr
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.sheet_frame import patched_head, patched_tail
from sheetcheck.workbook.sheet_rows import CellBytes, Row, SheetRows, column_name, with_style

_SPANS = re.compile(rb"(\sspans\s*=\s*[\"']\d+:)(\d+)([\"'])")
_BATCH = 1 << 18


Cells = dict[int, bytes]  # cells of ours as whole elements, by column and in the order of columns


def _no_cells(_: int) -> Cells:
    return {}


@dataclass
class SheetEdits:
    """All that is to change on one sheet."""

    styles: dict[int, dict[int, int]] = field(default_factory=dict)  # row -> column -> new style of a marked cell
    rows_with_cells: set[int] = field(default_factory=set)
    cells: Callable[[int], Cells] = _no_cells  # cells to add to a row, made while it is written
    last_column: int = 0  # furthest one of a cell to add
    plain: bool | None = None  # as `SheetRows` has it
    widths: dict[int, float | None] = field(default_factory=dict)  # column -> width in characters
    links: dict[str, tuple[str, str]] = field(default_factory=dict)  # cell -> where to, what it says
    legacy_drawing: str | None = None  # relationship id to refer to, where the sheet has none yet
    new_page: int = 0  # first column that is printed on a page of its own, 0 for none

    @property
    def rows(self) -> list[int]:
        """Numbers of the rows that change, in order."""
        return sorted({*self.styles, *self.rows_with_cells})

    @property
    def last_cell(self) -> tuple[int, int]:
        """Furthest row and column that something is written to."""
        columns = (max(cells) for cells in self.styles.values() if cells)
        return max(self.rows, default=0), max(self.last_column, *columns, 0)


def patched(package: Package, part: str, edits: SheetEdits) -> Iterator[bytes]:
    """Yield the bytes of a worksheet part with the edits in it.

    Raises
    ------
    UneditableBookError
        A cell of ours would take the place of one that holds something.
    """
    sheet = SheetRows(package, part, plain=edits.plain)
    patch = _Patch(package, sheet, edits)
    yield patched_head(sheet.head, sheet.prefix, edits.last_cell, edits.widths)
    yield sheet.opening.replace(b"/>", b">") if sheet.is_empty else sheet.opening
    batch, size = [], 0
    for piece in patch.rows():
        batch.append(piece)
        size += len(piece)
        if size > _BATCH:
            yield b"".join(batch)
            batch, size = [], 0
    yield b"".join(batch)
    if sheet.is_empty:
        yield b"</" + sheet.prefix + b"sheetData>"
    yield patched_tail(package, sheet, edits.links, edits.legacy_drawing, edits.new_page)


class _Patch:
    def __init__(self, package: Package, sheet: SheetRows, edits: SheetEdits) -> None:
        self.path = package.path
        self.sheet = sheet
        self.edits = edits
        self.prefix = sheet.prefix
        self.open_row = b"<" + self.prefix + b"row"
        self.close_row = b"</" + self.prefix + b"row>"
        self.close_cell = b"</" + self.prefix + b"c>"
        self.open_cell = b"<" + self.prefix + b"c"

    def rows(self) -> Iterator[bytes]:
        """Yield the rows as they will be, those that are new in their places."""
        waiting = iter(self.edits.rows)
        following = next(waiting, None)
        for row in self.sheet.rows():
            yield row.before
            while following is not None and following < row.number:
                yield self.new_row(following)
                following = next(waiting, None)
            if following == row.number:
                yield self.edited_row(row)
                following = next(waiting, None)
            else:
                yield row.raw
        while following is not None:
            yield self.new_row(following)
            following = next(waiting, None)

    def new_row(self, number: int) -> bytes:
        """Return a row that the sheet does not have."""
        body = self.merged(number, b"", self.edits.cells(number))
        return b'%s r="%d">%s%s' % (self.open_row, number, body, self.close_row)

    def edited_row(self, row: Row) -> bytes:
        """Return a row with new styles and cells; where all are new at its end the rest is not even looked at."""
        ours = self.edits.cells(row.number)
        added = self.added_at_the_end(row, ours)
        if added is not None:
            return added
        body = self.merged(row.number, row.body, ours)
        attributes = _with_span(row.attributes, max(ours, default=0))
        return self.open_row + attributes + b">" + body + self.close_row

    def added_at_the_end(self, row: Row, ours: Cells) -> bytes | None:
        """Return a row with our cells behind its own, None where there is more to do than that."""
        raw, cells = row.raw, b"".join(ours.values())
        last = self.sheet.last_cell(raw, row.start) if ours and row.number not in self.edits.styles else None
        if last is None or last.column >= next(iter(ours)):
            return None
        if b"spans" not in row.attributes:
            return b"%s%s%s" % (raw[: last.end], cells, raw[last.end :])
        attributes = _with_span(row.attributes, next(reversed(ours)))
        return b"%s%s>%s%s%s" % (self.open_row, attributes, raw[row.start : last.end], cells, raw[last.end :])

    def merged(self, number: int, body: bytes, ours: Cells) -> bytes:
        """Return the cells of a row with ours among them, in order of columns."""
        styles = self.edits.styles.get(number, {})
        todo = sorted({*styles, *ours}, reverse=True)
        pieces, position = [], 0
        for cell in self.sheet.cells(body):
            pieces.append(body[position : cell.start])
            position = cell.end
            while todo and todo[-1] < cell.column:
                pieces.append(self.made(number, todo.pop(), ours))
            if todo and todo[-1] == cell.column:
                pieces.append(self.replaced(number, todo.pop(), cell, ours))
            else:
                pieces.append(body[cell.start : cell.end])
        pieces.extend(self.made(number, column, ours) for column in reversed(todo))
        pieces.append(body[position:])
        return b"".join(pieces)

    def made(self, number: int, column: int, ours: Cells) -> bytes:
        """Return a cell where there was none: one of ours, or a blank one that is marked."""
        if column in ours:
            return ours[column]
        style = self.edits.styles[number][column]
        return b'%s r="%s%d" s="%d"/>' % (self.open_cell, column_name(column), number, style)

    def replaced(self, number: int, column: int, cell: CellBytes, ours: Cells) -> bytes:
        """Return a cell of the user's with its new style, or ours in the place of one that is blank."""
        if column not in ours:
            return self.element(number, cell, with_style(cell.attributes, self.edits.styles[number][column]))
        if cell.holds_something:
            where = f"{column_name(column).decode()}{number}"
            raise UneditableBookError(self.path, tr("{cell} would be written over", cell=where))
        return ours[column]

    def element(self, number: int, cell: CellBytes, attributes: bytes) -> bytes:
        """Return a cell of the user's with these attributes and its own content."""
        if not cell.referenced:
            attributes = b' r="%s%d"' % (column_name(cell.column), number) + attributes
        if not cell.content:
            return self.open_cell + attributes + b"/>"
        return self.open_cell + attributes + b">" + cell.content + self.close_cell


def _with_span(attributes: bytes, last: int) -> bytes:
    match = _SPANS.search(attributes)
    if not match or int(match.group(2)) >= last:
        return attributes
    return attributes[: match.start(2)] + b"%d" % last + attributes[match.end(2) :]
