"""A formula gives an error instead of an amount.

Why it matters
--------------
#REF!, #VALUE! and their like mean that a formula lost what it refers to. Nobody can say what the amount was.

Example
-------
The lye is computed from a cell that was deleted, and shows #REF!.

What to do
----------
Mend the formula in the spreadsheet program, or type the amount, then save and check again.

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

TITLE = later("A formula that shows an error")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find error values among the amounts."""
    lines = evidence.components[causes(evidence) == Cause.ERROR_VALUE]
    return [_error(group) for group in by_cause(lines, ["sheet", "column", "written"])]


def _error(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        tr(
            "{place} shows {error}: its formula gives an error, so the recipe cannot be checked.",
            place=place,
            error=first.written,
        ),
        expected=tr("an amount"),
        look_at=tr("the formula in the cell, and the cells that it refers to"),
    )
