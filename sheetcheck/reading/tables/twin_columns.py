"""Columns of a table that state the amounts of another column again, in another unit: `Lye g | Lye oz`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

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
_MOST_ALIKE = 60  # columns under one heading that are compared, each with all others
_WEIGHED = INGREDIENT_ROLES | {"additive", "unknown"}


def stated_again(sheet: Sheet, table: Table) -> None:
    """Mark columns that state another column's amounts again, in place; pounds and ounces beside each other add up."""
    alike: dict[tuple[str | None, str | None, str], list[Column]] = defaultdict(list)
    for column in table.of_role(*_WEIGHED):
        if column.unit and dimension(column.unit) == "mass":
            alike[column.role, column.substance or None, _bare(column)].append(column)
    for first, second in (pair for columns in alike.values() for pair in _in_two_units(columns)):
        if first.about or second.about:
            continue
        beside = second.index == first.index + 1
        if (first.unit, second.unit) == ("lb", "oz") and beside:
            continue
        if beside or _agree(sheet, table, first, second):
            second.role, second.about = "same amount", first.index
            second.why = tr("the amounts of “{column}” again, in {unit}", column=first.text, unit=second.unit)


def _in_two_units(columns: Sequence[Column]) -> Iterator[tuple[Column, Column]]:
    """Yield the pairs of columns under one heading that have different units; of very many, those side by side."""
    if len({column.unit for column in columns}) > 1:
        pairs = combinations(columns, 2) if len(columns) <= _MOST_ALIKE else pairwise(columns)
        yield from ((one, two) for one, two in pairs if one.unit != two.unit)


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
