"""Ingredients down, recipes across: the first column names ingredients, each column beside it is a recipe.

Evidence: known ingredients below each other with amounts in columns beside them, under a row of names.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sheetcheck.reading.assemble import Findings, Statement
from sheetcheck.reading.exchange import exchanged, give_back
from sheetcheck.reading.lanes import Rows, find_lanes, is_amount, is_ingredient
from sheetcheck.reading.layouts.not_recipes import leave, why_no_recipes
from sheetcheck.reading.layouts.one_per_row import read_table
from sheetcheck.reading.sheet import DecimalStyle, Sheet
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.tables import find_tables
from sheetcheck.reading.text import clean
from sheetcheck.reading.unit_evidence import SheetNotes
from sheetcheck.reading.units import read_unit
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
    for cell in above:
        sheet.note_unit(cell.row, cell.text)
    group = sheet.found.new_unit_group()
    for block in blocks:
        if why_not:
            leave(sheet, rows[block.heading_row][0], why_not)
        else:
            _read_block(sheet, block, group)
        sheet.take(block.heading_row, block.name_column, block.last_row, block.last_column)
    for cell in above:
        sheet.take(cell.row, cell.column, cell.row, cell.column)


def _has_lye(sheet: Sheet, rows: Rows, name_column: int) -> bool:
    """Tell whether lye and a liquid stand among the names."""
    names = (c for cells in rows.values() for c in cells if c.column == name_column and c.kind is Kind.TEXT)
    return {"alkali", "liquid"} <= {sheet.words.heading(c.text).role for c in names}


def _blocks(sheet: Sheet, rows: Rows, name_column: int) -> list[_Block]:
    headings = [row for row in sorted(rows) if _is_row_of_recipes(sheet, rows, row, name_column)]
    blocks = []
    for place, row in enumerate(headings):
        end = headings[place + 1] - 1 if place + 1 < len(headings) else max(rows)
        section = _title_above(rows, row, headings[place - 1] if place else min(rows))
        if place + 1 < len(headings) and (later := _title_above(rows, headings[place + 1], row)) is not None:
            end = later.row - 1
        last = max(c.column for r in rows if row <= r <= end for c in rows[r])
        blocks.append(_Block(name_column, row, end, last, section))
    return blocks


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


def _read_block(sheet: Sheet, block: _Block, unit_group: int) -> None:
    part = Findings(sheet.found.sheet_names)
    beside = _columns_of_shares(sheet, block)
    columns = [c for c in range(block.name_column, block.last_column + 1) if c not in beside]
    grid = exchanged(sheet.grid, block.heading_row, block.last_row, columns)
    decimals = DecimalStyle(by_sheet=sheet.decimals.by_sheet, book=sheet.decimals.book)
    notes = SheetNotes(title=sheet.notes.at(block.heading_row))
    side = Sheet(
        grid, sheet.number, sheet.settings, sheet.words, decimals, part, notes, across=True, names_at=block.heading_row
    )
    tables = find_tables(side)
    for table in tables:
        read_table(side, table, tables, unit_group, LAYOUT)
    for number, draft in enumerate(part.drafts):
        draft.table = 0
        if block.section is not None:
            _under(draft_section=block.section, part=part, number=number, sheet=sheet)
    sheet.readings.extend(side.readings)
    give_back(part, sheet.found)


def _columns_of_shares(sheet: Sheet, block: _Block) -> set[int]:
    """Return columns of percentages that stand beside a recipe's amounts under the same name."""
    shares = set()
    for row in (block.heading_row, block.heading_row + 1):
        units = {c.column: read_unit(c.text) for c in sheet.grid.row_cells(row) if c.kind is Kind.TEXT}
        weighed = [c for c, unit in units.items() if unit not in (None, "%")]
        shares |= {c for c, unit in units.items() if unit == "%" and weighed}
    return shares


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
