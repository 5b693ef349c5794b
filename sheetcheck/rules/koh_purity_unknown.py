"""The purity of the potassium hydroxide is not stated.

Why it matters
--------------
Potassium hydroxide takes up water and is sold at about 85 to 90 %. Taken as pure it seems 10 to 15 % stronger than it
is, so the superfat is known only between two ends, and the recipe is "not checked".

Example
-------
100 g of potassium hydroxide are as much as 85 g of the pure substance, or nearly 100 g: the label says which.

What to do
----------
Read the purity off the label and write it into the name ("KOH 90 %"), or set `koh_purity`.

Source
------
United States Pharmacopeia: potassium hydroxide, at least 85 % (table of constants).
"""

from __future__ import annotations

import math

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.superfat import Band, bands
from sheetcheck.rules.support.wording import joined, span
from sheetcheck.words import later, tr

TITLE = later("KOH: purity not stated")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find potassium hydroxide of unstated purity, except where there is free lye at any purity."""
    if evidence.settings.koh_purity is not None:
        return []
    lines = evidence.components
    unknown = (lines["substance"] == "potassium hydroxide") & lines["strength"].isna()
    free = evidence.recipes.index[bands(evidence) == Band.FREE_LYE]
    return [_unknown(evidence, group) for group in by_cause(lines[unknown & ~lines["recipe"].isin(free)], ["sheet"])]


def _unknown(evidence: Evidence, lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    recipe = evidence.recipe(first.recipe)
    low, high = recipe.superfat_if_pure, recipe.superfat_if_weak
    ends = tr("With {text} the superfat is anything from {range}.", text=place.holds, range=span(low, high))
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        joined(
            tr("The purity of {place} is not stated; it is sold at about 85 to 90 %.", place=place),
            "" if math.isnan(low) else ends,
        ),
        expected=tr("the purity from the label"),
        look_at=tr("the label of the potassium hydroxide"),
    )
