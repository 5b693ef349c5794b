"""Fats and lye are listed, and no liquid.

Why it matters
--------------
Lye has to be dissolved before it meets the fats. Without the liquid the recipe cannot be made as written, and its lye
concentration cannot be checked.

Example
-------
48 oz of lard and 6.5 oz of lye; the cell for the water is blank.

What to do
----------
Write the liquid into the recipe. Do you always use the same measure of water for the lye? State it on the sheet, as
liquid to lye or as lye concentration.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import ONE_CAUSE, finding
from sheetcheck.rules.support.missing import by_table
from sheetcheck.words import later, tr, tr_count

TITLE = later("No liquid is written")
NEEDS = ("alkali_g",)

_DISSOLVED = 0.55  # share of lye up to which it is liquid at room temperature; dry potash is sold at 0.85 or more


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with lye and without any water (CAUTION); NOTICE where a whole table keeps none."""
    recipes = evidence.recipes
    said = evidence.statements.loc[evidence.statements["kind"].isin(("lye concentration", "liquid to lye")), "recipe"]
    has_lye = recipes["alkali_g"].notna() & evidence.of_role("fat")
    dry = has_lye & ~evidence.of_role("liquid") & ~(recipes["water_g"] > 0) & ~recipes.index.isin(said)
    unclear = evidence.of_role("unknown")  # it may be the liquid under a name that was not understood
    dissolved = recipes.index.isin(_solutions(evidence.components))
    return [_missing(evidence, group) for group in by_table(evidence, dry & ~unclear & ~dissolved)]


def _solutions(lines: pd.DataFrame) -> pd.Series[int]:
    """Return the recipes whose lye brings water, though what else holds water may be unknown: `soda lye 30 %`."""
    return lines.loc[(lines["role"] == "alkali") & (lines["strength"] <= _DISSOLVED), "recipe"]


def _missing(evidence: Evidence, recipes: Sequence[int]) -> Finding:
    place = evidence.expected_place(recipes[0], "liquid")
    many = len(recipes) >= ONE_CAUSE
    return finding(
        __name__,
        Signal.NOTICE if many else Signal.CAUTION,
        place,
        recipes,
        _message(len(recipes)),
        expected=tr("an amount of water or another liquid"),
        look_at=tr("the liquid column, or a liquid under a name that was not understood"),
    )


def _message(recipes: int) -> str:
    if recipes < ONE_CAUSE:
        return tr("No liquid is written: the lye concentration cannot be checked.")
    return tr_count(
        "No liquid is written in {count} recipe: the lye concentration cannot be checked.",
        "No liquid is written in any of these {count} recipes: the lye concentration cannot be checked.",
        recipes,
    )
