"""Ingredients down, recipes across: the first column names ingredients, each column beside it is a recipe.

Evidence: known ingredients below each other with amounts in columns beside them, under a row of names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sheetcheck.reading.amounts.texts import is_amount
from sheetcheck.reading.assemble import Findings, Statement
from sheetcheck.reading.cards.lanes import Rows, find_lanes, is_ingredient
from sheetcheck.reading.corner_totals import add_batch_size
from sheetcheck.reading.layouts.not_recipes import leave, why_no_recipes
from sheetcheck.reading.layouts.one_per_row import read_table
from sheetcheck.reading.lists_of_goods import name_goods, why_headings_say_goods, why_properties
from sheetcheck.reading.sheet import DecimalStyle, Sheet
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.tables.across_columns import (
    add_beside,
    corner_of_labels,
    nothing_but_ounces,
    recipe_columns,
    units_beside,
    units_in_names,
)
from sheetcheck.reading.tables.exchange import exchanged, give_back
from sheetcheck.reading.tables.roles_by_arithmetic import balances
from sheetcheck.reading.tables.table import Table, find_tables
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.evidence import SheetNotes
from sheetcheck.reading.units.units import read_unit
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

LAYOUT = "ingredients down, recipes across"
_NAMES_NO_RECIPE = frozenset(
    {"amount", "unit", "share", "ignore", "notes", "ingredient", "superfat", "lye concentration", "liquid to lye"}
)
_LOOK_BELOW = 4
_SEVERAL = 2


@dataclass(frozen=True, slots=True)
class _Block:
    name_column: int
    heading_row: int
    last_row: int
    last_column: int
    section: Cell | None


def read(sheet: Sheet) -> None:
    """Read the tables of a sheet that have recipes across."""
    rows = sheet.free_rows()
    lanes = find_lanes(sheet, rows)
    if not lanes:
        return
    blocks = _blocks(sheet, rows, lanes[0].name_column)
    if not blocks:
        return
    above = [c for r in rows if r < blocks[0].heading_row for c in rows[r] if c.kind is Kind.TEXT]
    why_not = why_no_recipes(sheet, above, with_lye=_has_lye(sheet, rows, lanes[0].name_column))
    for cell in (*above, *_alone(rows, blocks[0].heading_row)):
        sheet.note_unit(cell.row, cell.text)
    group = sheet.found.new_unit_group()
    for block in blocks:
        _read_block(sheet, block, group, why_not, above)
        reach = block.heading_row, block.name_column, block.last_row, block.last_column
        sheet.take(*reach)
        sheet.explained.append(reach)
    for cell in above:
        sheet.take(cell.row, cell.column, cell.row, cell.column)


def _alone(rows: Rows, after: int) -> list[Cell]:
    """Return the texts that stand alone in a row below the first names: titles of further blocks, notes."""
    return [cells[0] for row, cells in rows.items() if row > after and len(cells) == 1 and cells[0].kind is Kind.TEXT]


def _has_lye(sheet: Sheet, rows: Rows, name_column: int) -> bool:
    """Tell whether lye and a liquid stand among the names."""
    names = (c for cells in rows.values() for c in cells if c.column == name_column and c.kind is Kind.TEXT)
    return {"alkali", "liquid"} <= {sheet.words.heading(c.text).role for c in names}


def _blocks(sheet: Sheet, rows: Rows, name_column: int) -> list[_Block]:
    headings = _telling(rows, [r for r in sorted(rows) if _is_row_of_recipes(sheet, rows, r, name_column)])
    blocks = []
    for place, row in enumerate(headings):
        end = headings[place + 1] - 1 if place + 1 < len(headings) else max(rows)
        section = _title_above(rows, row, headings[place - 1] if place else min(rows))
        if place + 1 < len(headings) and (later := _title_above(rows, headings[place + 1], row)) is not None:
            end = later.row - 1
        last = max(c.column for r in rows if row <= r <= end for c in rows[r])
        blocks.append(_Block(name_column, row, end, last, section))
    return blocks


def _telling(rows: Rows, headings: Sequence[int]) -> list[int]:
    """Return of heading rows right below each other the one that tells the recipes apart: names, not pages or dates."""
    kept: list[int] = []
    for row in headings:
        if kept and row == kept[-1] + 1:
            kept[-1] = max(kept[-1], row, key=lambda r: len({c.text for c in rows[r] if c.kind is Kind.TEXT}))
        else:
            kept.append(row)
    return kept


def _title_above(rows: Rows, heading: int, after: int) -> Cell | None:
    """Return the lone text above a row of names, None where there is none."""
    for row in (heading - 1, heading - 2):
        if row in rows and row > after:
            return rows[row][0] if len(rows[row]) == 1 and rows[row][0].kind is Kind.TEXT else None
    return None


def _is_row_of_recipes(sheet: Sheet, rows: Rows, row: int, name_column: int) -> bool:
    """Tell whether a row names recipes over amounts of ingredients."""
    cells = [c for c in rows[row] if c.column > name_column]
    corner = next((c for c in rows[row] if c.column == name_column), None)
    alone = len(cells) == 1 and corner is not None and sheet.words.heading(corner.text).role == "ingredient"
    if (len(cells) < _SEVERAL and not alone) or (
        corner is not None and (is_ingredient(sheet, corner) or not _is_corner(sheet, corner))
    ):
        return False
    names = [c for c in cells if c.kind is not Kind.TEXT or not is_amount(c)]
    texts = [c for c in names if c.kind is Kind.TEXT]
    roles = [sheet.words.heading(c.text).role for c in texts]
    if len(texts) * 2 < len(cells) or sum(r in _NAMES_NO_RECIPE for r in roles) * 2 >= len(texts):
        return False
    return _amounts_below(sheet, rows, row, name_column, [c.column for c in cells]) >= min(_SEVERAL, len(cells))


def _is_corner(sheet: Sheet, cell: Cell) -> bool:
    return cell.kind is Kind.TEXT and sheet.words.heading(cell.text).role in (
        None, "recipe", "ingredient", "amount", "unit", "fats total", "number", "fat", "date", "notes",
    )  # fmt: skip


def _amounts_below(sheet: Sheet, rows: Rows, row: int, name_column: int, columns: Sequence[int]) -> int:
    """Return how many of the columns hold amounts of known ingredients in the next rows."""
    below = [r for r in sorted(rows) if r > row][: _LOOK_BELOW * 3]
    filled: set[int] = set()
    lines = 0
    for r in below:
        label = next((c for c in rows[r] if c.column == name_column), None)
        if label is not None and is_ingredient(sheet, label):
            lines += 1
            filled |= {c.column for c in rows[r] if c.column in columns and is_amount(c)}
    first = next((r for r in below if any(c.column == name_column for c in rows[r])), None)
    near = first is not None and first <= row + _LOOK_BELOW
    return len(filled) if lines >= 2 and near and not _others_name_ingredients(sheet, rows, below, name_column) else 0


def _others_name_ingredients(sheet: Sheet, rows: Rows, below: Sequence[int], name_column: int) -> bool:
    """Tell whether a column farther right names ingredients too: then the row titles cards beside each other."""
    named = Counter(c.column for r in below for c in rows[r] if c.column > name_column and is_ingredient(sheet, c))
    return any(count > _SEVERAL for count in named.values())


# --------------------------------------------------------------------------- one block


def _passed_over(sheet: Sheet, block: _Block) -> set[int]:
    """Return the columns without lye whose heading says that they hold no recipe: prices, `paid per lb`."""
    rows = range(block.heading_row + 1, block.last_row + 1)
    labels = {row: sheet.cell(row, block.name_column) for row in rows}
    lye = [row for row, label in labels.items() if label is not None and sheet.words.name(label.text).kind == "alkali"]
    headed = [c for c in sheet.grid.row_cells(block.heading_row) if sheet.words.heading(c.text).role == "ignore"]
    return {c.column for c in headed if not any(sheet.cell(row, c.column) for row in lye)}


def _read_block(sheet: Sheet, block: _Block, unit_group: int, why_not: str | None, above: Sequence[Cell]) -> None:
    """Read a block, or leave it where `why_not` or its headings say what else it is and nothing in it balances."""
    part = Findings(sheet.found.sheet_names)
    several = recipe_columns(sheet, block.heading_row, block.last_row, block.name_column + 1)
    beside = {b.column for each in several for b in each.beside} | _passed_over(sheet, block)
    units = units_beside(sheet, several)
    but = nothing_but_ounces(sheet, several) | corner_of_labels(sheet, block.heading_row, block.name_column + 1)
    columns = [c for c in range(block.name_column, block.last_column + 1) if c not in beside]
    grid = exchanged(sheet.grid, (block.heading_row, block.last_row), columns, but=but, units=units)
    decimals = DecimalStyle(by_sheet=sheet.decimals.by_sheet, book=sheet.decimals.book)
    corner = sheet.cell(block.heading_row, block.name_column)
    in_corner = read_unit(corner.text) if corner is not None and len(corner.text) > 1 else None
    notes = SheetNotes(title=in_corner or sheet.notes.at(block.heading_row))
    for column, unit in units_in_names(sheet, block.heading_row, block.name_column + 1).items():
        notes.add(column, unit)
    side = Sheet(
        grid, sheet.number, sheet.settings, sheet.words, decimals, part, notes, across=True, names_at=block.heading_row
    )
    tables = find_tables(side)
    headings = sheet.grid.row_cells(block.heading_row)
    why_not = why_not or _why_no_names(sheet, headings, tables) or why_headings_say_goods(headings)
    if why_not and (name_goods(headings[1:]) or not any(balances(side, table) for table in tables)):
        leave(sheet, headings[0], why_not)
        return
    for table in tables:
        read_table(side, table, tables, unit_group, LAYOUT)
    for number, draft in enumerate(part.drafts):
        draft.table = 0
        if block.section is not None:
            _under(draft_section=block.section, part=part, number=number, sheet=sheet)
    sheet.readings.extend(side.readings)
    first = len(sheet.found.drafts)
    give_back(part, sheet.found, units_beside=bool(units))
    add_beside(sheet, several, [line for table in tables for line in table.columns], first)
    add_batch_size(sheet, above, tables, first)


def _why_no_names(sheet: Sheet, headings: Sequence[Cell], tables: Sequence[Table]) -> str | None:
    """Return why a row above columns of numbers names no recipes, None where it may."""
    said = [sheet.words.heading(c.text).role for c in headings[1:] if c.kind is Kind.TEXT]
    if said and all(role == "alkali" for role in said) and not any(t.of_role("alkali") for t in tables):
        return tr("its columns say how much lye each fat takes up")
    return why_properties(headings, with_lye=any(t.of_role("alkali") for t in tables))


def _under(*, draft_section: Cell, part: Findings, number: int, sheet: Sheet) -> None:
    """Put a recipe under a section title."""
    part.drafts[number].section = clean(draft_section.text)
    said = superfat_said(draft_section.text)
    if said:
        stated = Statement(
            number, sheet.name, draft_section.column, draft_section.row, "superfat", written=draft_section.text,
            value=said[0], other_value=said[1], place="section",
        )  # fmt: skip
        part.statements.append(stated)
