"""A recipe name occurs twice.

Why it matters
--------------
Two recipes of one name are easily confused. If only one amount differs between them, one of the two was changed, and
perhaps the lye was not.

Example
-------
"Kitchen bar" with 6.6 oz of lye on one line and 6.0 oz on another, all else the same.

What to do
----------
Copies on purpose, or the same recipe in another size: nothing. Otherwise give one of them another name, or cross out
the one that no longer holds.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import shown_name
from sheetcheck.rules.support.wording import listed, plain

NEEDS = ()

_SAME = 0.006  # relative; amounts that differ by no more were rounded differently


def check(evidence: Evidence) -> list[Finding]:
    """Compare each recipe whose name stands before with the first one: CAUTION if a single amount differs."""
    names = evidence.recipes["name"].fillna("").astype(str).str.casefold().str.split().str.join(" ")
    first: dict[str, int] = {}
    again = names.duplicated(keep=False) & (names != "")
    found = []
    for recipe in evidence.rows(again):
        before = first.setdefault(names[recipe.Index], recipe.Index)
        if before != recipe.Index:
            found.append(_twice(evidence, before, recipe.Index))
    return found


def _twice(evidence: Evidence, first: int, second: int) -> Finding:
    name = evidence.recipe(second).name
    before = evidence.anchor(first)
    signal, how = _difference(_amounts(evidence, first), _amounts(evidence, second))
    return finding(
        __name__,
        signal,
        evidence.anchor(second),
        second,
        f"“{name}” stands in {before.cell} of “{before.sheet}” already, {how}.",
        look_at="which of the two holds",
    )


def _amounts(evidence: Evidence, recipe: int) -> pd.Series[float]:
    """Return the grams of what bears on lye and water, by substance (or name, where that is not known)."""
    lines = evidence.lines(recipe)
    lines = lines[lines["bears"]]
    key = lines["substance"].astype(object).fillna(lines["name"].astype(object)).fillna("")
    return lines.groupby(key)["grams"].sum()


def _difference(first: pd.Series[float], second: pd.Series[float]) -> tuple[Signal, str]:
    if set(first.index) != set(second.index) or first.empty:
        return Signal.NOTICE, "with other ingredients"
    ratio = (second / first[second.index]).replace([np.inf, -np.inf], np.nan)
    if ratio.isna().any():
        return Signal.NOTICE, "and an amount in one of the two was not read"
    factor = float(ratio.median())
    off = ratio[(ratio / factor - 1).abs() > _SAME]
    size = "with the same amounts" if abs(factor - 1) <= _SAME else f"scaled by {plain(factor, 2)}"
    if off.empty:
        return Signal.NOTICE, size
    differs = listed([shown_name(substance) for substance in off.index])
    if len(off) == 1 and len(ratio) > 2:
        return Signal.CAUTION, f"{size} but for {differs}"
    return Signal.NOTICE, f"with other amounts of {differs}"
