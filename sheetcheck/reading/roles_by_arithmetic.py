"""Doubtful columns settled by arithmetic: the reading under which most rows of a table balance.

A row balances where its lye is what its fats take up, less a superfat as makers choose it, and its liquid what such an
amount of lye is dissolved in. Only columns are settled so, never single rows: a wrong amount must stay wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.entries import amount_only
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables import Column, Table
from sheetcheck.reading.units import to_grams
from sheetcheck.reference import constants, substances
from sheetcheck.workbook.grid import Kind

_SUPERFAT = (-3.0, 25.0)  # percent, common practice with some room, no source
_LIQUID_TO_LYE = (1.2, 4.5)  # common practice, no source
_MOST = 0.8
_LEAST_ROWS = 3
_TAKEN_FOR_CAUSTIC = frozenset({"sodium carbonate", "sodium hydroxide solution"})


@dataclass(frozen=True, slots=True)
class _Amounts:
    """Columns of numbers by row, in grams where a unit is known; 0 where blank."""

    sheet: Sheet
    table: Table

    def of(self, column: Column) -> NDArray[np.float64]:
        grid, table = self.sheet.grid, self.table
        here = (grid.column == column.index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
        values = np.where(grid.kind[here] == Kind.NUMBER, grid.number[here], 0.0)
        for place, i in enumerate(np.flatnonzero(here).tolist()):
            if grid.kind[i] == Kind.TEXT:
                amount = amount_only(grid.text[i])
                values[place] = amount.readings[0].value if amount else 0.0
        factor = to_grams(1.0, column.unit) if column.unit and column.unit != "%" else 1.0
        rows = np.zeros(table.last_row + 1)
        rows[grid.row[here]] = values * (factor if np.isfinite(factor) else 1.0)
        return rows

    def demand(self, fats: Sequence[Column]) -> NDArray[np.float64]:
        """Return the sodium hydroxide that the fats of each row take up; NaN where a fat is not known."""
        total = np.zeros(self.table.last_row + 1)
        for fat in fats:
            amounts = self.of(fat)
            value = substances()[fat.substance].sap_typical if fat.substance else np.nan
            needed = amounts * value / 1000 * constants().naoh_per_koh
            total += np.where(amounts > 0, needed, 0.0)
        return total


def settle_by_arithmetic(sheet: Sheet, table: Table) -> None:
    """Settle columns whose heading leaves them in doubt, in place."""
    fats = [c for c in table.of_role("fat") if c.unit != "%"]
    if not fats:
        return
    amounts = _Amounts(sheet, table)
    doubtful = [c for c in table.columns if c.role is None and c.text]
    if not table.of_role("alkali"):
        _find_alkali(table, amounts, fats, doubtful)
    for column in table.of_role("alkali"):
        if column.substance in _TAKEN_FOR_CAUSTIC and np.isnan(column.strength):
            _take_for_caustic(table, amounts, fats, column)
    if table.of_role("alkali") and not table.of_role("liquid"):
        _find_liquid(table, amounts, [c for c in doubtful if c.role is None])


def _balance(lye: NDArray[np.float64], demand: NDArray[np.float64]) -> tuple[float, int]:
    """Return which share of the rows that have lye and known fats balance, and how many those rows are."""
    rows = (lye > 0) & (demand > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        superfat = 100 * (1 - lye / demand)
    fits = (superfat >= _SUPERFAT[0]) & (superfat <= _SUPERFAT[1])
    return (float(fits[rows].mean()) if rows.any() else 0.0), int(rows.sum())


def _find_alkali(table: Table, amounts: _Amounts, fats: Sequence[Column], doubtful: Sequence[Column]) -> None:
    demand = amounts.demand(fats)
    for column in doubtful:
        share, rows = _balance(amounts.of(column), demand)
        if share >= _MOST and rows >= _LEAST_ROWS:
            column.role, column.substance, column.certainty = "alkali", "sodium hydroxide", "read as"
            column.unit = column.unit or fats[0].unit
            column.why = f"its heading says nothing; {share:.0%} of {rows} rows balance if it is the lye"
            table.evidence.append(f"{column.text!r} is taken for the lye: {share:.0%} of {rows} rows balance so")
            return


def _take_for_caustic(table: Table, amounts: _Amounts, fats: Sequence[Column], column: Column) -> None:
    share, rows = _balance(amounts.of(column), amounts.demand(fats))
    if share >= _MOST and rows >= _LEAST_ROWS:
        column.substance, column.certainty = "sodium hydroxide", "read as"
        column.why = f"{share:.0%} of {rows} rows balance if it is sodium hydroxide"
        table.evidence.append(f"{column.text!r} is taken for sodium hydroxide: {share:.0%} of {rows} rows balance so")


def _find_liquid(table: Table, amounts: _Amounts, doubtful: Sequence[Column]) -> None:
    lye = sum((amounts.of(c) for c in table.of_role("alkali")), np.zeros(table.last_row + 1))
    for column in doubtful:
        liquid = amounts.of(column)
        rows = (liquid > 0) & (lye > 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = liquid / lye
        fits = (ratio >= _LIQUID_TO_LYE[0]) & (ratio <= _LIQUID_TO_LYE[1])
        if rows.sum() >= _LEAST_ROWS and fits[rows].mean() >= _MOST:
            column.role, column.certainty = "liquid", "read as"
            column.unit = column.unit or table.of_role("alkali")[0].unit
            column.why = "its heading says nothing; it is what such an amount of lye is dissolved in"
            table.evidence.append(f"{column.text!r} is taken for the liquid: it goes with the lye in most rows")
            return


def balances(sheet: Sheet, table: Table) -> bool:
    """Tell whether at least two rows of a table, and half of them, balance: it holds recipes, whatever it is called."""
    fats = [c for c in table.of_role("fat") if c.unit != "%"]
    lye = table.of_role("alkali")
    if not fats or not lye or not table.of_role("liquid"):
        return False
    amounts = _Amounts(sheet, table)
    share, rows = _balance(amounts.of(lye[0]), amounts.demand(fats))
    return rows >= 2 and share >= 0.5
