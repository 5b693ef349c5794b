"""Magnesium in the recipe takes soap out of solution.

Why it matters
--------------
Epsom salts and other salts of magnesium do to soap what very hard water does: they make a scum of it that neither
lathers nor washes. The bar grows crumbly. Magnesium may also bind some of the lye, as magnesium hydroxide, which does
not dissolve: at most 0.32 g of sodium hydroxide for a gram of Epsom salts, 0.39 g for a gram of magnesium chloride. Lye
is judged, and recomputed, as if it bound none: that is the safe side.

Example
-------
Two spoons of Epsom salts in place of table salt.

What to do
----------
Leave it out of the soap; use it in a bath salt instead. Table salt (sodium chloride) is what salt bars are made with.

Source
------
Stoichiometry (two of lye for each magnesium); that magnesium hydroxide does not dissolve: CRC Handbook, from memory.
The rest: common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.chemistry.acids import MAGNESIUM_BINDS
from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.wording import joined, mass
from sheetcheck.words import tr

NEEDS = ()
_MAGNESIUM = "epsom salt"


def check(evidence: Evidence) -> list[Finding]:
    """Find salts of magnesium; one finding per name and sheet."""
    lines = evidence.components
    return [
        finding(
            __name__,
            Signal.CAUTION,
            name_place(group),
            list(group["recipe"]),
            joined(
                tr("“{name}” is a salt of magnesium.", name=name_place(group).holds),
                tr(
                    "Magnesium takes soap out of solution, as very hard water does: the bar grows crumbly and lathers "
                    "poorly."
                ),
                _bound(group),
            ),
            look_at=tr("whether it belongs in the soap"),
        )
        for group in by_name(lines[lines["substance"] == _MAGNESIUM])
    ]


def _bound(lines: pd.DataFrame) -> str:
    """Say how much lye the largest amount may bind, where its weight is known."""
    weighed = lines.dropna(subset="grams").nlargest(1, "grams")
    return "".join(
        tr(
            "It may also bind up to {amount} of the lye; that is counted as nothing.",
            amount=mass(MAGNESIUM_BINDS * grams, unit),
        )
        for grams, unit in zip(weighed["grams"], weighed["unit"], strict=True)
    )
