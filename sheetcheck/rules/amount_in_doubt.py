"""A question mark stands behind an amount.

Why it matters
--------------
The mark says that the maker herself was not sure. The amount was taken as it stands, and the recipe computed with it;
if it is wrong, so is the lye.

Example
-------
"8 oz?" of coconut oil.

What to do
----------
Look the amount up, weigh it when you next make the soap, and take the mark away.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import ComponentRow, component_rows
from sheetcheck.words import later, tr

if TYPE_CHECKING:
    import pandas as pd

TITLE = later("Your own question mark")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts of what bears on lye or water that were read though a question mark stands behind them."""
    lines = evidence.components
    texts = lines[lines["bears"] & lines["grams"].notna() & (lines["stored"] == "text")]
    return [_in_doubt(line) for line in component_rows(texts[_questioned(texts)])]


def _questioned(texts: pd.DataFrame) -> pd.Series[bool]:
    return texts["written"].fillna("").astype(str).str.contains("?", regex=False)


def _in_doubt(line: ComponentRow) -> Finding:
    place = place_of(line)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        int(line.recipe),
        tr(
            "{place} holds “{text}”: it was taken as it stands, and its question mark says that it may be wrong.",
            place=place,
            text=place.holds,
        ),
        expected=tr("an amount that is sure"),
        look_at=tr("the amount, where it was written down first"),
    )
