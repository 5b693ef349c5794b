"""Which rows of a table are recipes, which are section titles, sums, or notes in between."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.amounts.texts import amount_with_remark
from sheetcheck.reading.entries import is_nothing
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column, Table
from sheetcheck.reading.words import is_plain_total, is_total
from sheetcheck.workbook.grid import Cell, Kind

_DOWN = re.compile(r"\$?([A-Z]{1,3})\$?(\d+):\$?([A-Z]{1,3})\$?(\d+)")
_ENOUGH_TO_SUM = 2
_NAME_WORDS = 6
_SET_OFF = re.compile(r"[(\[*=~#-].*[)\]*=~#-]", re.DOTALL)
_AMOUNT_ROLES = INGREDIENT_ROLES | {"unknown", "ingredient"}


@dataclass(slots=True)
class Rows:
    """The rows of a table's body by what they are."""

    recipes: NDArray[np.int64]  # row numbers, ascending
    sections: list[Cell] = field(default_factory=list)  # the text that titles what follows
    totals: list[int] = field(default_factory=list)
    notes: list[Cell] = field(default_factory=list)


def sort_rows(sheet: Sheet, table: Table, name_column: Column | None) -> Rows:
    """Sort the rows of a table's body."""
    grid = sheet.grid
    inside = _body(sheet, table)
    size = table.last_row + 2
    row, column, kind = grid.row[inside], grid.column[inside], grid.kind[inside]
    amounts = np.isin(column, [c.index for c in table.columns if c.role in _AMOUNT_ROLES])
    amounts[amounts] = _says_something(sheet, inside[amounts])
    named = (column == name_column.index) & (kind != Kind.ERROR) if name_column else np.zeros(len(row), dtype=bool)
    has_cells = np.bincount(row, minlength=size) > 0
    has_amounts = np.bincount(row[amounts], minlength=size) > 0
    has_amounts[_of_lone_words(sheet, inside, row)] = False
    has_name = np.bincount(row[named], minlength=size) > 0
    rows = Rows(np.empty(0, dtype=np.int64))
    recipes = set(np.flatnonzero(has_amounts).tolist())
    for number in np.flatnonzero(has_cells & ~has_amounts).tolist():
        cells = [c for c in grid.row_cells(number) if table.first_column <= c.column <= table.last_column]
        if not _sort_without_amounts(sheet, table, name_column, cells, rows):
            recipes.add(number)
    recipes -= _title_of_next(sheet, table, has_cells, has_amounts)
    recipes -= _without_name_or_lye(sheet, table, recipes, np.flatnonzero(has_name))
    totals = _total_rows(sheet, table, name_column, np.flatnonzero(has_amounts | has_name))
    rows.totals = sorted(totals)
    rows.recipes = np.array(sorted(recipes - totals), dtype=np.int64)
    return rows


def _title_of_next(
    sheet: Sheet, table: Table, has_cells: NDArray[np.bool_], has_amounts: NDArray[np.bool_]
) -> set[int]:
    """Return the last row of a table where it is words without an amount, a blank row above: they title the next."""
    row = table.last_row
    if not has_amounts[row] or has_cells[row - 1] or row >= sheet.grid.last_row:
        return set()
    cells = [c for c in sheet.grid.row_cells(row) if table.first_column <= c.column <= table.last_column]
    return set() if any(c.kind is not Kind.TEXT or amount_with_remark(c.text) for c in cells) else {row}


def _without_name_or_lye(sheet: Sheet, table: Table, recipes: Collection[int], named: NDArray[np.int64]) -> set[int]:
    """Return rows between named recipes that have neither a name nor lye: the shares of the row above, a remark."""
    alkali = [c.index for c in table.columns if c.role in ("alkali", "unknown") or c.role == "ingredient"]
    grid = sheet.grid
    with_lye = set(grid.row[np.isin(grid.column, alkali)].tolist())
    bare = set(recipes) - set(named.tolist()) - with_lye
    return bare if alkali and len(bare) < len(set(recipes) & set(named.tolist())) + 1 else set()


def _body(sheet: Sheet, table: Table) -> NDArray[np.int64]:
    grid = sheet.grid
    start = int(np.searchsorted(grid.row, table.last_heading_row, "right"))
    end = int(np.searchsorted(grid.row, table.last_row, "right"))
    column = grid.column[start:end]
    free = ~sheet.taken[start:end]
    return start + np.flatnonzero((column >= table.first_column) & (column <= table.last_column) & free)


def _of_lone_words(sheet: Sheet, inside: NDArray[np.int64], row: NDArray[np.int32]) -> list[int]:
    """Return the rows that hold one text and no amount, in whichever column: a remark, or the title of what follows."""
    rows, first, count = np.unique(row, return_index=True, return_counts=True)
    alone = [(int(r), sheet.grid.at(int(inside[i]))) for r, i in zip(rows[count == 1], first[count == 1], strict=True)]
    return [r for r, c in alone if c.kind is Kind.TEXT and "?" not in c.text and not amount_with_remark(c.text)]


def _says_something(sheet: Sheet, inside: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return which cells are neither zero nor a word for nothing."""
    kind, number, text = sheet.grid.kind[inside], sheet.grid.number[inside], sheet.grid.text[inside]
    says: NDArray[np.bool_] = ~((kind == Kind.NUMBER) & (number == 0))
    texts = np.flatnonzero(kind == Kind.TEXT)
    nothing = {each for each in set(text[texts].tolist()) if "?" not in each and is_nothing(each)}
    says[texts] = [each not in nothing for each in text[texts].tolist()]
    return says


def _sort_without_amounts(
    sheet: Sheet, table: Table, name_column: Column | None, cells: list[Cell], rows: Rows
) -> bool:
    """Keep a row without amounts as a section title or a note; False where it is a recipe that only has a name."""
    name = next((c for c in cells if name_column and c.column == name_column.index), None)
    texts = [c for c in cells if c.kind is Kind.TEXT]
    if name is not None and name.kind is Kind.TEXT:
        alone = len(cells) == 1
        titles = _looks_like_title(sheet, table, name) or _reads_like_a_note(name.text) or superfat_said(name.text)
        if not (alone and titles):
            return False
    if texts and len(texts) == len(cells) <= 2:
        rows.sections.append(texts[0])
    else:
        rows.notes.extend(texts)
    return True


def _reads_like_a_note(text: str) -> bool:
    """Tell whether a lone text is a sentence or set off by marks (`-- moved house --`): no soap to be filled in."""
    if _SET_OFF.fullmatch(text.strip()):
        return True
    return len(text.split()) > _NAME_WORDS or (text[:1].islower() and len(text.split()) > 2)


def _looks_like_title(sheet: Sheet, table: Table, cell: Cell) -> bool:
    """Tell whether a lone text in the column of names is a section title and not a recipe still to be filled in."""
    merge = sheet.merged.get((cell.row, cell.column))
    if (merge and merge[3] > merge[1]) or cell.text.isupper() or cell.text.rstrip().endswith(":"):
        return True
    neighbours = [sheet.cell(r, cell.column) for r in (cell.row - 1, cell.row + 1) if r > table.last_heading_row]
    styles = {(n.style.bold, n.style.filled) for n in neighbours if n is not None}
    alone = len(neighbours) > len([n for n in neighbours if n is not None])
    return (cell.style.bold, cell.style.filled) not in styles or alone


# --------------------------------------------------------------------------- sums


def _total_rows(sheet: Sheet, table: Table, name_column: Column | None, rows: NDArray[np.int64]) -> set[int]:
    """Return the rows whose amounts are sums over the rows above: by their name, their formulas or their numbers."""
    summed = _rows_with_formulas_down(sheet, table)
    named = _named_as_totals(sheet, name_column, rows)
    found: set[int] = set()
    for row in sorted(named.keys() | summed | _unnamed(sheet, name_column, rows)):
        if is_plain_total(named.get(row, "")) or _is_sum_of_rows_above(
            sheet, table, row, by_formula=row in summed, sums=found
        ):
            found.add(row)
    return found


def _named_as_totals(sheet: Sheet, name_column: Column | None, rows: NDArray[np.int64]) -> dict[int, str]:
    """Return rows, and by which name, that say that they are sums."""
    wanted = set(rows.tolist())
    first = name_column.index if name_column else 0
    grid = sheet.grid
    names = np.flatnonzero((grid.kind == Kind.TEXT) & (grid.column <= first))
    named = zip(grid.row[names].tolist(), grid.text[names].tolist(), strict=True)
    return {row: text for row, text in named if is_total(text) and row in wanted}


def _unnamed(sheet: Sheet, name_column: Column | None, rows: NDArray[np.int64]) -> set[int]:
    if name_column is None:
        return set()
    named = sheet.grid.row[sheet.grid.column == name_column.index]
    return set(np.setdiff1d(rows, named).tolist())


def _rows_with_formulas_down(sheet: Sheet, table: Table) -> set[int]:
    """Return rows in which every formula over amounts runs over a range of rows above it."""
    columns = {c.index for c in table.columns if c.role in _AMOUNT_ROLES or c.role in ("fats total", "batch total")}
    down: Counter[int] = Counter()
    across: set[int] = set()
    for (row, column), formula in sheet.grid.formulas.items():
        if column in columns and table.last_heading_row < row <= table.last_row:
            ranges = _DOWN.findall(formula.upper())
            if ranges and all(a == c and int(top) < int(end) < row for a, top, c, end in ranges):
                down[row] += 1
            else:
                across.add(row)
    return {row for row in down if row not in across}


def _is_sum_of_rows_above(sheet: Sheet, table: Table, row: int, *, by_formula: bool, sums: Collection[int]) -> bool:
    """Tell whether all amounts of a row are sums of what stands above them, earlier `sums` apart (or formulas)."""
    amounts = {c.index for c in table.columns if c.role in _AMOUNT_ROLES}
    summed = amounts | {c.index for c in table.columns if c.role in ("fats total", "batch total")}
    numbers = [c for c in sheet.grid.row_cells(row) if c.column in summed and c.kind is Kind.NUMBER and c.number]
    typed = [c for c in numbers if c.formula is None and c.column in amounts]
    if by_formula and not typed:
        return True
    if not numbers:
        return not any(c.column in amounts for c in sheet.grid.row_cells(row))
    starts = {max([*sums, table.last_heading_row]), table.last_heading_row}
    return any(all(_is_sum(sheet, c, start, sums) for c in numbers) for start in starts)


def _is_sum(sheet: Sheet, cell: Cell, since: int, sums: Collection[int]) -> bool:
    grid = sheet.grid
    above = (grid.column == cell.column) & (grid.row > since) & (grid.row < cell.row) & (grid.kind == Kind.NUMBER)
    values = grid.number[above & ~np.isin(grid.row, list(sums))]
    total = float(values.sum())
    return len(values) >= _ENOUGH_TO_SUM and abs(total - cell.number) <= 0.005 * abs(total)
