"""Where on a sheet a table with one recipe per row begins, how far it goes, and what its columns are."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import exp

import numpy as np

from sheetcheck.reading.amounts.texts import amount_with_remark
from sheetcheck.reading.candidates import candidates
from sheetcheck.reading.cards.one_cell import several
from sheetcheck.reading.entries import is_nothing
from sheetcheck.reading.headings import Heading
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.units import read_unit
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

INGREDIENT_ROLES = frozenset({"fat", "alkali", "liquid", "acid"})
_STARTS_WITH_DIGIT = re.compile(r"^[\s~]*[\d½¼¾⅓⅔]")
_LONGEST_HEADING = 60
_LOOK_BELOW = 6
_LONGEST_CARD = 40
_SURELY_UNITS = 2
_FATS_EXPECTED, _LYES_EXPECTED = 1.0, 0.1  # by the probabilities of what the headings may mean


@dataclass(slots=True)
class Column:
    """One column of a table as its heading has it."""

    index: int
    text: str  # the heading in full
    row: int  # where the heading stands
    heading: Heading
    unit: str | None = None  # what the heading says
    role: str | None = None
    substance: str | None = None
    certainty: str = "unknown"
    strength: float = np.nan
    why: str = ""
    about: int = 0  # the column whose amounts it states again, in another unit


@dataclass(slots=True)
class Table:
    """A table with its heading rows; the body reaches to `last_row`."""

    first_row: int  # of the heading
    heading_row: int  # the row of the heading that names the ingredients
    last_heading_row: int
    columns: list[Column]
    last_row: int = 0
    number: int = 0
    groups: frozenset[tuple[int, int]] = frozenset()  # cells over several headings that say what these have in common
    evidence: list[str] = field(default_factory=list)

    @property
    def first_column(self) -> int:
        """First column with a heading."""
        return self.columns[0].index

    @property
    def last_column(self) -> int:
        """Last column with a heading."""
        return self.columns[-1].index

    def of_role(self, *roles: str) -> list[Column]:
        """Return the columns with one of these roles, left to right."""
        return [c for c in self.columns if c.role in roles]


def find_tables(sheet: Sheet) -> list[Table]:
    """Find all tables with one recipe per row on a sheet, top to bottom, left to right."""
    tables: list[Table] = []
    for row in _possible_heading_rows(sheet):
        if tables and row <= tables[-1].last_heading_row:
            continue
        texts = [c for c in sheet.grid.row_cells(row) if c.kind is Kind.TEXT and len(c.text) <= _LONGEST_HEADING]
        cells = [c for c in texts if c.text.strip()]
        spans = _side_by_side(sheet, cells)
        tables += [_table(sheet, row, span) for span in spans if _names_ingredients_over_amounts(sheet, row, span)]
    _set_last_rows(sheet, tables)
    return tables


def _possible_heading_rows(sheet: Sheet) -> list[int]:
    """Return rows that hold texts and hardly a number."""
    grid = sheet.grid
    if not len(grid.row):
        return []
    size = grid.last_row + 1
    texts = np.bincount(grid.row[grid.kind == Kind.TEXT], minlength=size)
    numbers = np.bincount(grid.row[grid.kind == Kind.NUMBER], minlength=size)
    return [int(r) for r in np.flatnonzero((texts >= 3) & (numbers * 3 <= texts))]


def _side_by_side(sheet: Sheet, cells: Sequence[Cell]) -> list[list[Cell]]:
    """Split a row of headings where a second table begins: at a second heading for the recipe."""
    if sum(bool(_STARTS_WITH_DIGIT.match(c.text)) for c in cells) * 2 >= len(cells):
        return []
    named = [(i, h.certainty) for i, c in enumerate(cells) if (h := sheet.words.heading(c.text)).role == "recipe"]
    surely = [i for i, certainty in named if certainty == "exact"]
    starts = surely or [i for i, _ in named]
    ingredients = [i for i, c in enumerate(cells) if sheet.words.heading(c.text).role in INGREDIENT_ROLES]
    cuts = [s for s in starts if any(i < s for i in ingredients) and any(i > s for i in ingredients)]
    edges = [0, *cuts, len(cells)]
    return [list(cells[a:b]) for a, b in pairwise(edges)]


def _names_ingredients_over_amounts(sheet: Sheet, row: int, cells: Sequence[Cell]) -> bool:
    headings = {c.column: sheet.words.heading(c.text) for c in cells}
    sure = {c: h for c, h in headings.items() if h.certainty in ("exact", "read as")}
    named = {c: h for c, h in sure.items() if h.role in INGREDIENT_ROLES or (h.role == "share" and h.substance)}
    fats = sum(h.role in ("fat", "share") for h in named.values())
    others = len(named) - fats
    in_cells = [c for c in headings if c not in named and holds_several(sheet, row, c)] if not fats else []
    if not fats and (in_cells or _has_fats_in_general(headings, names_known=sheet.names_at is not None)):
        general = {c for c, h in headings.items() if h.role in ("ingredient", "fats total", "fat")}
        first = min({*named, *general, *in_cells})
        weighed = [c for c, h in named.items() if h.role == "alkali"]  # the liquid may be named in its own column
        return _amounts_below(sheet, row, weighed) and not _ingredients_run_down(sheet, row, first, named)
    if fats + others < 2 or not fats or sum(h.certainty == "exact" for h in named.values()) < 2:
        return sheet.words.loose and _may_name_ingredients(sheet, row, cells)
    return _amounts_below(sheet, row, list(named)) and not _ingredients_run_down(sheet, row, min(named), named)


def holds_several(sheet: Sheet, row: int, column: int) -> bool:
    """Tell whether most of the next cells below a row hold several weighed ingredients each: `600 olive, 300 palm`."""
    cells = [c for below in _next_rows(sheet, row) if (c := sheet.cell(below, column)) is not None]
    return sum(c.kind is Kind.TEXT and bool(several(c.text)) for c in cells) * 2 > len(cells)


def _may_name_ingredients(sheet: Sheet, row: int, cells: Sequence[Cell]) -> bool:
    """Tell whether words over columns of amounts may mean fats and lye, none of them surely: the weighing judges it."""
    over = [c for c in cells if _amounts_below(sheet, row, [c.column])]
    named_beside = [c for c in cells if c not in over and sheet.words.heading(c.text).role in ("ingredient", "fat")]
    likely: defaultdict[str | None, float] = defaultdict(float)
    likely["fat"] += len(named_beside)  # `oil 1`, `oil 2`: which fat it is stands in the column
    for cell in over:
        role = sheet.words.heading(cell.text).role
        if role in INGREDIENT_ROLES:
            likely[role] += 1
        elif role in (None, "ingredient"):
            for meaning in candidates(cell.text):
                likely[meaning.role] += exp(meaning.prior)
    named = {c.column: sheet.words.heading(c.text) for c in over}
    enough = likely["fat"] >= _FATS_EXPECTED and likely["alkali"] >= _LYES_EXPECTED
    first = min((c.column for c in (*over, *named_beside)), default=0)
    return enough and not _ingredients_run_down(sheet, row, first, named)


def _has_fats_in_general(headings: dict[int, Heading], *, names_known: bool) -> bool:
    """Tell whether headings for recipe, fats and lye stand there, the fats without a name that is sure."""
    roles = [h.role for h in headings.values()]
    named = names_known or "recipe" in roles or (roles.count("fat") > 1 and "liquid" in roles)
    return named and "alkali" in roles and bool({"ingredient", "fats total", "fat"} & set(roles))


def _amounts_below(sheet: Sheet, row: int, columns: Sequence[int]) -> bool:
    """Tell whether most cells in the next rows under these headings are amounts, up to where words follow amounts."""
    amounts = others = 0
    for below in _next_rows(sheet, row):
        cells = [c for c in (sheet.cell(below, column) for column in columns) if c is not None]
        if amounts > others and len(cells) > 1 and not any(_is_amount(c) for c in cells):
            break  # headings of the next table
        if cells and all(c.kind is Kind.TEXT and (read_unit(c.text) or _is_heading(sheet, c)) for c in cells):
            continue  # a row of units, or headings once more
        for cell in cells:
            amounts += _is_amount(cell)
            others += not _is_amount(cell)
    return amounts > others


def _is_amount(cell: Cell) -> bool:
    text = cell.text
    return cell.kind is not Kind.TEXT or is_nothing(text) or "?" in text or amount_with_remark(text) is not None


def _is_heading(sheet: Sheet, cell: Cell) -> bool:
    heading = sheet.words.heading(cell.text)
    return heading.role is not None and heading.certainty == "exact"


def _next_rows(sheet: Sheet, row: int) -> list[int]:
    rows = sheet.grid.rows()
    at = int(np.searchsorted(rows, row, side="right"))
    return rows[at : at + _LOOK_BELOW]


def _ingredients_run_down(sheet: Sheet, row: int, first: int, named: dict[int, Heading]) -> bool:
    """Tell whether ingredients stand below each other at the left instead: then the row holds names of recipes."""
    down = {"any": 0, "alkali": 0}
    for below in _next_rows(sheet, row):
        for cell in sheet.grid.row_cells(below):
            if cell.column >= first:
                break
            if cell.kind is Kind.TEXT and (name := sheet.words.name(cell.text)).certainty == "exact":
                down["any"] += name.kind in INGREDIENT_ROLES
                down["alkali"] += name.kind == "alkali"
    across_alkali = any(h.role == "alkali" for h in named.values())
    if across_alkali and not down["alkali"]:
        return False  # recipes called “Goat milk”, “Lard”: what runs down has no lye
    return down["any"] >= 2 and (not across_alkali or down["any"] > len(named))


# --------------------------------------------------------------------------- one table


def _table(sheet: Sheet, row: int, cells: Sequence[Cell]) -> Table:
    first, last = cells[0].column, _last_column(sheet, row, cells[-1])
    above = _row_of_groups(sheet, row, first, last)
    below = _rows_of_units(sheet, row, first, last)
    columns = []
    for index in range(first, last + 1):
        column = _column(sheet, index, row, above, below)
        if column is not None:
            columns.append(column)
    first_row = min([row, *(c.row for c in columns)])
    groups = {(c.row, c.column): sheet.words.heading(c.text) for c in above.values() if c.column > first}
    said = frozenset(place for place, heading in groups.items() if heading.unit or heading.role == "ignore")
    return Table(first_row, row, below[-1] if below else row, columns, groups=said)


def _last_column(sheet: Sheet, row: int, last: Cell) -> int:
    """Return how far a table reaches: its last heading may stand over several units, `Water` over `g | oz`."""
    merge = sheet.merged.get((last.row, last.column))
    end = merge[3] if merge else last.column
    if (first := sheet.cell(row + 1, last.column)) is None or not read_unit(first.text):
        return last.column
    while not sheet.cell(row, end + 1) and (under := sheet.cell(row + 1, end + 1)) and read_unit(under.text):
        end += 1
    return end


def _row_of_groups(sheet: Sheet, row: int, first: int, last: int) -> dict[int, Cell]:
    """Return the text above each column, merged texts spread over their columns: a row of headings for groups."""
    spread: dict[int, Cell] = {}
    cells = [c for c in sheet.grid.row_cells(row - 1) if first - 3 <= c.column <= last]
    if any(c.kind is not Kind.TEXT for c in cells):
        return {}
    for cell in cells:
        merge = sheet.merged.get((cell.row, cell.column), (cell.row, cell.column, cell.row, cell.column))
        whole_width = merge[1] <= first and merge[3] >= last
        if not whole_width and (len(cells) > 1 or merge[2] >= row):
            spread |= dict.fromkeys(range(merge[1], merge[3] + 1), cell)
    return spread


def _rows_of_units(sheet: Sheet, row: int, first: int, last: int) -> list[int]:
    """Return the rows right below the heading that hold only units or words of headings."""
    found: list[int] = []
    for below in _next_rows(sheet, row):
        cells = [c for c in sheet.grid.row_cells(below) if first <= c.column <= last]
        if below > row + len(found) + 1 or not cells or any(c.kind is not Kind.TEXT for c in cells):
            break
        units = sum(read_unit(c.text) is not None for c in cells)
        strangers = sum(read_unit(c.text) is None and not _is_heading(sheet, c) for c in cells)
        if not units or strangers > (units > _SURELY_UNITS):
            break  # beside many units one word may stand that is not known: `U. | oz | oz | oz`
        found.append(below)
    return found


def _column(sheet: Sheet, index: int, row: int, above: dict[int, Cell], below: Sequence[int]) -> Column | None:
    own = sheet.cell(row, index)
    group = above.get(index)
    under = [c.text for r in below if (c := sheet.cell(r, index)) is not None]
    own_text = own.text if own is not None and own.kind is Kind.TEXT else ""
    main, at = own_text, row
    if group is not None and (not main or (read_unit(main) and sheet.words.heading(group.text).role)):
        main, at = group.text, group.row  # `Lye` over `g`
        under = [own_text, *under] if own_text else under
    left = sheet.cell(row, index - 1)
    if not main and under and left is not None and left.kind is Kind.TEXT:
        main = left.text  # `Olive` over `oz | %`
    if not main and not under:
        return None
    heading = sheet.words.heading(main)
    if heading.role is None and group is not None and own_text:
        joined = sheet.words.heading(f"{group.text} {own_text}")
        heading = joined if joined.role is not None else heading
    unit = next((u for u in map(read_unit, under) if u), None) or heading.unit
    if unit is None and group is not None and group.text != main:
        unit = sheet.words.heading(group.text).unit
    column = Column(index, clean(" ".join([main, *under])), at, heading, unit)
    column.role, column.substance, column.certainty = heading.role, heading.substance, heading.certainty
    if group is not None and sheet.words.heading(group.text).role == "ignore":
        column.role, column.substance = "ignore", None  # `cost, $` over `fats`
    column.strength = heading.strength
    if (
        heading.role is None
        and group is not None
        and (kind := sheet.words.heading(group.text).role) in INGREDIENT_ROLES
    ):
        column.role, column.why = kind, tr("stands under “{text}”", text=clean(group.text))
    return column


def _set_last_rows(sheet: Sheet, tables: list[Table]) -> None:
    """Let each table reach down to the next one that lies below it, else to the end of the sheet."""
    for number, table in enumerate(tables, start=1):
        below = [
            t.first_row - 1
            for t in tables
            if t.first_row > table.last_heading_row
            and t.first_column <= table.last_column
            and t.last_column >= table.first_column
        ]
        table.last_row = _end_of_body(sheet, table, min(below, default=sheet.grid.last_row))
        table.number = number


def _end_of_body(sheet: Sheet, table: Table, last: int) -> int:
    """Return the last row of a table: cards may begin below it, which name fats and lye where it has amounts."""
    named = [c.index for c in table.columns if c.role in INGREDIENT_ROLES or c.role == "share"]
    first_ingredient = min(named, default=table.first_column + 1)
    first = min(table.first_column, max(first_ingredient - 1, 1))  # the column of names may have no heading
    rows = [r for r in sheet.grid.rows() if table.last_heading_row < r <= last]
    starts = [i for i in range(1, len(rows)) if rows[i] > rows[i - 1] + 1]
    for place, start in enumerate(starts):
        end = starts[place + 1] if place + 1 < len(starts) else len(rows)
        if end - start <= _LONGEST_CARD and _is_card(sheet, rows[start:end], first, table.last_column):
            return rows[start - 1]
    return last


def _is_card(sheet: Sheet, rows: Sequence[int], first: int, last: int) -> bool:
    """Tell whether fats and lye are named one below the other in some rows."""
    kinds: dict[str | None, set[int]] = {"fat": set(), "alkali": set()}
    for row in rows:
        for cell in sheet.grid.row_cells(row):
            if first <= cell.column <= last and cell.kind is Kind.TEXT:
                name = sheet.words.name(cell.text)
                if name.certainty == "exact" and name.kind in kinds:
                    kinds[name.kind].add(row)
    return bool(kinds["fat"] and kinds["alkali"]) and len(kinds["fat"] | kinds["alkali"]) > 1
