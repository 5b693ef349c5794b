"""The lye, or something that acts on it, is recognised, and cannot be computed with.

Why it matters
--------------
Washing soda, pearl ash and wood-ash lye are not sodium or potassium hydroxide and make no soap in the cold. A can or a
solution of lye without its strength, borax and water glass change the lye by an amount that the sheet does not say.

Example
-------
"1 can of lye", or "lye solution 300 g" without a per cent.

What to do
----------
Write the weight of the sodium hydroxide itself, or the strength of the solution ("50 % lye solution").

Source
------
The remark beside each of these in the tables of alkalis and additions, with its source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.unread import Cause, causes

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find what is recognised and refused; one finding per name and sheet."""
    lines = evidence.components[causes(evidence) == Cause.NOT_COMPUTABLE]
    return [_refused(group) for group in by_name(lines)]


def _refused(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    note = substances()[str(first.substance)].note
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        f"{place} ({place.holds}) cannot be computed with, so the recipe is not checked. {note}".strip(),
        expected="a weight of sodium hydroxide or potassium hydroxide, with its strength if it is a solution",
        look_at="what it is, and how strong",
    )
