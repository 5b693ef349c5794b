"""What stands beside a row of a table in words: remarks, and the superfat that a remark or a section title states."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.entries import is_nothing
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import speaks_of_superfat, superfat_stated
from sheetcheck.reading.tables import Column, Table
from sheetcheck.reading.text import clean
from sheetcheck.workbook.grid import Cell, Kind

_SPOKEN = ("notes", "additive")


def add_remarks(sheet: Sheet, table: Table, ids: NDArray[np.int32], sections: Sequence[Cell]) -> None:
    """Add the remarks of each row and the superfat stated in remarks, names and section titles."""
    grid = sheet.grid
    start = int(np.searchsorted(grid.row, table.last_heading_row, "right"))
    end = int(np.searchsorted(grid.row, table.last_row, "right"))
    spoken = [c.index for c in table.columns if _speaks(c)]
    inside = start + np.flatnonzero(np.isin(grid.column[start:end], spoken) & (grid.kind[start:end] == Kind.TEXT))
    remarks = {c.index for c in table.of_role(*_SPOKEN)}
    for i in inside.tolist():
        recipe = int(ids[grid.row[i]])
        if recipe < 0:
            continue
        text, column = str(grid.text[i]), int(grid.column[i])
        if column in remarks and not is_nothing(text):
            sheet.found.drafts[recipe].remarks.append(clean(text))
        if speaks_of_superfat(text):
            _state(sheet, recipe, grid.at(i), "remark")
    for recipe in ids[ids >= 0].tolist() if sections else ():
        _state_section(sheet, recipe, sections)


def _speaks(column: Column) -> bool:
    return column.role in ("notes", "recipe") or (column.role == "additive" and column.substance is None)


def _state_section(sheet: Sheet, recipe: int, sections: Sequence[Cell]) -> None:
    draft = sheet.found.drafts[recipe]
    above = [c for c in sections if c.row < draft.row]
    if above:
        _state(sheet, recipe, above[-1], "section")


def _state(sheet: Sheet, recipe: int, cell: Cell, place: str) -> None:
    stated = superfat_stated(recipe, sheet, cell, place)
    if stated is not None:
        sheet.found.statements.append(stated)
