"""What stands beside a row of a table in words: remarks, and the superfat that a remark or a section title states."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.entries import is_nothing
from sheetcheck.reading.remarks import closes
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, speaks_of_superfat, superfat_said, superfat_stated
from sheetcheck.reading.tables.roles_by_arithmetic import superfat_by_row
from sheetcheck.reading.tables.rows import Rows
from sheetcheck.reading.tables.table import Column, Table
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
    at = (grid.row[inside].tolist(), grid.column[inside].tolist())
    for place, (row, column, text) in enumerate(zip(*at, texts, strict=True)):
        recipe = int(ids[row])
        if column in remarks and (remark := _remark(text)):
            sheet.found.drafts[recipe].remark(row, column, remark)
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


# --------------------------------------------------------------------------- in a line of its own, or far to the right


def take_closing_remarks(sheet: Sheet, table: Table, rows: Rows) -> list[tuple[int, Cell]]:
    """Take from the section titles, in place, what closes the row above it; return it with that row."""
    stating = [c for c in rows.sections if speaks_of_superfat(c.text)]
    if not stating or not len(rows.recipes):
        return []
    superfat = superfat_by_row(sheet, table)
    closing = []
    for cell in stating:
        at = int(np.searchsorted(rows.recipes, cell.row))
        above = float(superfat[rows.recipes[at - 1]]) if at else np.nan
        below = float(superfat[rows.recipes[at]]) if at < len(rows.recipes) else np.nan
        if at and closes(cell, above, below, near=bool(rows.recipes[at - 1] == cell.row - 1)):
            closing.append((int(rows.recipes[at - 1]), cell))
            rows.sections.remove(cell)
    return closing


def add_closing_remarks(sheet: Sheet, ids: NDArray[np.int32], closing: Iterable[tuple[int, Cell]]) -> None:
    """Add remarks that stand in a line of their own below the row that they are about."""
    for row, cell in closing:
        _add(sheet, int(ids[row]), cell)
        sheet.take(cell.row, cell.column, cell.row, cell.column)


def add_remarks_beside(sheet: Sheet, table: Table, tables: Iterable[Table], ids: NDArray[np.int32]) -> None:
    """Add what stands right of a table, or under a heading that says nothing, and states a superfat."""
    grid = sheet.grid
    start = int(np.searchsorted(grid.row, table.last_heading_row, "right"))
    end = int(np.searchsorted(grid.row, table.last_row, "right"))
    first_of_next = min((t.first_column for t in tables if t.first_column > table.last_column), default=np.inf)
    said_elsewhere = [c.index for c in table.columns if _speaks(c) or c.role in KIND_OF_ROLE]
    column = grid.column[start:end]
    beside = (column >= table.first_column) & (column < first_of_next) & ~np.isin(column, said_elsewhere)
    at = start + np.flatnonzero(beside & (grid.kind[start:end] == Kind.TEXT))
    stating = {text for text in set(grid.text[at].tolist()) if speaks_of_superfat(text) and superfat_said(text)}
    for i in at.tolist() if stating else ():
        recipe = int(ids[grid.row[i]])
        if recipe >= 0 and grid.text[i] in stating:
            cell = grid.at(i)
            _add(sheet, recipe, cell)
            sheet.take(cell.row, cell.column, cell.row, cell.column)


def _add(sheet: Sheet, recipe: int, cell: Cell) -> None:
    sheet.found.drafts[recipe].remark(cell.row, cell.column, clean(cell.text))
    _state(sheet, recipe, cell, "remark")
