"""From marks to edits: which cell, which columns, which sheet, and what cannot be marked and why."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice

from sheetcheck.model import ACROSS_A_PAGE, CellMark, CopyReport, Mark, NewSheet, ResultColumns, Signal, address
from sheetcheck.words import tr
from sheetcheck.workbook import original
from sheetcheck.workbook.graft import Graft
from sheetcheck.workbook.new_sheets import StyleKey, build, style_key
from sheetcheck.workbook.notes_patch import add_notes, cells_with_notes
from sheetcheck.workbook.opens_on import open_on
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.placement import first_columns
from sheetcheck.workbook.ranges import Area, parse_cell, quoted
from sheetcheck.workbook.record import MarkedColumn, Record, note_digest, record_sheet
from sheetcheck.workbook.result_cells import ResultCells
from sheetcheck.workbook.results import PlacedColumns, own_sheet
from sheetcheck.workbook.sheet_facts import SheetFacts, formulas_about, look
from sheetcheck.workbook.sheet_patch import SheetEdits, patched
from sheetcheck.workbook.styles_patch import StylesPatch
from sheetcheck.workbook.tabs import LONGEST_NAME, named, tab_name

_MOST_NOTES = 5_000  # of ours on one sheet: the programs draw each as a shape and become slow
_MOST_LINKS = 60_000  # of ours on one sheet (Excel specifications and limits: 65,530)
_LARGE_SHEET = 4 << 20

_RANKS = {signal.value: float(signal.rank) for signal in Signal}

Cell = tuple[int, int]


@dataclass
class SheetMarks:
    """What is to be done on one sheet of the user's."""

    sheet: SheetEntry
    signals: dict[Cell, str] = field(default_factory=dict)
    notes: dict[Cell, str] = field(default_factory=dict)
    blocks: list[ResultColumns] = field(default_factory=list)
    placed: list[PlacedColumns] = field(default_factory=list)
    facts: SheetFacts = field(default_factory=SheetFacts)
    edits: SheetEdits = field(default_factory=SheetEdits)

    def fits_beside(self, placed: PlacedColumns) -> bool:
        """Whether a block of results fits on a printed page with all that stands before it."""
        return self.facts.width_before(placed.first_column) + sum(placed.widths().values()) <= ACROSS_A_PAGE

    @cached_property
    def _by_row(self) -> dict[int, list[PlacedColumns]]:
        found: dict[int, list[PlacedColumns]] = {}
        for placed in self.placed:
            for row in placed.rows:
                found.setdefault(row, []).append(placed)
        return found

    def placed_in(self, row: int) -> Sequence[PlacedColumns]:
        """Return the blocks of results that may have a cell in a row."""
        return self.placed if len(self.placed) < 2 else self._by_row.get(row, ())

    def added_columns(self, row: int) -> set[int]:
        """Return the columns of a row that may get a cell of ours."""
        return {column for placed in self.placed_in(row) for column in placed.columns_in(row)}

    def restyled_columns(self, row: int) -> Collection[int]:
        """Return the columns of a row whose cells get another fill."""
        return self.edits.styles.get(row, ())


class Marking:
    """The marks for one book, worked out on construction; `edit` is what then has to be written."""

    def __init__(self, book: Package, marks: Sequence[Mark]) -> None:
        self.book = book
        self.edit = PackageEdit(book)
        self.styles = StylesPatch(self.edit)
        self.skipped: list[tuple[str, str, str]] = []
        self.warnings: list[str] = []
        self.marked = 0
        if any(relationship.type.endswith("/digital-signature/origin") for relationship in book.relationships()):
            self.warnings.append(
                tr("The book is signed. The copy is not the file that was signed: its signature no longer holds.")
            )
        self.sheets = self._sort(marks)
        self.new_sheets = [mark for mark in marks if isinstance(mark, NewSheet)]
        for marks_here in self.sheets:
            self._look(marks_here)
        self._place()
        self._choose_names()
        self._fill()
        self._write()

    def report(self) -> CopyReport:
        """Return what was marked and what was not."""
        return CopyReport(self.marked, tuple(self.skipped), tuple(self.warnings))

    # ------------------------------------------------------------------ what goes where

    def _sort(self, marks: Sequence[Mark]) -> list[SheetMarks]:
        known = {sheet.name: sheet for sheet in self.book.sheets}
        found: dict[str, SheetMarks] = {}
        for mark in marks:
            if isinstance(mark, NewSheet):
                continue
            sheet = known.get(mark.sheet)
            where = mark.cell if isinstance(mark, CellMark) else tr("result columns")
            if sheet is None or not sheet.is_worksheet:
                reason = (
                    tr("there is no such sheet")
                    if sheet is None
                    else tr("it is a {kind}, which has no cells to mark", kind=sheet.kind)
                )
                self.skipped.append((mark.sheet, where, reason))
                continue
            here = found.setdefault(mark.sheet, SheetMarks(sheet))
            if isinstance(mark, ResultColumns):
                here.blocks.append(mark)
            elif cell := parse_cell(mark.cell):
                _add_cell_mark(here, cell, mark)
            else:
                self.skipped.append((mark.sheet, mark.cell, tr("there is no such cell")))
        return list(found.values())

    def _look(self, here: SheetMarks) -> None:
        """Learn what stands on the sheet; marks inside merged ranges go to the cell that is shown."""
        here.facts = look(self.book, here.sheet, here.signals)
        anchors = {cell: here.facts.anchor(*cell) for cell in here.signals}
        if any(cell != anchor for cell, anchor in anchors.items()):
            signals, notes = here.signals, here.notes
            here.signals, here.notes = {}, {}
            for cell, anchor in anchors.items():
                _add_signal(here, anchor, signals[cell], notes.get(cell))
            here.facts = look(self.book, here.sheet, here.signals)

    def _place(self) -> None:
        for here in self.sheets:
            if here.blocks:
                summed = list(self._summed_elsewhere(here.sheet))
                columns = first_columns(here.facts, here.blocks, summed)
                placed = zip(here.blocks, columns, strict=True)
                here.placed = [PlacedColumns(block, column) for block, column in placed if column is not None]
                homeless = [block for block, column in zip(here.blocks, columns, strict=True) if column is None]
                if homeless:
                    self._give_own_sheet(here.sheet.name, homeless)

    def _summed_elsewhere(self, sheet: SheetEntry) -> Iterator[Area]:
        """Ranges on a sheet that formulas of the others take in."""
        return (area for part, area in self._summed_from.get(sheet.name.lower(), ()) if part != sheet.part)

    @cached_property
    def _summed_from(self) -> dict[str, list[tuple[str, Area]]]:
        """By name of a sheet, the ranges on it that formulas take in, and the part of the sheet where these stand."""
        seen = {here.sheet.part: here.facts.formulas_elsewhere for here in self.sheets}
        found: dict[str, list[tuple[str, Area]]] = {}
        for other in self.book.sheets:
            if other.is_worksheet:
                areas = seen.get(other.part)
                for on, area in formulas_about(self.book, other) if areas is None else areas:
                    found.setdefault(on, []).append((other.part, area))
        return found

    def _give_own_sheet(self, sheet: str, blocks: Sequence[ResultColumns]) -> None:
        name = tr("Results - {sheet}", sheet=sheet)[:LONGEST_NAME]
        self.new_sheets.append(own_sheet(name, sheet, blocks))
        self.warnings.append(
            tr(
                "There is no room beside the rows of {sheet}: their results stand on the sheet {name}.",
                sheet=sheet,
                name=name,
            )
        )

    def _choose_names(self) -> None:
        """No two sheets may have one name, whatever the case; what refers to a renamed sheet of ours follows it."""
        taken = {sheet.name.lower() for sheet in self.book.sheets}
        names: dict[str, str] = {}
        for sheet in self.new_sheets:
            wanted, number = tab_name(sheet.name), 2
            name = wanted
            while name.lower() in taken:
                ending = f" ({number})"
                name, number = wanted[: LONGEST_NAME - len(ending)] + ending, number + 1
            taken.add(name.lower())
            if name != sheet.name:
                names[sheet.name] = name
        self.new_names = names
        self.new_sheets = named(self.new_sheets, names)

    # ------------------------------------------------------------------ what is to be written

    def _fill(self) -> None:
        """Give each marked cell its format; where none is left, say so."""
        for here in self.sheets:
            for (row, column), signal in here.signals.items():
                style = self.styles.marked(here.facts.style_before(row, column), signal)
                if style is None:
                    self.skipped.append(
                        (here.sheet.name, address(row, column), tr("the book has too many different fills"))
                    )
                else:
                    here.edits.styles.setdefault(row, {})[column] = style
                    self.marked += 1

    def _write(self) -> None:
        keys = {style_key(content) for here in self.sheets for placed in here.placed for content in placed.contents()}
        for here in self.sheets:
            self._choose_notes(here)
        names = [sheet.name for sheet in self.new_sheets]
        record = record_sheet(self._record(), (*names, *(sheet.name for sheet in self.book.sheets)))
        built = build(self.new_sheets, sorted(keys), self.styles.default_font(), record)
        graft = Graft(self.edit, self.styles, built)
        for here in self.sheets:
            self._write_sheet(here, graft.styles())
        graft.sheets()
        for sheet in self.new_sheets:
            if sheet.first:
                open_on(self.edit, sheet.name)
        self.styles.put()
        original.announce(self.edit)

    def _record(self) -> Record:
        columns = (
            MarkedColumn(here.sheet.name, Area(first, column, last, column), here.facts.stated_width(column))
            for here in self.sheets
            for placed in here.placed
            for column, first, last in placed.columns()
        )
        return Record(
            sheets=tuple(sheet.name for sheet in self.new_sheets),
            columns=tuple(columns),
            fills=tuple(self.styles.used_fills),
            theme=self.styles.theme.digest,
            notes=frozenset(note_digest(note) for here in self.sheets for note in here.notes.values()),
        )

    def _choose_notes(self, here: SheetMarks) -> None:
        taken = cells_with_notes(self.edit, here.sheet.part)
        for number, cell in enumerate(sorted(here.notes)):
            reason = (
                tr("it has a note already: the cell is coloured, its note is left out")
                if address(*cell) in taken
                else tr("more notes than a sheet can show: the cell is coloured, its note is left out")
                if number >= _MOST_NOTES
                else ""
            )
            if reason:
                del here.notes[cell]
                self.skipped.append((here.sheet.name, address(*cell), reason))

    def _write_sheet(self, here: SheetMarks, formats: dict[StyleKey, int]) -> None:
        part, edits = here.sheet.part, here.edits
        edits.plain = here.facts.plain
        edits.cells = ResultCells(here.placed_in, formats, self.new_names, here.facts.prefix)
        for placed in here.placed:
            edits.widths.update(placed.widths())
            if placed.block.new_page and not here.fits_beside(placed):
                edits.new_page = min(edits.new_page or placed.first_column, placed.first_column)
            edits.rows_with_cells |= placed.rows
            edits.last_column = max(edits.last_column, *(column for column, _, _ in placed.columns()))
        edits.links = dict(islice(self._links(here), _MOST_LINKS))
        if here.notes:
            edits.legacy_drawing = add_notes(self.edit, part, here.facts, here.notes)
        size = self.book.archive.info(part).file_size
        self.edit.put_pieces(part, lambda: patched(self.book, part, edits), large=size > _LARGE_SHEET)

    def _links(self, here: SheetMarks) -> Iterator[tuple[str, tuple[str, str]]]:
        for placed in here.placed:
            for row, column, link in placed.links():
                sheet = self.new_names.get(link.sheet, link.sheet)
                yield address(row, column), (f"{quoted(sheet)}!{link.cell}", link.text)


def _add_cell_mark(here: SheetMarks, cell: Cell, mark: CellMark) -> None:
    _add_signal(here, cell, str(mark.signal), mark.note)


def _rank(signal: str) -> float:
    """Order signals; what was not checked stands between a caution and a notice."""
    return _RANKS.get(signal, 1.5)


def _add_signal(here: SheetMarks, cell: Cell, signal: str, note: str | None) -> None:
    """Mark a cell: the worst signal colours it, all notes stand in one."""
    before = here.signals.get(cell)
    here.signals[cell] = signal if before is None or _rank(signal) > _rank(before) else before
    if note:
        here.notes[cell] = f"{here.notes[cell]}\n\n{note}" if cell in here.notes else note
