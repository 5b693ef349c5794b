"""A copy checked before it appears: what was not to change is the same, what is new is sound."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from sheetcheck.errors import BookError, UneditableBookError
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.archive import Archive, folded
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.record import Record
from sheetcheck.workbook.sheet_rows import CellBytes, Row, SheetRows, style_index

if TYPE_CHECKING:
    from sheetcheck.workbook.marking import Marking

_OURS = 100  # sheets that a copy may have beyond the book: at the limit, it is the book that counts
_PIECE = 1 << 20
_LOCAL_HEADER = 30


class _Fault(Exception):  # noqa: N818 - becomes an UneditableBookError that names the book
    pass


def check_marked(marking: Marking, draft: Path) -> None:
    """Compare a book and the marked copy of it.

    Raises
    ------
    UneditableBookError
        Something of the book would be lost, or a part of the copy is not sound.
    """
    book = marking.book

    def compare(copy: Package) -> None:
        names = [sheet.name for sheet in copy.sheets]
        if names[: len(book.sheets)] != [sheet.name for sheet in book.sheets]:
            raise _Fault(tr("its sheets are not the book's"))
        for here in marking.sheets:
            before = SheetRows(book, here.sheet.part, plain=here.facts.plain)
            after = SheetRows(copy, here.sheet.part, plain=True)
            _Comparison(here.sheet.name, before, after, here.added_columns, here.restyled_columns).run()

    _check(marking.edit, draft, compare)


def check_unmarked(edit: PackageEdit, draft: Path, record: Record) -> None:
    """Compare a copy and the workbook that is left when the marks are taken off; raises as `check_marked`."""
    copy = edit.source
    ours = {name.lower() for name in record.sheets}

    def compare(result: Package) -> None:
        users = [sheet for sheet in copy.sheets if sheet.name.lower() not in ours]
        if [sheet.name for sheet in result.sheets] != [sheet.name for sheet in users]:
            raise _Fault(tr("its sheets are not the user's"))
        parts = {sheet.name: sheet.part for sheet in result.sheets}
        for sheet in users:
            if sheet.is_worksheet:
                before, after = SheetRows(result, parts[sheet.name]), SheetRows(copy, sheet.part)
                _Comparison(sheet.name, before, after, _columns_of(record, sheet.name), None).run()

    _check(edit, draft, compare)


def _columns_of(record: Record, sheet: str) -> Columns:
    areas = [column.area for column in record.columns if column.sheet.lower() == sheet.lower()]
    return lambda row: {area.first_column for area in areas if area.meets_rows(row, row)}


def _check(edit: PackageEdit, draft: Path, compare: Callable[[Package], None]) -> None:
    try:
        limits = edit.source.limits
        room = replace(limits, sheets=limits.sheets + _OURS, parts=limits.parts + 9 * _OURS)
        with Package.open(draft, room) as result:
            _compare_untouched(edit, result)
            for part in _changed_xml(edit):
                _check_well_formed(result, part)
            _check_targets(edit, result)
            compare(result)
    except (BookError, _Fault) as error:
        detail = error.detail or tr(error.meaning) if isinstance(error, BookError) else str(error)
        said = tr("the copy did not pass its own check: {detail}", detail=detail)
        raise UneditableBookError(edit.source.path, said) from error


# ---------------------------------------------------------------------- parts


def _compare_untouched(edit: PackageEdit, result: Package) -> None:
    """See that the packed bytes of every part that was not to change are those of the source."""
    source = edit.source.archive
    for key, info in source.entries.items():
        if key in edit.changed or key in edit.removed:
            continue
        copied = result.archive.entries.get(key)
        if copied is None or copied.filename != info.filename or copied.CRC != info.CRC:
            raise _Fault(tr("{part} is not the same", part=info.filename))
        for _ in edit.source.chunks(info.filename):
            pass  # a part that is broken in the book would be broken in the copy
        for before, after in zip(_packed(source, key), _packed(result.archive, key), strict=True):
            if before != after:
                raise _Fault(tr("{part} is not the same", part=info.filename))


def _packed(archive: Archive, key: str) -> Iterator[bytes]:
    """Yield the bytes of a part as they are packed in the file."""
    info, file = archive.entries[key], archive.file
    file.seek(info.header_offset)
    header = file.read(_LOCAL_HEADER)
    position = (
        info.header_offset
        + _LOCAL_HEADER
        + int.from_bytes(header[26:28], "little")
        + int.from_bytes(header[28:30], "little")
    )
    left = info.compress_size
    while left > 0:
        file.seek(position)
        piece = file.read(min(left, _PIECE))
        if not piece:
            raise _Fault(tr("{part} is cut short", part=info.filename))
        yield piece
        position += len(piece)
        left -= len(piece)


def _changed_xml(edit: PackageEdit) -> list[str]:
    """Names of changed parts that must be well-formed; drawings of notes need not have been before either."""
    return [name for name, _ in edit.changed.values() if name.lower().endswith((".xml", ".rels"))]


def _check_well_formed(result: Package, part: str) -> None:
    try:
        safe_xml.feed(safe_xml.stream_parser(), result.chunks(part))
    except (safe_xml.BrokenXmlError, safe_xml.RefusedXmlError) as error:
        raise _Fault(tr("{part} is not well-formed: {error}", part=part, error=error)) from error


def _check_targets(edit: PackageEdit, result: Package) -> None:
    """See that what our relationships lead to is there."""
    for part in ("", edit.source.workbook_part, *(sheet.part for sheet in result.sheets if sheet.part)):
        for relationship in result.relationships(part):
            missing = not relationship.external and relationship.target not in result
            if missing and folded(relationship.target) in edit.changed:
                raise _Fault(tr("{part} is missing", part=relationship.target))


# ---------------------------------------------------------------------- rows

Columns = Callable[[int], Collection[int]]


@dataclass(frozen=True)
class _Comparison:
    """One sheet with and without marks: every cell is the same in both, but for what was to be added or restyled."""

    sheet: str
    without: SheetRows
    with_marks: SheetRows
    added: Columns  # of a row: columns that get a cell
    restyled: Columns | None  # of a row: columns whose cells get another style; None where any may have

    def run(self) -> None:
        """Go through all rows."""
        expected = self.without.rows()
        wanted = next(expected, None)
        for row in self.with_marks.rows():
            if wanted is None or row.number < wanted.number:
                self.compare_row(b"", row)
                continue
            if row.number > wanted.number:
                break
            if row.raw != wanted.raw and not self.only_more_at_the_end(wanted, row):
                self.compare_row(wanted.body, row)
            wanted = next(expected, None)
        if wanted is not None:
            raise _Fault(tr("row {row} of {sheet} is missing", row=wanted.number, sheet=self.sheet))

    def only_more_at_the_end(self, before: Row, row: Row) -> bool:
        """Tell whether a row goes on with new cells where its cells ended before, no more of them than were to be."""
        cells = before.body
        if not cells or not row.raw.startswith(cells, row.start) or (self.restyled and self.restyled(row.number)):
            return False
        if self.with_marks.count_cells(row.raw, row.start + len(cells)) > len(self.added(row.number)):
            where = {"sheet": self.sheet, "row": row.number}
            raise _Fault(tr("{sheet}, row {row}: there are cells that were not to be", **where))
        return True

    def compare_row(self, before: bytes, row: Row) -> None:
        """Compare the cells of a row, `before` being those without marks."""
        added = self.added(row.number)
        restyled = self.restyled(row.number) if self.restyled else None
        where = tr("{sheet}, row {row}", sheet=self.sheet, row=row.number)
        cells = {cell.column: cell for cell in self.without.cells(before)}
        for cell in self.with_marks.cells(row.body):
            known = cells.pop(cell.column, None)
            if cell.column in added and (known is None or not known.holds_something):
                continue
            if known is not None:
                _compare_cell(known, cell, where, restyled=restyled is None or cell.column in restyled)
            elif cell.holds_something:
                said = tr(
                    "{where}: there is a cell in column {column} that was not to be", where=where, column=cell.column
                )
                raise _Fault(said)
        if cells:
            raise _Fault(tr("{where}: the cell in column {column} is missing", where=where, column=min(cells)))


def _compare_cell(before: CellBytes, after: CellBytes, where: str, *, restyled: bool) -> None:
    if before.content != after.content and b"#REF!" not in before.content:
        raise _Fault(tr("{where}: column {column} holds something else", where=where, column=after.column))
    if not restyled and style_index(before.attributes) != style_index(after.attributes):
        raise _Fault(tr("{where}: column {column} has another format", where=where, column=after.column))
