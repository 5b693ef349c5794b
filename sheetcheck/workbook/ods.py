"""OpenDocument sheets (.ods), read as a stream; repeated cells and rows are counted before they are written out."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from sheetcheck.errors import DamagedBookError, EncryptedBookError, HostileBookError
from sheetcheck.words import Sentence, number, tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.archive import Archive
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.grid import Grid
from sheetcheck.workbook.grid_builder import GridBuilder
from sheetcheck.workbook.notices import SIGNED, hidden
from sheetcheck.workbook.ods_cells import OdsCell, cells_of, repeats
from sheetcheck.workbook.ods_styles import NAMESPACES, OdsStyles, get
from sheetcheck.workbook.places import LAST_COLUMN, LAST_ROW

_CONTENT = "content.xml"
_SPREADSHEET = f"{{{NAMESPACES['office']}}}spreadsheet"
_TABLE, _COLUMN, _ROW = (f"{{{NAMESPACES['table']}}}{name}" for name in ("table", "table-column", "table-row"))
_STYLES = f"{{{NAMESPACES['office']}}}automatic-styles"
_HIDDEN = ("collapse", "filter")
_LINKED = "'file:"  # a sheet of another file, kept by name beside the user's own


def read_ods(archive: Archive) -> tuple[tuple[Grid, ...], tuple[str, ...]]:
    """Return the grids of an OpenDocument spreadsheet, and what there is to say of it as a whole.

    Raises
    ------
    EncryptedBookError, DamagedBookError, HostileBookError
        Where it cannot be read.
    """
    if "META-INF/manifest.xml" in archive and b"encryption-data" in archive.read("META-INF/manifest.xml"):
        raise EncryptedBookError(archive.path)
    styles = OdsStyles()
    if "styles.xml" in archive:
        styles.add(archive.tree("styles.xml"))
    reader = _OdsReader(archive, styles)
    with archive.parsing(_CONTENT):
        for event, element in _events(archive):
            reader.take(event, element)
    if not reader.grids:
        raise DamagedBookError(archive.path, tr("it holds no sheets"))
    return tuple(reader.grids), tuple(_notices(archive, reader))


def _events(archive: Archive) -> Iterator[tuple[str, etree._Element]]:
    """Yield the elements that matter as they end (tables also as they start); rows are dropped once they were used."""
    parser = safe_xml.PullParser((_TABLE, _COLUMN, _ROW, _STYLES))
    kept = 0
    for chunk in safe_xml.without_document_type(archive.chunks(_CONTENT)):
        kept += len(chunk)
        if kept > archive.limits.tree_bytes:
            said = tr("{part} has a row of more than {size} MB", part=_CONTENT, size=number(kept >> 20, 0))
            raise HostileBookError(archive.path, said)
        for event, element in parser.feed(chunk):
            yield event, element
            if event == "end" and element.tag == _ROW:
                kept = 0
                safe_xml.drop(element)
    parser.close()


class _OdsReader:
    def __init__(self, archive: Archive, styles: OdsStyles) -> None:
        self.grids: list[Grid] = []
        self.linked = 0
        self._archive = archive
        self._budget = Budget(archive.path, archive.limits)
        self._styles = styles
        self._table: etree._Element | None = None

    def take(self, event: str, element: etree._Element) -> None:
        """Take one event of the parser."""
        if event == "start":
            parent = element.getparent()
            if element.tag == _TABLE and self._table is None and parent is not None and parent.tag == _SPREADSHEET:
                self._begin(element)
        elif element.tag == _STYLES:
            self._styles.add(element)
        elif element is self._table:
            self._finish(element)
        elif self._table is not None and element.tag == _COLUMN:
            self._column(element)
        elif self._table is not None and element.tag == _ROW:
            self._row(element)

    def _begin(self, table: etree._Element) -> None:
        self._table = table
        self._builder = GridBuilder(self._archive.path, get(table, "table:name"), self._budget)
        self._next_row = 1
        self._column_styles: list[tuple[int, str]] = []  # last column and the style of its blank cells
        self._hidden_rows: list[range] = []
        self._hidden_columns: set[int] = set()

    def _finish(self, table: etree._Element) -> None:
        self._table = None
        if self._builder.name.startswith(_LINKED):
            self.linked += 1
            return
        if len(self.grids) >= self._archive.limits.sheets:
            most = number(self._archive.limits.sheets, 0)
            raise HostileBookError(self._archive.path, tr("more than {count} sheets", count=most))
        self.grids.append(
            self._builder.grid(
                self._styles.cell_styles,
                hidden_rows=(row for rows in self._hidden_rows for row in rows if row <= self._builder.last_row),
                hidden_columns=self._hidden_columns,
                hidden=self._styles.hides_table(get(table, "table:style-name")),
            )
        )

    def _column(self, element: etree._Element) -> None:
        first = self._column_styles[-1][0] + 1 if self._column_styles else 1
        last = min(first - 1 + repeats(element, "table:number-columns-repeated"), LAST_COLUMN)
        self._column_styles.append((last, get(element, "table:default-cell-style-name")))
        if get(element, "table:visibility") in _HIDDEN:
            self._hidden_columns.update(range(first, last + 1))

    def _row(self, element: etree._Element) -> None:
        count = repeats(element, "table:number-rows-repeated")
        rows = range(self._next_row, self._next_row + count)
        self._next_row += count
        if get(element, "table:visibility") in _HIDDEN:
            self._hidden_rows.append(range(rows.start, min(rows.stop, LAST_ROW + 1)))
        cells = list(cells_of(element))
        filled = sum(cell.repeated for cell in cells if cell.kind is not None)
        self._budget.require_cells(filled * count)
        if not filled and not any(cell.note or cell.spans != (1, 1) for cell in cells):
            return
        default = get(element, "table:default-cell-style-name")
        for row in rows:
            self._cells(row, cells, default)

    def _cells(self, row: int, cells: list[OdsCell], default_style: str) -> None:
        column = 1
        for cell in cells:
            if cell.kind is not None or cell.note or cell.spans != (1, 1):
                for place in range(column, column + cell.repeated):
                    self._cell(row, place, cell, default_style)
            column += cell.repeated

    def _cell(self, row: int, column: int, cell: OdsCell, default_style: str) -> None:
        builder, place = self._builder, (row, column)
        if cell.kind is not None:
            style = self._styles.index(cell.style or default_style or self._style_of_column(column))
            builder.add(row, column, cell.kind, number=cell.number, text=cell.text, style=style)
        if cell.formula is not None:
            builder.formulas[place] = cell.formula
        if cell.note:
            builder.notes[place] = cell.note
        if cell.spans != (1, 1):
            builder.merges.append((row, column, row + cell.spans[0] - 1, column + cell.spans[1] - 1))

    def _style_of_column(self, column: int) -> str:
        return next((style for last, style in self._column_styles if column <= last), "")


def _notices(archive: Archive, reader: _OdsReader) -> Iterator[str]:
    if "META-INF/documentsignatures.xml" in archive:
        yield SIGNED
    if any(name.startswith(("basic/", "scripts/")) for name in archive.entries):
        yield Sentence("The workbook contains macros; they are never run.")
    if reader.linked:
        yield Sentence("Formulas take values from other workbooks; the values last stored are used.")
    for grid in reader.grids:
        if grid.hidden:
            yield hidden(grid.name)
