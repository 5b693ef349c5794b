"""Magnesium in the recipe takes soap out of solution.

Why it matters
--------------
Epsom salts and other salts of magnesium do to soap what very hard water does: they make a scum of it that neither
lathers nor washes, and some of the lye is lost to them as well. The bar grows crumbly.

Example
-------
Two spoons of Epsom salts in place of table salt.

What to do
----------
Leave it out of the soap; use it in a bath salt instead. Table salt (sodium chloride) is what salt bars are made with.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.wording import joined
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
                tr("“{name}” is a salt of magnesium.", name=name_place(group).holds), tr(substances()[_MAGNESIUM].note)
            ),
            look_at=tr("whether it belongs in the soap"),
        )
        for group in by_name(lines[lines["substance"] == _MAGNESIUM])
    ]
