"""Weights of fats, lye and liquid that no layout has read: in a remark, or in a line that belongs to no recipe.

They are listed, so that nothing is passed over in silence. A table tells of each of its columns how it was understood,
and a list that says what it is (prices, stock) is listed as a whole: there the cells are not looked at again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from sheetcheck.model import NotUnderstood, SheetAccount, column_letters
from sheetcheck.reading.amounts.texts import amount_only, is_amount, split_name_and_amount
from sheetcheck.reading.assemble import Draft
from sheetcheck.reading.cards.lanes import is_ingredient
from sheetcheck.reading.entries import unit_shown
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import INGREDIENT_ROLES
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.unit_list import unit_of_spelling
from sheetcheck.reading.units.units import dimension, read_unit
from sheetcheck.words import later, tr, tr_count
from sheetcheck.workbook.grid import Cell, Kind

_BITS = 15
_MOST_CELLS = 20_000  # outside the tables of a sheet: a longer list is something else
_MOST_NUMBERS = 500  # of those that nothing knows, whose names are looked at
_LONGEST = 120  # characters of a remark that is taken apart
_BETWEEN = re.compile(r"\s*(?:[;:\n+()]|,(?!\d)|\b(?:plus|add|and|und|et|y|e|en|with|mit)\b)\s*", re.IGNORECASE)
_NO_AMOUNT = re.compile(r"[£€$%]|\[\$|yy|mm")
_NUMBER_AND_WORD = re.compile(r"\d\s?([^\W\d_]{1,9})")
_ALONE = re.compile(r"\d+(?:[.,]\d+)? [^\W\d_]+\.?")
_IN_WORDS = later("an amount among words: it was not counted in any recipe")
_LINE = later("it looks like a line of a recipe, and belongs to none that was found")

Mask = NDArray[np.bool_]


def list_passed_over(sheet: Sheet, first: int) -> None:
    """List what looks like an amount of a recipe and was not read; the sheet's recipes are the drafts from `first`."""
    recipes = sheet.found.drafts[first:]
    listed = {n.cell for n in sheet.found.not_understood if n.sheet == sheet.name}
    free = ~_used(sheet)
    found = list(_in_words(sheet, free)) if recipes else []
    if recipes or not sheet.says_what_it_is:
        found += _lines(sheet, free & ~_explained(sheet), bare_too=bool(recipes))
    if recipes:
        _account(sheet, recipes, ~free)
    named = {(d.row, d.column) for d in recipes}
    for cell, what, why in found:
        if cell.address not in listed and (cell.row, cell.column) not in named:
            listed.add(cell.address)
            sheet.found.not_understood.append(NotUnderstood(sheet.name, cell.address, clean(what), tr(why)))


def _used(sheet: Sheet) -> Mask:
    """Return which cells hold amounts or statements that were read."""
    found, name, grid = sheet.found, sheet.name, sheet.grid
    here = grid.row.astype(np.int64)
    here <<= _BITS
    here |= grid.column
    used = np.zeros(len(here), dtype=bool)
    single = [(x.row, x.column) for x in found.components if x.sheet == name]
    single += [(x.row, x.column) for x in found.statements if x.sheet == name]
    cells = [(np.array([row for row, _ in single]), np.array([column for _, column in single]))]
    blocks = (*found.component_blocks, *found.statement_blocks)
    for rows, columns in (*cells, *((b["row"], b["column"]) for b in blocks if b["sheet"] == name)):
        codes = np.asarray(rows, dtype=np.int64) << _BITS | np.asarray(columns, dtype=np.int64)
        at = np.searchsorted(here, codes)  # cells stand in reading order
        there = at < len(here)
        there[there] = here[at[there]] == codes[there]
        used[at[there]] = True
    return used


def _explained(sheet: Sheet) -> Mask:
    """Return which cells lie in a table or block that says of itself how it was understood."""
    grid, inside = sheet.grid, np.zeros(len(sheet.grid.row), dtype=bool)
    for top, left, bottom, right in sheet.explained:
        inside |= (grid.row >= top) & (grid.row <= bottom) & (grid.column >= left) & (grid.column <= right)
    return inside


# --------------------------------------------------------------------------- the account of a sheet's numbers


def _account(sheet: Sheet, recipes: Sequence[Draft], used: Mask) -> None:
    """Count what became of the numbers of a sheet: used, explained, or not read; list where the latter stand."""
    grid = sheet.grid
    numbers = grid.kind == Kind.NUMBER
    explained = numbers & ~used & (_explained(sheet) | _says_what_it_is(sheet, recipes, used))
    left = numbers & ~used & ~explained
    counts = (int(np.count_nonzero(mask)) for mask in (numbers, numbers & used, explained))
    sheet.found.accounts.append(SheetAccount(sheet.name, *counts))
    like_recipe = {"fat", "alkali"} <= _named_beside(sheet, left)
    for column in np.unique(grid.column[left]).tolist():
        rows = grid.row[left & (grid.column == column)]
        place = f"{column_letters(column)}{rows[0]}" + (f":{column_letters(column)}{rows[-1]}" if len(rows) > 1 else "")
        why = tr_count(
            "{count} number here is neither part of a recipe nor explained",
            "{count} numbers here are neither part of a recipe nor explained",
            len(rows),
        )
        sheet.found.not_understood.append(
            NotUnderstood(
                sheet.name,
                place,
                f"{grid.number[left & (grid.column == column)][0]:g}",
                why,
                like_recipe=like_recipe,
            )
        )


def _named_beside(sheet: Sheet, left: Mask) -> set[str]:
    """Return what kinds of ingredients are named right above or left of numbers that nothing knows."""
    grid, kinds = sheet.grid, set[str]()
    for i in np.flatnonzero(left)[:_MOST_NUMBERS].tolist():
        row, column = int(grid.row[i]), int(grid.column[i])
        above = np.flatnonzero((grid.column == column) & (grid.row < row) & (grid.kind == Kind.TEXT))[-1:]
        beside = np.flatnonzero((grid.row == row) & (grid.column < column) & (grid.kind == Kind.TEXT))[-1:]
        for at in (*above.tolist(), *beside.tolist()):
            heading, name = sheet.words.heading(str(grid.text[at])), sheet.words.name(str(grid.text[at]))
            kinds |= {heading.role or "", name.kind or ""}
    return kinds


def _says_what_it_is(sheet: Sheet, recipes: Sequence[Draft], used: Mask) -> Mask:
    """Return the numbers that are computed, shown as money, a share or a date, beside a title, or number the rows."""
    grid = sheet.grid
    of_style = np.array([bool(_NO_AMOUNT.search(style.number_format)) for style in grid.styles], dtype=bool)
    told = sheet.is_formula | of_style[grid.style]
    weighed = np.isin([d.row for d in recipes], np.unique(grid.row[used])).tolist()
    for d in (d for d, is_weighed in zip(recipes, weighed, strict=True) if not is_weighed):
        # beside a title: a date, a number of the batch
        told |= (grid.row == d.row) & (grid.column >= d.first_column) & (grid.column <= d.last_column)
    for column in np.unique(grid.column).tolist():
        at = np.flatnonzero((grid.column == column) & (grid.kind == Kind.NUMBER))
        if len(at) > 2 and (np.diff(grid.number[at]) == 1).all():
            told[at] = True
    return np.asarray(told, dtype=np.bool_)


# --------------------------------------------------------------------------- among words


def _in_words(sheet: Sheet, free: Mask) -> Iterator[tuple[Cell, str, str]]:
    """Yield the texts that give the weight of a fat, lye or liquid among other words."""
    grid = sheet.grid
    at = np.flatnonzero(free & (grid.kind == Kind.TEXT))
    telling = {text for text in set(grid.text[at].tolist()) if _gives_a_weight(sheet, text)}
    for i in at.tolist() if telling else ():
        if grid.text[i] in telling:
            yield grid.at(i), str(grid.text[i]), _IN_WORDS


def _gives_a_weight(sheet: Sheet, text: str) -> bool:
    if len(text) > _LONGEST:
        return False
    if _ALONE.fullmatch(text.strip()):  # `6 lard`, a line like the others of a list
        split = split_name_and_amount(text)
        return split is not None and sheet.words.name(split[0]).kind in INGREDIENT_ROLES
    if not any(unit_of_spelling(word) for word in _NUMBER_AND_WORD.findall(text)):
        return False
    return any(_is_weight_of_ingredient(sheet, part) for part in _BETWEEN.split(text) if part)


def _is_weight_of_ingredient(sheet: Sheet, part: str) -> bool:
    split = split_name_and_amount(part)
    amount = amount_only(split[1]) if split and split[0] else None
    amount = amount or (amount_only(split[1].removesuffix(split[0])) if split else None)
    if split is None or amount is None or not _weighs(amount.readings[0].unit):
        return False
    name = sheet.words.name(split[0])
    return name.certainty == "exact" and name.kind in INGREDIENT_ROLES


def _weighs(unit: str | None) -> bool:
    return unit is not None and dimension(unit) in ("mass", "volume")


# --------------------------------------------------------------------------- lines


def _lines(sheet: Sheet, free: Mask, *, bare_too: bool) -> Iterator[tuple[Cell, str, str]]:
    """Yield the amounts that stand beside the name of an ingredient in a row of which nothing was read."""
    grid = sheet.grid
    read = np.zeros(grid.last_row + 1, dtype=bool)
    read[grid.row[~free]] = True
    at = np.flatnonzero(free & ~read[grid.row])
    if len(at) > _MOST_CELLS:
        return
    rows: dict[int, list[Cell]] = {}
    for i in at.tolist():
        rows.setdefault(int(grid.row[i]), []).append(grid.at(i))
    for cells in rows.values():
        for place, cell in enumerate(cells):
            if cell.kind is Kind.TEXT and (found := _amount_of(sheet, cells, place, bare_too=bare_too)):
                yield found, cell.text if found is cell else f"{cell.text}: {found.text or f'{found.number:g}'}", _LINE


def _amount_of(sheet: Sheet, cells: Sequence[Cell], place: int, *, bare_too: bool) -> Cell | None:
    """Return the cell with the amount of an ingredient: that with its name, or the next one."""
    name = cells[place]
    if _is_weight_of_ingredient(sheet, name.text):
        return name
    following = cells[place + 1] if place + 1 < len(cells) else None
    if following is None or not is_ingredient(sheet, name) or not is_amount(following):
        return None
    beside = cells[place + 2].text if place + 2 < len(cells) else ""
    return following if bare_too or _weighs(_unit_of(following) or read_unit(beside)) else None


def _unit_of(cell: Cell) -> str | None:
    if cell.kind is Kind.TEXT:
        amount = amount_only(cell.text)
        return amount.readings[0].unit if amount else None
    return unit_shown(cell.style.number_format)
