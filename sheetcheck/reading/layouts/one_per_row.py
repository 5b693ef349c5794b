"""One recipe per row: headings name the ingredients, each row below is a recipe.

Evidence: a row of headings that names at least two ingredients, one of them a fat, over cells that hold amounts.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sheetcheck.model import ColumnReading
from sheetcheck.reading.assemble import Draft
from sheetcheck.reading.corner_totals import add_batch_size
from sheetcheck.reading.layouts.not_recipes import leave, why_no_recipes
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.tables.cells import read_cells
from sheetcheck.reading.tables.columns import settle_columns
from sheetcheck.reading.tables.remarks import (
    add_closing_remarks,
    add_remarks,
    add_remarks_beside,
    take_closing_remarks,
)
from sheetcheck.reading.tables.roles_by_arithmetic import balances, usual_fats_g
from sheetcheck.reading.tables.rows import Rows, sort_rows
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column, Table, find_tables
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words
from sheetcheck.words import tr, tr_count
from sheetcheck.workbook.grid import Cell, Kind

LAYOUT = "one recipe per row"
_SAMPLE = 200  # rows
_MOST_IN_A_BATCH_G = 10_000.0  # of fats in a home workshop; common practice, no source


def read(sheet: Sheet) -> None:
    """Read all tables with one recipe per row on a sheet."""
    tables = find_tables(sheet)
    if not tables:
        return
    titles = _lines_above(sheet, tables)
    with_lye = any(t.of_role("alkali") and t.of_role("liquid") for t in tables)
    why_not = why_no_recipes(sheet, titles, with_lye=with_lye)
    for cell in titles:
        sheet.note_unit(cell.row, cell.text)
    group = sheet.found.new_unit_group()
    for table in tables:
        of_months = _use_by_month(sheet, table)
        said = of_months or why_not or _list_by_date(table)
        if said and (of_months or not balances(sheet, table)):
            _leave(sheet, table, said)
        else:
            first = len(sheet.found.drafts)
            read_table(sheet, table, tables, group, LAYOUT)
            add_batch_size(sheet, titles, [table], first)


def _list_by_date(table: Table) -> str | None:
    """Return why a table by date is no list of recipes: what was used or bought in a month."""
    named = any(c.role in ("recipe", "number") for c in table.columns)
    if not named and table.of_role("date") and not table.of_role("liquid"):
        return tr("its rows are dates, and no column names a soap or a liquid")
    return None


def _use_by_month(sheet: Sheet, table: Table) -> str | None:
    """Return why a table by month is no list of recipes: more goes into a row than a home workshop boils at once."""
    if any(c.role == "recipe" for c in table.columns):
        return None
    rows = range(table.last_heading_row + 1, min(table.last_row, table.last_heading_row + _SAMPLE) + 1)
    first = [cell for row in rows if (cell := sheet.cell(row, table.first_column)) is not None]
    months = [c for c in first if c.kind is Kind.TEXT and fold(c.text).partition(" ")[0] in words("month")]
    if len(months) * 2 <= len(first) or usual_fats_g(sheet, table) <= _MOST_IN_A_BATCH_G:
        return None
    return tr("its rows are months: what was used in each")


def _leave(sheet: Sheet, table: Table, why: str) -> None:
    leave(sheet, sheet.grid.row_cells(table.heading_row)[0], why, _reach(table))


def _reach(table: Table) -> tuple[int, int, int, int]:
    return table.first_row, table.first_column, table.last_row, table.last_column


def _lines_above(sheet: Sheet, tables: Sequence[Table]) -> list[Cell]:
    """Return the texts above the first table and beside it: titles and notes of the sheet, and not of cards on it."""
    first = min(t.first_row for t in tables)
    rows = [row for row in sheet.grid.rows() if row < first]
    blocks = np.split(np.array(rows, dtype=np.int64), np.flatnonzero(np.diff(rows) > 1) + 1) if rows else []
    above = [[c for row in block.tolist() for c in sheet.grid.row_cells(row)] for block in blocks]
    cells = [c for block in above if not _weighs(sheet, block) for c in block if c.kind is Kind.TEXT]
    of_groups = {place for t in tables for place in t.groups}
    return [c for c in cells if (c.row, c.column) not in of_groups]


def _weighs(sheet: Sheet, cells: Sequence[Cell]) -> bool:
    """Tell whether several ingredients are named in some rows beside numbers: a recipe, and no title."""
    named = [c for c in cells if c.kind is Kind.TEXT and sheet.words.name(c.text).kind in INGREDIENT_ROLES]
    return len(named) > 1 and any(c.kind is Kind.NUMBER or any(map(str.isdigit, c.text)) for c in cells)


def read_table(sheet: Sheet, table: Table, tables: Sequence[Table], unit_group: int, layout: str) -> None:
    """Read one table into drafts, amounts and statements, and report how it was understood."""
    name_column = settle_columns(sheet, table)
    rows = sort_rows(sheet, table, name_column)
    closing = take_closing_remarks(sheet, table, rows)
    sections = _sections(sheet, table, tables, rows)
    for cell in (*sections, *rows.notes):
        stated = sheet.note_unit(cell.row, cell.text)
        sheet.notes.onward |= stated and len(rows.recipes) > 0 and rows.recipes[0] < cell.row < rows.recipes[-1]
    if all(c.unit is None for c in table.of_role("fat")):
        first = min(t.heading_row for t in tables)
        sheet.notes.go_on(table.heading_row, first, usual_fats_g(sheet, table))
    ids = _drafts(sheet, table, rows, name_column, sections)
    for draft in sheet.found.drafts[len(sheet.found.drafts) - len(rows.recipes) :]:
        draft.layout, draft.unit_group = layout, unit_group
    read_cells(sheet, table, ids)
    add_remarks(sheet, table, ids, sections)
    add_closing_remarks(sheet, ids, closing)
    add_remarks_beside(sheet, table, tables, ids)
    sheet.take(*_reach(table))
    sheet.explained.append(_reach(table))
    for cell in sections:
        sheet.take(cell.row, cell.column, cell.row, cell.column)
    readings = [_column_reading(sheet, c) for c in table.columns]
    sheet.report(
        layout, _evidence(sheet, table, rows), columns=readings, recipes=len(rows.recipes), where=_reach(table)
    )


def _evidence(sheet: Sheet, table: Table, rows: Rows) -> list[str]:
    named = [c.text for c in table.columns if c.role in INGREDIENT_ROLES]
    where = sheet.line_name(table.heading_row)
    said = [
        tr_count(
            "{where} names {count} ingredient ({names} …) beside amounts",
            "{where} names {count} ingredients ({names} …) beside amounts",
            len(named),
            where=where,
            names=", ".join(named[:4]),
        )
    ]
    if rows.totals:
        said.append(tr("sums, not recipes: {places}", places=", ".join(map(sheet.line_name, rows.totals))))
    return said + table.evidence


def _column_reading(sheet: Sheet, column: Column) -> ColumnReading:
    return ColumnReading(
        place=sheet.place(column.index),
        heading=column.text,
        role=column.role or "not understood",
        substance=column.substance,
        unit=column.unit,
        unit_from="heading" if column.unit else None,
        why=column.why,
    )


# --------------------------------------------------------------------------- section titles


def _sections(sheet: Sheet, table: Table, tables: Sequence[Table], rows: Rows) -> list[Cell]:
    """Return the titles that govern rows of a table: those inside it and the line right above its heading."""
    inside = [c for c in rows.sections if not _belongs_to_next(c, table, tables, rows)]
    above = [c for c in _texts_right_above(sheet, table) if c.row > 1 or table.number > 1]
    return [*above, *inside]


def _belongs_to_next(cell: Cell, table: Table, tables: Sequence[Table], rows: Rows) -> bool:
    after_last = not len(rows.recipes) or cell.row > rows.recipes[-1]
    return after_last and any(t.first_row == table.last_row + 1 for t in tables)


def _texts_right_above(sheet: Sheet, table: Table) -> list[Cell]:
    for row in (table.first_row - 1, table.first_row - 2):
        cells = [c for c in sheet.grid.row_cells(row) if c.column <= table.last_column]
        if cells:
            texts = [c for c in cells if c.kind is Kind.TEXT]
            return texts[:1] if len(texts) == len(cells) <= 2 else []
    return []


def _section_of(rows: NDArray[np.int64], sections: Sequence[Cell]) -> NDArray[np.int64]:
    """Return for each row the place in `sections` of the title above it, -1 where none."""
    starts = [c.row for c in sections]
    return np.searchsorted(starts, rows, side="right") - 1


# --------------------------------------------------------------------------- recipes


def _drafts(
    sheet: Sheet, table: Table, rows: Rows, name_column: Column | None, sections: Sequence[Cell]
) -> NDArray[np.int32]:
    """Make a draft of each row; return the draft's number by row, -1 where the row is no recipe."""
    ids = np.full(table.last_row + 2, -1, dtype=np.int32)
    names, struck = _names(sheet, rows, name_column)
    if len(rows.recipes) == 1 and (corner := _name_in_the_corner(sheet, table, int(rows.recipes[0]))):
        names[int(rows.recipes[0])] = corner
    first, last = table.first_column, table.last_column
    anchor = name_column.index if name_column else first
    titles = [clean(c.text) for c in sections]
    of_section = _section_of(rows.recipes, sections)
    for row, section in zip(rows.recipes.tolist(), of_section.tolist(), strict=True):
        draft = Draft(sheet.number, LAYOUT, names.get(row, ""), row, anchor, row, first, row, last)
        draft.table, draft.struck = table.number, row in struck
        if section >= 0:
            draft.section = titles[section]
        ids[row] = sheet.found.add_draft(draft)
    return ids


def _name_in_the_corner(sheet: Sheet, table: Table, row: int) -> str:
    """Return the name of a table's only recipe where it stands in the line of headings, "" where it does not."""
    corner, below = table.columns[0], sheet.cell(row, table.first_column)
    unnamed = below is None or (below.kind is Kind.TEXT and superfat_said(below.text) is not None)
    if not unnamed or corner.role not in (None, "recipe", "ignore") or corner.heading.certainty == "exact":
        return ""
    if corner.role is None:
        corner.role, corner.why = "recipe", tr("its heading is the name of the only recipe below")
    return clean(corner.text)


def _names(sheet: Sheet, rows: Rows, name_column: Column | None) -> tuple[dict[int, str], set[int]]:
    """Return the names of recipes by row, and the rows that are crossed out."""
    if name_column is None:
        return {}, set()
    grid = sheet.grid
    crossed = np.array([s.struck for s in grid.styles], dtype=bool)
    at = np.flatnonzero((grid.column == name_column.index) & np.isin(grid.row, rows.recipes))
    names = {}
    for i in at.tolist():
        names[int(grid.row[i])] = clean(str(grid.text[i])) or f"{grid.number[i]:g}"
    struck = set(grid.row[at[crossed[grid.style[at]]]].tolist())
    return names, struck
