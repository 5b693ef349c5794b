"""Recipes written in per cent of the fats, with a batch size that says what the whole comes to."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import Table
from sheetcheck.reading.units.units import to_grams
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Kind

_WHOLE = (95.0, 101.0)  # per cent that are meant to be all of it, roundings included
_MOST = 0.8
_ENOUGH_ROWS = 3
_LYE_OF_FATS, _MOST_FIT = (0.08, 0.28), 0.6  # lye for a weight of fats, NaOH to KOH as sold; rows that it fits
_ROUNDED = 1.0  # per cent by which a sum of rounded percentages may be off
_NO_BATCH = later("a percentage, and nothing says of how much")


def fill_in(components: pd.DataFrame, statements: pd.DataFrame) -> pd.DataFrame:
    """Turn percentages into grams, in place; totals of percentages are no totals, and are left out of the statements.

    The whole is the stated weight of fats, else the stated batch; a batch is that of the fats where their shares come
    to 100 by themselves, else of everything.
    """
    totals = statements["kind"].isin(("fats total", "batch total"))
    statements = statements[~(totals & (statements["unit"] == "%"))].reset_index(drop=True)
    shares = ((components["unit"] == "%") & components["problem"].isna()).to_numpy()
    if not shares.any():
        return statements
    statements = statements[~_sum_of_shares(components[shares], statements)].reset_index(drop=True)
    of_fats = _first(statements, "fats total")
    of_batch = _first(statements, "batch total")
    part = components[shares]
    whole = part["recipe"].map(of_fats)
    whole = whole.where(whole.notna(), part["recipe"].map(of_batch))
    grams = part["value"].to_numpy() / 100 * whole.to_numpy(dtype=float)
    components.loc[shares, "grams"] = grams
    components.loc[np.flatnonzero(shares)[np.isnan(grams)], "problem"] = tr(_NO_BATCH)
    return statements


def _sum_of_shares(shares: pd.DataFrame, statements: pd.DataFrame) -> NDArray[np.bool_]:
    """Tell which totals only add up the percentages of their recipe."""
    summed = statements["recipe"].map(shares.groupby("recipe")["value"].sum()).to_numpy(dtype=float)
    per_unit = [to_grams(1.0, unit) if isinstance(unit, str) else 1.0 for unit in statements["unit"]]
    said = statements["value"].to_numpy(dtype=float) / np.array(per_unit, dtype=float)
    total = statements["kind"].isin(("fats total", "batch total")).to_numpy()
    whole = (summed >= _WHOLE[0]) & (summed <= _WHOLE[1])
    return np.asarray(total & whole & (np.abs(said - summed) <= _ROUNDED))


def _first(statements: pd.DataFrame, kind: str) -> pd.Series:
    stated = statements[(statements["kind"] == kind) & statements["value"].notna()]
    return stated.drop_duplicates("recipe").set_index("recipe")["value"].astype(float)


def mark_percentages(sheet: Sheet, table: Table) -> None:
    """Take columns of fats for percentages where no fat is weighed, or where rows add up to 100 beside a batch size."""
    weighed = [c for c in table.of_role("fat") if c.unit != "%"]
    shares = [c for c in table.of_role("share") if c.substance or c.text]
    if not weighed and shares:
        for column in shares:
            column.role, column.unit = "fat", "%"
            column.why = tr("a percentage of the fats")
        table.evidence.append(tr("fats stand there in per cent"))
        _find_their_size(sheet, table)
        return
    if not weighed and table.of_role("fat"):
        _find_their_size(sheet, table)
        return
    if weighed and all(c.unit is None for c in weighed) and _rows_are_percentages(sheet, table):
        for column in weighed:
            why = tr("the fats of a row add up to 100, and a batch size stands beside them")
            column.unit, column.why = "%", why
        said = tr("the fats of a row add up to 100 and a batch size stands beside them: per cent")
        table.evidence.append(said)


def _find_their_size(sheet: Sheet, table: Table) -> bool:
    """Take the column that lye goes with for the weight of the fats, where none is headed so: `GFM g`."""
    if any(c.unit != "%" for c in table.of_role("fats total", "batch total")) or not table.of_role("alkali"):
        return False
    lye = _row_sums(sheet, table, [c.index for c in table.of_role("alkali")])
    for column in table.columns:
        if column.role is not None or column.unit in ("%", None):
            continue
        size = _row_sums(sheet, table, [column.index])
        both = (lye > 0) & (size > 0)
        share = lye[both] / size[both]
        if both.any() and ((share >= _LYE_OF_FATS[0]) & (share <= _LYE_OF_FATS[1])).mean() >= _MOST_FIT:
            column.role, column.why = (
                "fats total",
                tr("fats stand in per cent, and lye goes with it as with their weight"),
            )
            return True
    return False


def _rows_are_percentages(sheet: Sheet, table: Table) -> bool:
    fats = [c.index for c in table.of_role("fat")]
    if len(fats) < 2:
        return False
    sums = _row_sums(sheet, table, fats)
    sizes = [c.index for c in table.of_role("fats total", "batch total") if c.unit != "%"]
    if not sizes:
        whole = (sums[sums > 0] >= _WHOLE[0]) & (sums[sums > 0] <= _WHOLE[1])
        return len(whole) >= _ENOUGH_ROWS and float(whole.mean()) >= _MOST and _find_their_size(sheet, table)
    batches = _row_sums(sheet, table, sizes[:1])
    both = (sums > 0) & (batches > 0)
    if not both.any():
        return False
    whole = (sums >= _WHOLE[0]) & (sums <= _WHOLE[1]) & ((batches < _WHOLE[0]) | (batches > _WHOLE[1]))
    return float(whole[both].mean()) >= _MOST


def _row_sums(sheet: Sheet, table: Table, columns: list[int]) -> NDArray[np.float64]:
    grid = sheet.grid
    here = np.isin(grid.column, columns) & (grid.row > table.last_heading_row) & (grid.row <= table.last_row)
    numbers = np.where(grid.kind == Kind.NUMBER, grid.number, 0.0)
    for i in np.flatnonzero(here & (grid.kind == Kind.TEXT)).tolist():
        amount = amount_only(grid.text[i])
        numbers[i] = amount.readings[0].value if amount else 0.0
    weights = numbers[here].astype(np.float64)
    return np.bincount(grid.row[here], weights=weights, minlength=table.last_row + 1).astype(np.float64)
