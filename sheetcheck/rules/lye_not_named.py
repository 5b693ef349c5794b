"""The sheet says "alkali" or "caustic", and not which lye.

Why it matters
--------------
Potassium hydroxide does the work of seven tenths of its weight of sodium hydroxide, less still for the water in it. An
amount that is right for the one is far too much or too little of the other. Until the sheet says which lye it is, the
recipe is "not checked"; where even the weaker one would leave lye free, it is called so.

Example
-------
A column headed "caustic", 5.2 oz of it on 40 oz of lard.

What to do
----------
Write "NaOH" (sodium hydroxide, for bars) or "KOH" (potassium hydroxide, for soft soap) into the heading.

Source
------
Molar masses of both; United States Pharmacopeia for the purity of potassium hydroxide as sold.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.words import tr

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find lye of unknown kind; one finding per name and sheet."""
    lines = evidence.components[causes(evidence) == Cause.WHICH_LYE]
    return [_which(group) for group in by_name(lines)]


def _which(lines: pd.DataFrame) -> Finding:
    place = name_place(lines)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        tr("“{name}” does not say which lye: write NaOH or KOH.", name=place.holds),
        expected=tr("sodium hydroxide (NaOH) or potassium hydroxide (KOH)"),
        look_at=tr("the name on the tin"),
    )
