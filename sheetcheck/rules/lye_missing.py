"""Fats are listed, and no lye.

Why it matters
--------------
Without a lye amount nothing can be checked, and whoever makes the soap has to look the lye up somewhere else.

Example
-------
40 oz of olive, 16 oz of coconut, 20 oz of water, and the lye column is blank.

What to do
----------
Write the lye into the recipe. Compute it anew rather than copy it from a recipe that looks alike.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.missing import by_table
from sheetcheck.words import later, tr, tr_count

TITLE = later("No lye is written")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with fats and without any lye; one finding where a whole table has none."""
    missing = evidence.of_role("fat") & ~evidence.of_role("alkali")
    return [_missing(evidence, recipes) for recipes in by_table(evidence, missing)]


def _missing(evidence: Evidence, recipes: Sequence[int]) -> Finding:
    place = evidence.expected_place(recipes[0], "alkali")
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        recipes,
        _message(len(recipes)),
        expected=tr("an amount of lye"),
        look_at=tr("the lye column, or a lye line under a name that was not understood"),
    )


def _message(recipes: int) -> str:
    if recipes == 1:
        return tr("No lye is written: the superfat cannot be checked.")
    return tr_count(
        "No lye is written in {count} recipe: the superfat cannot be checked.",
        "No lye is written in any of these {count} recipes: the superfat cannot be checked.",
        recipes,
    )
