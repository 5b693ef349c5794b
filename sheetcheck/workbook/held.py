"""What the cells of a book held when it was read: for live formulas, and for suggestions on cells with a formula."""

from __future__ import annotations

from collections.abc import Mapping

from sheetcheck.model import SheetCells
from sheetcheck.workbook.grid import Grid, Kind, Workbook
from sheetcheck.workbook.ranges import cells_named, parse_cell

MOST_CELLS = 200_000  # of a book; a larger one has no live formulas, and the memory is better used

_WITH_A_NUMBER = (Kind.NUMBER, Kind.BOOL, Kind.DATE)


def cells_held(workbook: Workbook) -> Mapping[str, SheetCells]:
    """Return the cells of each sheet; none of a very large book."""
    if sum(len(grid.row) for grid in workbook.grids) > MOST_CELLS:
        return {}
    return {grid.name: SheetCells(_held(grid), dict(grid.formulas)) for grid in workbook.grids}


def _held(grid: Grid) -> dict[tuple[int, int], str | float]:
    held: dict[tuple[int, int], str | float] = dict.fromkeys(grid.formulas, "")
    columns = (grid.row, grid.column, grid.kind, grid.number, grid.text)
    for row, column, kind, number, text in zip(*(c.tolist() for c in columns), strict=True):
        held[row, column] = number if kind in _WITH_A_NUMBER else text
    return held


def reads_from(cells: Mapping[str, SheetCells], sheet: str, cell: str, most: int = 3) -> tuple[str, ...]:
    """Return the cells that the formula in a cell reads, as seen from its sheet; none where it holds no formula."""
    place = parse_cell(cell)
    formula = cells[sheet].formulas.get(place) if place is not None and sheet in cells else None
    return tuple(dict.fromkeys(cells_named(formula)))[:most] if formula else ()
