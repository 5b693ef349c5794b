"""An amount is zero or negative.

Why it matters
--------------
Nobody weighs nothing, or less than nothing. A minus sign is a slip, or a formula went wrong.

Example
-------
A lye cell with -6.8, where a formula subtracts the wrong way round.

What to do
----------
Correct the amount; leave the cell blank if the ingredient is not used.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.words import later, tr

TITLE = later("Zero or less")
NEEDS = ()
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts below zero, and a zero where there must be something: lye, liquid, or an ingredient of one recipe.

    A zero for a fat in a column of fats says that the recipe has none of it, and is left alone.
    """
    lines = evidence.components[causes(evidence) == Cause.NOT_POSITIVE]
    if lines.empty:
        return []
    shared = _shares_its_name(evidence.components).reindex(lines.index)
    none_of_it = (lines["value"] == 0) & ~lines["role"].isin(("alkali", "liquid")) & shared
    return [_not_positive(group) for group in by_cause(lines[~none_of_it], ["sheet", "column"])]


def _shares_its_name(lines: pd.DataFrame) -> pd.Series[bool]:
    """Tell which amounts have their name from a heading that serves several recipes."""
    return lines.groupby(["sheet", "name_row", "name_column"])["recipe"].transform("nunique") > 1


def _not_positive(lines: pd.DataFrame) -> Finding:
    place = place_of(first_component(lines))
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        tr("{place} holds {text}: an amount is more than nothing.", place=place, text=place.holds),
        expected=tr("an amount above zero, or a blank cell"),
        look_at=tr("the cell, its sign and its formula"),
    )
