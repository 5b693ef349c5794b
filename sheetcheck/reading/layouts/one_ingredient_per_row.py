"""One ingredient per row: columns for the recipe, the ingredient and its amount; the recipe on each row or the first.

Evidence: known ingredients below each other with amounts beside them, and the recipe's name in another column of the
same rows.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from sheetcheck.model import ColumnReading, column_letters
from sheetcheck.reading.amounts.texts import is_amount
from sheetcheck.reading.cards.lanes import Lane, Rows, find_lanes, is_ingredient
from sheetcheck.reading.cards.lines import ColumnRole, Context, Line, column_roles, read_line
from sheetcheck.reading.cards.one_cell import without_marks
from sheetcheck.reading.cards.recipe_lines import RecipeLines
from sheetcheck.reading.cards.sheet import lane_evidence
from sheetcheck.reading.layouts.not_recipes import NO_SOAP, leave, why_no_recipes
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import read_unit
from sheetcheck.reading.words import is_total, other_than_soap
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

LAYOUT = "one ingredient per row"
_NOT_NAMES = frozenset({"date", "number", "notes", "ignore", "amount", "unit", "share", "ingredient", "superfat"})
_SURE = 2  # so many groups with fats, lye and liquid are recipes, whatever the sheet is called


@dataclass(slots=True)
class _Group:
    """The lines of one recipe."""

    name: Cell
    lines: list[Line]
    section: Cell | None

    def has(self, role: str) -> bool:
        return any(line.kind == "ingredient" and line.role == role for line in self.lines)


@dataclass
class _List:
    """A list while it is read, top to bottom."""

    sheet: Sheet
    rows: Rows
    heading: int | None
    name_column: int
    context: Context
    groups: list[_Group] = field(default_factory=list)
    columns: list[ColumnReading] = field(default_factory=list)
    section: Cell | None = None


def read(sheet: Sheet) -> None:
    """Read a list with one ingredient per row."""
    rows = without_marks(sheet.free_rows())
    lanes = _not_of_recipes(sheet, find_lanes(sheet, rows), rows)
    if len(lanes) != 1:
        return
    heading = _heading(sheet, lanes[0], rows)
    name_column = _name_column(sheet, lanes[0], rows, heading)
    if name_column is None:
        return
    above = [c for r in rows if r < (heading or lanes[0].first_row) for c in rows[r] if c.kind is Kind.TEXT]
    for cell in above:
        sheet.note_unit(cell.row, cell.text)
    made = _List(sheet, rows, heading, name_column, {lanes[0].name_column: ColumnRole("ingredient", None)})
    _gather(made)
    with_lye = any(g.has("alkali") and g.has("liquid") for g in made.groups)
    if heading is None and not any(g.has("fat") and g.has("alkali") for g in made.groups):
        return  # what stands beside each line is a remark (`melt`, `mix`): cards may be read so
    soap = any(g.has("fat") and (g.has("alkali") or g.has("liquid") or g.has("refused")) for g in made.groups)
    why_not = (None if soap else tr(NO_SOAP)) or why_no_recipes(sheet, above, with_lye=with_lye)
    columns = [c.column for cells in rows.values() for c in cells]
    where = (min(rows), min(columns), max(rows), max(columns))
    if why_not and sum(g.has("fat") and g.has("alkali") and g.has("liquid") for g in made.groups) < _SURE:
        leave(sheet, rows[where[0]][0], why_not, where)
    else:
        _report(made, lanes[0], _read_groups(made), where)
        sheet.take(*where)


def _not_of_recipes(sheet: Sheet, lanes: Sequence[Lane], rows: Rows) -> Sequence[Lane]:
    """Leave out a column headed as the recipes' names that are named like fats (`Coconut Ice`)."""
    if len(lanes) < 2 or (heading := _heading(sheet, lanes[0], rows)) is None:
        return lanes
    roles = column_roles(sheet, [c for c in rows[heading] if c.kind is Kind.TEXT])
    return [x for x in lanes if x.name_column not in roles or roles[x.name_column].role != "recipe"]


def _heading(sheet: Sheet, lane: Lane, rows: Rows) -> int | None:
    """Return the row of headings above the first line, None where there is none."""
    for row in sorted((r for r in rows if r < lane.first_row), reverse=True):
        if len(rows[row]) > 1 and read_line(sheet, row, rows[row], {}).kind == "heading":
            return row
    return None


# --------------------------------------------------------------------------- which column names the recipe


def _name_column(sheet: Sheet, lane: Lane, rows: Rows, heading: int | None) -> int | None:
    """Return the column that names the recipe, None where no column does."""
    said = {c.column: sheet.words.heading(c.text).role for c in rows[heading]} if heading else {}
    beside: Counter[int] = Counter()
    alone: Counter[int] = Counter()
    texts: Counter[int] = Counter()
    for row, cells in rows.items():
        if row == heading:
            continue
        has_line = any(c.column == lane.name_column and is_ingredient(sheet, c) for c in cells)
        has_line = has_line and any(map(is_amount, cells))
        for cell in cells:
            if cell.column != lane.name_column and _may_name_recipe(cell, said.get(cell.column)):
                (beside if has_line else alone)[cell.column] += 1
                texts[cell.column] += cell.kind is Kind.TEXT
    named = [c for c, role in said.items() if role == "recipe" and beside[c] + alone[c] and c != lane.name_column]
    if named:
        return max(named, key=lambda c: (texts[c] > 0, -c))
    left = [c for c in beside if c < lane.name_column and beside[c] >= max(1, alone[c])]
    return max(left, default=None)


def _may_name_recipe(cell: Cell, role: str | None) -> bool:
    if role in _NOT_NAMES or (cell.kind is not Kind.TEXT and role != "recipe"):
        return False
    return role == "recipe" or (any(map(str.isalpha, cell.text)) and not is_amount(cell) and not read_unit(cell.text))


# --------------------------------------------------------------------------- the list


def _gather(made: _List) -> None:
    """Gather the lines of each recipe."""
    gap, before = False, 0
    for row in sorted(r for r in made.rows if made.heading is None or r >= made.heading):
        gap = gap or row > before + 1
        before = row
        if _add_row(made, row, gap=gap):
            gap = False


def _add_row(made: _List, row: int, *, gap: bool) -> bool:
    """Add one row; tell whether it belongs to a recipe."""
    sheet, cells = made.sheet, [c for c in made.rows[row] if c.column != made.name_column]
    name = next((c for c in made.rows[row] if c.column == made.name_column), None)
    line = read_line(sheet, row, cells, made.context) if cells else None
    if line is not None and line.kind == "heading" and len(made.rows[row]) > 1:
        made.context = column_roles(sheet, [c for c in made.rows[row] if c.kind is Kind.TEXT])
        made.columns = made.columns or _column_readings(made, made.rows[row])
        return False
    if name is None and line is not None and line.kind == "text" and len(cells) == 1 and gap:
        made.section = cells[0]
        sheet.note_unit(row, cells[0].text)
        return False
    if name is not None and is_total(name.text):
        return False
    if name is not None and _begins(name, line, made.groups, gap=gap):
        if line is None:
            sheet.note_unit(row, name.text)
        made.groups.append(_Group(name, [], made.section))
    if line is None or not made.groups:
        return False
    made.groups[-1].lines.append(line)
    return True


def _begins(name: Cell, line: Line | None, groups: Sequence[_Group], *, gap: bool) -> bool:
    """Tell whether a name begins another recipe, or is the last one repeated on each line."""
    if not groups or gap:
        return True
    last = groups[-1]
    if fold(last.name.text) != fold(name.text) or (not name.text and last.name.number != name.number):
        return True
    first = next((x for x in last.lines if x.kind == "ingredient"), None)
    again = line is not None and first is not None and fold(first.name_text) == fold(line.name_text)
    return last.has("alkali") and again


def _column_readings(made: _List, cells: Sequence[Cell]) -> list[ColumnReading]:
    readings = []
    for cell in cells:
        placed = made.context.get(cell.column)
        role = "recipe" if cell.column == made.name_column else placed.role if placed else "ignore"
        unit = placed.unit if placed else None
        letters, said = column_letters(cell.column), clean(cell.text)
        readings.append(ColumnReading(letters, said, role, unit=unit, unit_from="heading" if unit else None))
    return readings


def _read_groups(made: _List) -> int:
    """Make recipes of the groups; return how many."""
    unit_group = made.sheet.found.new_unit_group()
    recipes = 0
    for group in made.groups:
        said = other_than_soap(group.name.text)
        if said and not group.has("alkali"):
            made.sheet.not_understood(group.name.row, group.name.column, clean(group.name.text), tr(said))
        elif group.lines:
            _read_group(made.sheet, group, unit_group)
            recipes += 1
    return recipes


def _read_group(sheet: Sheet, group: _Group, unit_group: int) -> None:
    name = clean(group.name.text) or f"{group.name.number:g}"
    draft = sheet.draft(LAYOUT, name, group.name.row, group.name.column)
    draft.unit_group = unit_group
    reader = RecipeLines(sheet, draft, group.name, group.section)
    for line in group.lines:
        reader.add(line)
    reader.finish()


def _report(made: _List, lane: Lane, recipes: int, where: tuple[int, int, int, int]) -> None:
    evidence = [
        lane_evidence(lane),
        tr("column {column} names the recipe of each", column=column_letters(made.name_column)),
    ]
    made.sheet.report(LAYOUT, evidence, columns=made.columns, recipes=recipes, where=where)
