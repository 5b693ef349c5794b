"""No unit is stated, and one was worked out from the size of the numbers.

Why it matters
--------------
If the guess is wrong, every amount is out by the same factor. The lye still fits the fats then, but the batch does
not fit the mould, and whoever weighs by the sheet has to guess as well.

Example
-------
Fats of 60 and lye of 8.1: ounces, since no one makes a batch of 60 grams.

What to do
----------
Write the unit into the headings, or state it on the sheet ("all weights in ounces"), or set `default_unit`.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.words import later, tr, tr_count

TITLE = later("No unit is written")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts whose unit nothing states; one finding per sheet. Quiet where the maker has set the unit."""
    if evidence.settings.default_unit is not None:
        return []
    lines = evidence.components
    assumed = lines[lines["unit_from"] == "setting"]
    return [_assumed(group) for _, group in assumed.groupby(["sheet", "unit"], sort=False)]


def _assumed(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(lines["recipe"]),
        tr_count(
            "No unit is stated for {count} amount here, {place}. By the size of the number it was read as {unit}.",
            "No unit is stated for {count} amounts here, the first of them {place}. By the size of the numbers they "
            "were read as {unit}.",
            len(lines),
            place=place,
            unit=first.unit,
        ),
        expected=tr("a unit in the headings, or in a note on the sheet"),
        look_at=tr("whether the unit is right"),
    )
