"""A formula has no stored value.

Why it matters
--------------
A spreadsheet program stores the result beside each formula; a workbook written by another program may hold none. The
amount is then not known until the book has been calculated.

Example
-------
A book exported by a script: the lye column holds formulas, and no numbers.

What to do
----------
Open the book in a spreadsheet program, save it, and check again.

Source
------
Office Open XML, ISO/IEC 29500-1: a cell's value beside its formula is optional.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.words import later, tr, tr_count

TITLE = later("A formula without its result")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find formulas without a value; one finding per sheet."""
    lines = evidence.components[causes(evidence) == Cause.NO_STORED_VALUE]
    return [_not_computed(group) for _, group in lines.groupby("sheet", sort=False)]


def _not_computed(lines: pd.DataFrame) -> Finding:
    place = place_of(first_component(lines))
    if len(lines) > 1:
        message = tr_count(
            "{place} and {count} more on this sheet hold a formula without a stored value: the amounts are not known.",
            "{place} and {count} more on this sheet hold a formula without a stored value: the amounts are not known.",
            len(lines) - 1,
            place=place,
        )
    else:
        message = tr("{place} holds a formula without a stored value, so the amount is not known.", place=place)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        message,
        expected=tr("a formula with its result"),
        look_at=tr("the whole book: open it in a spreadsheet program, save it, and check again"),
    )
