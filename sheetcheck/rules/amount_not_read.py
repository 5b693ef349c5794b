"""An amount could not be read.

Why it matters
--------------
An amount that is not read is left out of no sum in silence: the recipe is "not checked" until the amount is clear.

Example
-------
"500-520 g", "a good splash", "?", or the letter O for a zero in "1O.5 oz".

What to do
----------
Write one number with its unit into the cell, and anything else into a remark.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import re

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.words import later, tr

TITLE = later("An amount that could not be read")
NEEDS = ()

_LETTER_O = re.compile(r"(?<=\d)[Oo](?=[\d.,\s]|$)|(?<=[.,])[Oo]")  # where a digit must stand


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts of fats, lye, liquids and acids that were not read."""
    lines = evidence.components[causes(evidence) == Cause.NOT_READ]
    return [_unread(group) for group in by_cause(lines, ["sheet", "column", "problem"])]


def _unread(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    why = first.problem if isinstance(first.problem, str) else tr("no unit is known for it")
    if place.holds:
        zero = _LETTER_O.sub("0", place.holds)
        message = (
            tr("{place}: “{text}” has the letter O in it: {number}?", place=place, text=place.holds, number=zero)
            if zero != place.holds
            else tr("{place} was not read: it holds “{text}” ({why}).", place=place, text=place.holds, why=why)
        )
    else:
        message = tr("{place} was not read: it holds something ({why}).", place=place, why=why)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        message,
        expected=tr("one number, with a unit"),
        look_at=tr("the cell"),
    )
