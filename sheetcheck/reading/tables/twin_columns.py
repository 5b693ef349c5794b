"""Columns of a table that state the amounts of another column again, in another unit: `Lye g | Lye oz`."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column, Table
from sheetcheck.reading.text import fold
from sheetcheck.reading.units.units import dimension, split_heading_unit, to_grams
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Kind

_APART = 0.03
_MOST = 0.5  # share of the rows with both amounts in which these agree
_WEIGHED = INGREDIENT_ROLES | {"additive", "unknown"}


def stated_again(sheet: Sheet, table: Table) -> None:
    """Mark columns that state another column's amounts again, in place; pounds and ounces beside each other add up."""
    weighed = [c for c in table.of_role(*_WEIGHED) if c.unit and dimension(c.unit) == "mass"]
    for first, second in combinations(weighed, 2):
        if first.about or not _may_be_twins(first, second):
            continue
        beside = second.index == first.index + 1
        if (first.unit, second.unit) == ("lb", "oz") and beside:
            continue
        if beside or _agree(sheet, table, first, second):
            second.role, second.about = "same amount", first.index
            second.why = tr("the amounts of “{column}” again, in {unit}", column=first.text, unit=second.unit)


def _may_be_twins(first: Column, second: Column) -> bool:
    if first.unit == second.unit or first.role != second.role:
        return False
    if first.substance or second.substance:
        return first.substance == second.substance and _bare(first) == _bare(second)
    return _bare(first) == _bare(second)


def _bare(column: Column) -> str:
    """Return the heading without its unit."""
    return fold(split_heading_unit(column.heading.text or column.text)[0])


def _agree(sheet: Sheet, table: Table, first: Column, second: Column) -> bool:
    one, other = (_grams(sheet, table, column) for column in (first, second))
    both = (one > 0) & (other > 0)
    if not both.any():
        return False
    return float((np.abs(one[both] / other[both] - 1) <= _APART).mean()) >= _MOST


def _grams(sheet: Sheet, table: Table, column: Column) -> NDArray[np.float64]:
    """Return the grams of a column by row, 0 where blank or not read."""
    grid = sheet.grid
    here = (grid.column == column.index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    grams = np.zeros(table.last_row + 1)
    for i in np.flatnonzero(here).tolist():
        if grid.kind[i] == Kind.NUMBER:
            value = float(grid.number[i])
        else:
            amount = amount_only(grid.text[i]) if grid.kind[i] == Kind.TEXT else None
            value = amount.readings[0].value if amount else 0.0
        grams[grid.row[i]] = value * to_grams(1.0, column.unit or "")
    return grams
