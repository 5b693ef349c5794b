"""Lye is listed, and no fat.

Why it matters
--------------
Lye without fats is not a soap recipe. Most often the fats stand under names that were not understood, or in another
place of the sheet.

Example
-------
A card with "Lye 6.5 oz" and "Water 14 oz", and the fats written in the card beside it.

What to do
----------
Write the fats into the recipe. If they are there, `sheetcheck read` shows how the sheet was understood.

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
from sheetcheck.words import later, tr

TITLE = later("No fats are written")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with lye and without fats or anything that may be one."""
    missing = evidence.of_role("alkali") & ~evidence.of_role("fat") & ~evidence.of_role("unknown")
    return [_missing(evidence, recipes) for recipes in by_table(evidence, missing)]


def _missing(evidence: Evidence, recipes: Sequence[int]) -> Finding:
    return finding(
        __name__,
        Signal.CAUTION,
        evidence.place(recipes[0], "alkali"),
        recipes,
        tr("Lye is written, and no fats that would take it up: the superfat cannot be checked."),
        expected=tr("the fats of this recipe"),
        look_at=tr("names that were not understood, and how the sheet was read"),
    )
