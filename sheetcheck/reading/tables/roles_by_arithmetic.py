"""Doubtful columns settled by arithmetic: the reading under which most rows of a table balance.

A row balances where its lye is what its fats take up, less a superfat as makers choose it, and its liquid what such an
amount of lye is dissolved in. Only columns are settled so, never single rows: a wrong amount must stay wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.names.forms import split_strength
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import Column, Table
from sheetcheck.reading.units.units import to_grams
from sheetcheck.reference import constants, substances
from sheetcheck.words import number, tr
from sheetcheck.workbook.grid import Kind

_SUPERFAT = (-3.0, 25.0)  # percent, common practice with some room, no source
_LIQUID_TO_LYE = (1.2, 4.5)  # common practice, no source
LEAST_PURE = 0.7  # share below which a percentage of an alkali is no purity
_MOST = 0.8
_LEAST_ROWS = 3


@dataclass(frozen=True, slots=True)
class Amounts:
    """Columns of numbers by row, in grams where a unit is known; 0 where blank."""

    sheet: Sheet
    table: Table
    read: dict[tuple[int, str | None], NDArray[np.float64]] = field(default_factory=dict)  # by column and unit

    def of(self, column: Column) -> NDArray[np.float64]:
        """Return the amounts of a column."""
        place = column.index, column.unit
        if place not in self.read:
            self.read[place] = self._read(column)
        return self.read[place]

    def _read(self, column: Column) -> NDArray[np.float64]:
        grid, table = self.sheet.grid, self.table
        here = (grid.column == column.index) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
        values = np.where(grid.kind[here] == Kind.NUMBER, grid.number[here], 0.0)
        texts = grid.text[here]
        for place in np.flatnonzero(grid.kind[here] == Kind.TEXT).tolist():
            amount = amount_only(texts[place])
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


def settle_strengths(sheet: Sheet, table: Table) -> None:
    """Take `Lye (33 %)` for dry lye that is dissolved to so much, in place, where the rows balance so and only so."""
    fats = [c for c in table.of_role("fat") if c.unit != "%"]
    amounts = Amounts(sheet, table)
    for column in table.of_role("alkali") if fats else ():
        if may_be_dry(column.heading.text or column.text, column.strength):
            _take_for_dry(table, amounts, fats, column)


def may_be_dry(name: str, strength: float) -> bool:
    """Tell whether a share beside an alkali may tell how it is dissolved: `Lye (33 %)`, but not `Lye liquor 50 %`."""
    bare = identify(split_strength(name)[1]).substance
    return strength < LEAST_PURE and not (bare and substances()[bare].solution_of)


def makes_soap(lye_g: float, fats: Sequence[tuple[str | None, float]]) -> bool:
    """Tell whether so much sodium hydroxide leaves these fats, all known, a superfat as makers choose it."""
    if not fats or not all(key and grams > 0 for key, grams in fats):
        return False
    demand = sum(substances()[key or ""].sap_typical * grams for key, grams in fats) / 1000 * constants().naoh_per_koh
    return _SUPERFAT[0] <= 100 * (1 - lye_g / demand) <= _SUPERFAT[1]


def counted(share: float, rows: int) -> dict[str, str]:
    """Return a share of rows and their number as a sentence says them."""
    return {"share": f"{number(100 * share, 0)} %", "rows": number(rows, 0)}


def _balance(lye: NDArray[np.float64], demand: NDArray[np.float64]) -> tuple[float, int]:
    """Return which share of the rows that have lye and known fats balance, and how many those rows are."""
    rows = (lye > 0) & (demand > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        superfat = 100 * (1 - lye / demand)
    fits = (superfat >= _SUPERFAT[0]) & (superfat <= _SUPERFAT[1])
    return (float(fits[rows].mean()) if rows.any() else 0.0), int(rows.sum())


def _take_for_dry(table: Table, amounts: Amounts, fats: Sequence[Column], column: Column) -> None:
    """Take `Lye (33 %)` for dry lye that is dissolved to so much, where the rows balance so and not as a solution."""
    lye, demand = amounts.of(column), amounts.demand(fats)
    dissolved, _ = _balance(lye * column.strength, demand)
    share, rows = _balance(lye, demand)
    if dissolved < _MOST <= share and rows >= _LEAST_ROWS:
        column.strength, column.certainty = np.nan, "read as"
        column.why = tr("{share} of {rows} rows balance if it is dry lye, dissolved to so much", **counted(share, rows))
        table.evidence.append(column.why)


def balances(sheet: Sheet, table: Table) -> bool:
    """Tell whether at least two rows of a table, and half of them, balance: it holds recipes, whatever it is called."""
    fats = [c for c in table.of_role("fat") if c.unit != "%"]
    lye = table.of_role("alkali")
    if not fats or not lye or not table.of_role("liquid"):
        return False
    amounts = Amounts(sheet, table)
    dissolved = _dissolves(amounts, table)
    share, rows = _balance(np.where(dissolved, amounts.of(lye[0]), 0.0), amounts.demand(fats))
    return rows >= 2 and share >= 0.5


def superfat_by_row(sheet: Sheet, table: Table) -> NDArray[np.float64]:
    """Return the superfat in percent that typical values give for each row, NaN where it cannot be told."""
    amounts = Amounts(sheet, table)
    demand = amounts.demand([c for c in table.of_role("fat") if c.unit != "%"])
    lye = sum((amounts.of(c) for c in table.of_role("alkali")), np.zeros(table.last_row + 1))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((lye > 0) & (demand > 0), 100 * (1 - lye / demand), np.nan)


def usual_fats_g(sheet: Sheet, table: Table) -> float:
    """Return the median weight of the fats in a row, in grams where a unit is known, 0 where there are none."""
    amounts = Amounts(sheet, table)
    total = sum((amounts.of(c) for c in table.of_role("fat") if c.unit != "%"), np.zeros(table.last_row + 1))
    return float(np.median(total[total > 0])) if (total > 0).any() else 0.0


def _dissolves(amounts: Amounts, table: Table) -> NDArray[np.bool_]:
    """Tell in which rows the liquid is what such an amount of lye is dissolved in."""
    lye, liquid = (
        sum((amounts.of(c) for c in table.of_role(role)), np.zeros(table.last_row + 1)) for role in ("alkali", "liquid")
    )
    return np.asarray((liquid >= _LIQUID_TO_LYE[0] * lye) & (liquid <= _LIQUID_TO_LYE[1] * lye) & (lye > 0))
