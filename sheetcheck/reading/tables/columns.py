"""The roles of a table's columns, beyond what each heading says by itself."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from sheetcheck.reading.amounts.texts import amount_with_remark
from sheetcheck.reading.entries import is_nothing, mostly_sugar
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.no_ingredient import why_no_ingredient
from sheetcheck.reading.tables.percent_recipes import mark_percentages
from sheetcheck.reading.tables.roles_by_arithmetic import Amounts, settle_strengths
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column, Table, holds_several
from sheetcheck.reading.tables.twin_columns import stated_again
from sheetcheck.reading.text import fold
from sheetcheck.reading.units.units import read_unit
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Kind

_SAMPLE = 200
_MOSTLY = 0.7
_MOSTLY_TEXTS = 0.8
_FATS_IN_CELLS = later("the fats are named in its cells")
_FURTHER, _SAYS_ELSE = 0.1, 0.3  # shares of different texts that a place to the left, and a heading, outweigh
ROLES = frozenset(
    {
        *("recipe", "number", "date", "ingredient", "amount", "unit", "share", "notes", "ignore"),
        *("fat", "alkali", "liquid", "acid", "additive", "unknown"),
        *("fats total", "batch total", "superfat", "lye concentration", "liquid to lye", "alkali strength"),
        *("same amount", "yield"),
    }
)


def settle_columns(sheet: Sheet, table: Table) -> Column | None:
    """Settle the role of every column, in place; return the column of the recipes' names, None where there is none."""
    for column in table.columns:
        if column.role == "liquid" and mostly_sugar(column.substance):
            column.role = "additive"
        _as_set(sheet, column)
    name_column = _name_column(sheet, table)
    _fats_without_names(sheet, table)
    mark_percentages(sheet, table)
    _shares(table)
    stated_again(sheet, table)
    _units_without_heading(sheet, table)
    _numbers_without_heading(sheet, table)
    settle_strengths(sheet, table)
    _amounts_of_nothing(table)
    _without_role(sheet, table, name_column)
    return name_column


def _as_set(sheet: Sheet, column: Column) -> None:
    """Apply the user's settings to one column."""
    if sheet.left_out(column.index):
        column.role, column.substance, column.why = "ignore", None, tr("left out in the settings")
        return
    role = sheet.role_set(sheet.place(column.index))
    if role is None:
        return
    column.why = tr("set to “{role}” in the settings", role=role)
    if role in ROLES:
        column.role = role
        if role not in INGREDIENT_ROLES:
            column.substance = None
        return
    name = sheet.words.name(role)
    column.role, column.substance, column.certainty = name.kind or "unknown", name.substance, name.certainty


def _name_column(sheet: Sheet, table: Table) -> Column | None:
    """Return the column that names the recipes: by its heading, else the likeliest one of texts that are no amounts."""
    if sheet.names_at is not None:
        column = next((c for c in table.columns if c.index == sheet.names_at), None)
        return _make_name_column(sheet, table, column, sheet.names_at)
    named = table.of_role("recipe")
    if named:
        of_texts = [c for c in named if _share_of_texts(sheet, table, c.index) > 0.5]
        column = min(of_texts or named, key=lambda c: c.heading.certainty != "exact")  # `Batch | Soap`
        for other in named:
            if other is not column:
                other.role = "number" if other.heading.certainty == "exact" else None  # `what` may name an ingredient
        return column
    columns = {c.index: c for c in table.columns}
    places = range(max(1, table.first_column - 2), table.last_column + 1)
    free = [i for i in places if i not in columns or columns[i].role in (None, "number", "ignore")]
    texts = [i for i in free if _share_of_texts(sheet, table, i) > _MOSTLY_TEXTS]
    if texts:
        best = max(texts, key=lambda i: _like_names(sheet, table, i, columns.get(i)) - _FURTHER * texts.index(i))
        return _make_name_column(sheet, table, columns.get(best), best)
    numbered = table.of_role("number") or table.of_role("date")
    if numbered:
        numbered[0].role, numbered[0].why = "recipe", tr("recipes have no other name")
        return numbered[0]
    return None


def _make_name_column(sheet: Sheet, table: Table, column: Column | None, index: int) -> Column:
    if column is None:
        column = Column(index, "", table.heading_row, sheet.words.heading(""))
        table.columns.append(column)
        table.columns.sort(key=lambda c: c.index)
    column.role, column.why = "recipe", tr("no heading says so; it holds texts that are no amounts")
    return column


def _like_names(sheet: Sheet, table: Table, index: int, column: Column | None) -> float:
    """Return how like names of recipes the texts of a column are: seldom the same, under no heading that says else."""
    grid = sheet.grid
    here = (grid.column == index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    texts = grid.text[here][:_SAMPLE].tolist()
    says_else = column is not None and column.role == "ignore"
    numbered = sum(any(map(str.isdigit, text)) for text in texts) / max(len(texts), 1)  # `wk 12`
    return len(set(texts)) / max(len(texts), 1) - _SAYS_ELSE * (says_else + numbered)


def _share_of_texts(sheet: Sheet, table: Table, index: int) -> float:
    """Return which share of a column's cells are texts and no amounts, over its first rows; a dash is a blank."""
    grid = sheet.grid
    here = np.flatnonzero((grid.column == index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row))
    filled = [i for i in here[:_SAMPLE].tolist() if grid.kind[i] != Kind.TEXT or not is_nothing(grid.text[i])]
    texts = [i for i in filled if grid.kind[i] == Kind.TEXT and not amount_with_remark(grid.text[i])]
    return len(texts) / max(len(filled), 1)


def _names_ingredients(sheet: Sheet, table: Table, index: int) -> bool:
    """Tell whether most cells of a column, over its first rows, are names of what soap is made of."""
    grid = sheet.grid
    here = (grid.column == index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    texts = [text for text in grid.text[here][:_SAMPLE].tolist() if text]
    named = sum(sheet.words.name(text).kind in INGREDIENT_ROLES for text in texts)
    return len(texts) > 1 and named >= _MOSTLY * min(int(here.sum()), _SAMPLE)


def _fats_without_names(sheet: Sheet, table: Table) -> None:
    """Where no column names a fat, read the fats from a column of names, else take their sum for an unknown fat."""
    _named_in_cells(sheet, table)
    if any(c.substance for c in table.of_role("fat", "share")):
        return
    for column in table.of_role("ingredient", "fats total"):
        if _share_of_texts(sheet, table, column.index) > 0.5:
            column.role, column.why = "ingredient", tr(_FATS_IN_CELLS)
    if not table.of_role("ingredient"):
        for column in table.of_role("fats total"):
            column.role, column.why = "fat", tr("fats that are not named")


def _named_in_cells(sheet: Sheet, table: Table) -> None:
    """Find the columns in whose cells ingredients are named, with their amounts there or in the next column."""
    for column, following in pairwise(table.columns):
        named = column.role == "liquid" and following.role == "amount"
        if named and _share_of_texts(sheet, table, column.index) > 0.5:
            column.role, column.why = "ingredient", tr("the liquid is named in its cells")
        elif column.role is None and following.role == "amount" and _names_ingredients(sheet, table, column.index):
            column.role, column.why = "ingredient", tr("ingredients are named in its cells")
    for column in table.columns:
        if column.role is None and holds_several(sheet, table.last_heading_row, column.index):
            column.role, column.why = "ingredient", tr(_FATS_IN_CELLS)


def _units_without_heading(sheet: Sheet, table: Table) -> None:
    """Find columns that hold nothing but units, under no heading or one that says nothing (`U.`)."""
    grid = sheet.grid
    known = {c.index for c in table.columns if c.role is not None}
    for index in set(range(table.first_column, table.last_column + 1)) - known:
        here = (grid.column == index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
        texts = grid.text[here][:_SAMPLE].tolist()
        if texts and all(read_unit(text) for text in texts):
            said = next((c.text for c in table.columns if c.index == index), "")
            column = Column(
                index, said, table.heading_row, sheet.words.heading(""), role="unit", why=tr("it holds units")
            )
            table.columns = sorted([*(c for c in table.columns if c.index != index), column], key=lambda c: c.index)


def _shares(table: Table) -> None:
    """Tell percentages that stand beside amounts of the same fat from the amounts themselves."""
    weighed = {c.substance for c in table.of_role(*INGREDIENT_ROLES) if c.unit != "%" and c.substance}
    for column in table.of_role("fat"):
        if column.unit == "%" and column.substance in weighed:
            column.role, column.why = (
                "share",
                tr("a percentage beside the amounts of {substance}", substance=tr(column.substance or "")),
            )


def _without_role(sheet: Sheet, table: Table, name_column: Column | None) -> None:
    """Take every column of numbers that nothing explains for an ingredient that is not known: it may take up lye."""
    named = {fold(c.heading.text) for c in table.columns if c.role is None and c.unit != "%"}
    amounts = Amounts(sheet, table)
    for column in table.columns:
        if column.role is not None or column is name_column:
            continue
        if column.unit == "%" and fold(column.heading.text) in named:
            column.role, column.why = (
                "share",
                tr("a percentage beside the amounts of {substance}", substance=column.heading.text),
            )
            continue
        if _share_of_texts(sheet, table, column.index) >= 0.5:
            column.role, column.why = "ignore", tr("its heading names nothing that is weighed")
        elif why := why_no_ingredient(amounts, column):
            column.role, column.why = "ignore", why
        else:
            column.role, column.why = "unknown", tr("an ingredient that is not in the tables")


def _amounts_of_nothing(table: Table) -> None:
    """Leave aside columns headed as amounts that no column of names stands before: a list beside the recipes.

    Among ingredients a heading that says no more than a unit may be a short form (`Cas`), and they amounts of it.
    """
    for before, column in pairwise([None, *table.columns]):
        if column is None or column.role != "amount" or (before is not None and before.role == "ingredient"):
            continue
        if read_unit(column.text) and before is not None and before.role in INGREDIENT_ROLES:
            column.role, column.unit = None, None
        else:
            column.role, column.why = "ignore", tr("no column beside it names what it is an amount of")


def _numbers_without_heading(sheet: Sheet, table: Table) -> None:
    """Add the columns that hold numbers under no heading, so that none is passed over."""
    known = {c.index for c in table.columns}
    for index in set(range(table.first_column, table.last_column + 1)) - known:
        if _share_of_numbers(sheet, table, index) > 0:
            column = Column(index, "", table.heading_row, sheet.words.heading(""))
            _as_set(sheet, column)
            table.columns = sorted([*table.columns, column], key=lambda c: c.index)


def _share_of_numbers(sheet: Sheet, table: Table, index: int) -> float:
    """Return which share of the rows of a table hold a number in a column."""
    grid = sheet.grid
    here = (grid.column == index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    return float(np.count_nonzero(grid.kind[here] == Kind.NUMBER)) / max(table.last_row - table.last_heading_row, 1)
