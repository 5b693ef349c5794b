"""A fat is named as a group only, such as shortening or vegetable oil.

Why it matters
--------------
Such a product may be made of several fats, which take up different amounts of lye. The recipe is judged with the least
that they take up, so that free lye is never overlooked; the superfat may well be higher than is shown, and no lye is
recomputed from a fat that is not known.

Example
-------
"Shortening 16 oz" may be soy, palm, cottonseed, beef or pork fat.

What to do
----------
Look on the packet and name the fat. If it is a blend, its maker can tell its saponification value.

Source
------
The remark beside each of these in the table of fats; the ranges are those of the fats they are made of.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.wording import joined, plain
from sheetcheck.words import tr

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find fats that are groups of fats; one finding per name and sheet."""
    vague = [key for key, substance in substances().items() if substance.vague]
    lines = evidence.components
    return [_vague(group) for group in by_name(lines[lines["substance"].isin(vague)])]


def _vague(lines: pd.DataFrame) -> Finding:
    fat, place = substances()[str(lines["substance"].iloc[0])], name_place(lines)
    reckoned = tr(
        "“{name}” is reckoned with {least} mg KOH/g; what it may be made of has {low} to {high}.",
        name=place.holds,
        least=plain(fat.sap_typical, 1),
        low=plain(fat.sap_low, 1),
        high=plain(fat.sap_high, 1),
    )
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(lines["recipe"]),
        joined(reckoned, tr(fat.note)),
        look_at=tr("which fat it is"),
    )
