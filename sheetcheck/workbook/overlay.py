"""A workbook file with the cells laid over it that read differently on the screen of a spreadsheet program.

Only those cells change, and the chain of calculation, which the programs build anew; all else keeps its bytes.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path

from sheetcheck.errors import UneditableBookError
from sheetcheck.model import address
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Grid, Kind
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.places import PlaceError, split_range
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.replacing import replacing, store
from sheetcheck.workbook.sheet_overlay import ScreenCell, ScreenStyles, SheetOverlay
from sheetcheck.workbook.zip_copy import ZipCopy


def lay_over(book: Path, target: Path, cells: Sequence[ScreenCell]) -> None:
    """Write a workbook file with these cells in it; `book` is only read.

    Raises
    ------
    UneditableBookError
        A cell cannot be laid over it: its sheet is not there, or it is the heading of a table.
    BookError, CopyError
    """
    by_sheet: dict[str, list[ScreenCell]] = defaultdict(list)
    for cell in cells:
        by_sheet[cell.sheet].append(cell)
    with Package.open(book) as package:
        edit = PackageEdit(package)
        styles = ScreenStyles(edit)
        sheets = {sheet.name: sheet for sheet in package.sheets if sheet.is_worksheet}
        for name, here in by_sheet.items():
            if name not in sheets:
                raise UneditableBookError(book, tr('the sheet "{sheet}" is not in the file', sheet=name))
            _refuse_headings_of_tables(package, sheets[name], here)
            edit.put(sheets[name].part, b"".join(SheetOverlay(package, sheets[name], here, styles).pieces()))
        styles.put()
        _drop_calculation_chain(edit)
        with replacing(target) as (file, draft):
            out = ZipCopy(file)
            edit.write(out)
            out.finish()
            store(file)
            _check(book, draft, by_sheet)


def _drop_calculation_chain(edit: PackageEdit) -> None:
    """Leave out the list of cells with formulas: one that names a cell without a formula is taken for damage."""
    book = edit.source.workbook_part
    for relationship in edit.relationships(book):
        if relationship.kind == "calcChain" and not relationship.external:
            edit.unrelate(book, relationship.id)
            if relationship.target in edit:
                edit.remove(relationship.target)


def _refuse_headings_of_tables(package: Package, sheet: SheetEntry, cells: Iterable[ScreenCell]) -> None:
    """Refuse cells that a table keeps a second time: where the two differ, the programs take the file for damaged."""
    for relationship in package.relationships(sheet.part):
        if relationship.kind != "table" or relationship.external or relationship.target not in package:
            continue
        table = package.tree(relationship.target)
        try:
            first_row, first_column, last_row, last_column = split_range(table.get("ref", ""))
        except PlaceError:
            continue
        headings = range(first_row, first_row + int(table.get("headerRowCount", "1")))
        totals = range(last_row - int(table.get("totalsRowCount", "0")) + 1, last_row + 1)
        for cell in cells:
            if cell.column in range(first_column, last_column + 1) and (cell.row in headings or cell.row in totals):
                where = f"{sheet.name}!{address(cell.row, cell.column)}"
                said = tr("{cell}, a heading or a total of a table, was changed", cell=where)
                raise UneditableBookError(package.path, said)


# --------------------------------------------------------------------------- check


def _check(book: Path, draft: Path, by_sheet: Mapping[str, Sequence[ScreenCell]]) -> None:
    """Read the new file back: the cells laid over it are there, and no cell but those is another."""
    before = {grid.name: grid for grid in read_workbook(book).grids}
    after = {grid.name: grid for grid in read_workbook(draft).grids}
    for name, grid in before.items():
        ours = {(cell.row, cell.column): cell for cell in by_sheet.get(name, ())}
        wrong = next(_differing(grid, after.get(name), ours), None)
        if wrong is not None:
            where = f"{name}!{address(*wrong)}"
            raise UneditableBookError(book, tr("{cell} did not come out as it is on the screen", cell=where))


def _differing(
    before: Grid, after: Grid | None, ours: Mapping[tuple[int, int], ScreenCell]
) -> Iterator[tuple[int, int]]:
    """Yield the places that are neither as they were nor as they were to be."""
    if after is None:
        yield 1, 1
        return
    columns = (chain(a, b) for a, b in zip(_places(before), _places(after), strict=True))
    for place in {*zip(*columns, strict=True), *ours}:
        new, cell = after.cell(*place), ours.get(place)
        if not (_is_laid(new, cell) if cell else _is_same(before.cell(*place), new)):
            yield place


def _places(grid: Grid) -> tuple[list[int], list[int]]:
    return grid.row.tolist(), grid.column.tolist()


def _is_same(old: Cell | None, new: Cell | None) -> bool:
    if old is None or new is None:
        return old is new
    return (old.kind, old.text, repr(old.number), old.formula) == (new.kind, new.text, repr(new.number), new.formula)


def _is_laid(new: Cell | None, cell: ScreenCell) -> bool:
    if cell.value is None or cell.value == "":
        return new is None or new.kind is Kind.EMPTY_FORMULA or not new.text
    if new is None:
        return False
    if isinstance(cell.value, str):
        return (new.kind is Kind.ERROR) is cell.is_error
    return not math.isnan(new.number)
