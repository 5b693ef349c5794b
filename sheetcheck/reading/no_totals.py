"""Columns headed like a total that add up nothing: `Wt cut` is what the bars weigh weeks later, not the batch.

A maker who writes totals has most of them right. Where hardly one of a column is the sum of its recipe, the column says
something else, and a row of it is no slip.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from sheetcheck.model import column_letters
from sheetcheck.reading.statements import TOTALS
from sheetcheck.words import later, tr

_ENOUGH = 5  # totals of a column that tell what it holds
_AGREE = 0.03  # share by which a total may be off: what was rounded, or lost to the pot
_LEAST_RIGHT = 0.4  # share of a column's totals that have to be sums
_SAID = later("“{sheet}”, column {column}: headed like a total, and hardly one is the sum of its recipe. Not used.")


def leave_out(components: pd.DataFrame, statements: pd.DataFrame) -> tuple[pd.DataFrame, list[str]]:
    """Return the statements without the totals of columns that are no sums of their recipes, and what to say of it."""
    at = np.flatnonzero(statements["kind"].isin(TOTALS) & (statements["value"] > 0))
    if len(at) < _ENOUGH:
        return statements, []
    sums = {kind: _sums(components, kind) for kind in TOTALS}
    told = statements.iloc[at][["sheet", "column", "kind", "recipe", "value"]].astype({"sheet": object, "kind": object})
    told["sum"] = [sums[kind].get(recipe, np.nan) for kind, recipe in zip(told["kind"], told["recipe"], strict=True)]
    known = told[told["sum"].notna()]
    right = (known["value"] / known["sum"] - 1).abs() <= _AGREE
    of_column = right.groupby([known["sheet"], known["column"], known["kind"]]).agg(["mean", "size"])
    none = set(of_column.index[(of_column["size"] >= _ENOUGH) & (of_column["mean"] < _LEAST_RIGHT)])
    if not none:
        return statements, []
    places = zip(told["sheet"], told["column"], told["kind"], strict=True)
    kept = statements.drop(index=statements.index[at[[place in none for place in places]]]).reset_index(drop=True)
    columns = sorted({(str(sheet), int(column)) for sheet, column, _ in none})
    return kept, [tr(_SAID, sheet=sheet, column=column_letters(column)) for sheet, column in columns]


def _sums(components: pd.DataFrame, kind: str) -> dict[int, float]:
    """Return what the amounts of each recipe come to [g], of those recipes in which every amount is known."""
    fats = components["role"].isin(("fat", "unknown")) if kind == "fats total" else components["role"] != ""
    part = components[fats]
    unknown = set(part.loc[part["bears"] & part["grams"].isna(), "recipe"])
    sums = part.groupby("recipe")["grams"].sum()
    pairs = zip(sums.index.to_numpy().tolist(), sums.to_numpy().tolist(), strict=True)
    return {recipe: total for recipe, total in pairs if recipe not in unknown and total > 0}
