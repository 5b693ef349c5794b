"""What stands beside a row of a table in words: remarks, and the superfat that a remark or a section title states."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

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
    inside = inside[ids[grid.row[inside]] >= 0]
    texts = grid.text[inside].tolist()
    speaking = {text for text in set(texts) if speaks_of_superfat(text)}
    cells = zip(ids[grid.row[inside]].tolist(), grid.column[inside].tolist(), texts, strict=True)
    for place, (recipe, column, text) in enumerate(cells):
        if column in remarks and (remark := _remark(text)):
            sheet.found.drafts[recipe].remarks.append(remark)
        if text in speaking:
            _state(sheet, recipe, grid.at(int(inside[place])), "remark")
    for recipe in ids[ids >= 0].tolist() if sections else ():
        _state_section(sheet, recipe, sections)


@lru_cache(maxsize=4096)
def _remark(text: str) -> str:
    """Return a text as a remark, "" where it says that there is none."""
    return "" if is_nothing(text) else clean(text)


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
