"""A number is stored as text.

Why it matters
--------------
It looks like a number, and the spreadsheet's own sums leave it out without a word: a total or a lye amount computed
from it is too small.

Example
-------
"12,5" typed with a decimal comma where the program expects a point, or a number with an apostrophe before it.

What to do
----------
If formulas use these cells, turn them into numbers. They were read as the numbers that they look like.

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
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import as_typed, later, tr, tr_count

TITLE = later("A number kept as text")
NEEDS = ()

_BARE_NUMBER = r"\s*[+-]?\d[\d.,'’\s]*"


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts that are text and nothing but a number; one finding where a sheet is full of them."""
    lines = evidence.components
    lines = lines[(lines["stored"] == "text") & lines["value"].notna()]
    is_bare = lines["written"].fillna("").astype(str).str.fullmatch(_BARE_NUMBER).astype(bool)
    return [_as_text(group) for group in by_cause(lines[is_bare], ["sheet"])]


def _as_text(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    if len(lines) > 1:
        as_text = tr_count(
            "{place} holds “{text}” as text, not as a number, and {count} more amount of this kind here: sums and "
            "formulas leave it out.",
            "{place} holds “{text}” as text, not as a number, and {count} more amounts of this kind here: sums and "
            "formulas leave it out.",
            len(lines) - 1,
            place=place,
            text=first.written,
        )
    else:
        as_text = tr(
            "{place} holds “{text}” as text, not as a number: sums and formulas leave it out.",
            place=place,
            text=first.written,
        )
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(lines["recipe"]),
        joined(as_text, tr("It was read as {number}.", number=as_typed(first.value))),
        expected=tr("a number"),
        look_at=tr("formulas that use the cell"),
    )
