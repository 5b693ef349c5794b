"""An amount can be read in two ways.

Why it matters
--------------
1.250 g is a kilogram and a quarter to one reader and a gram and a quarter to another. The one that suits the rest of
the recipe was taken, and it may be the wrong one.

Example
-------
"1.250 g" of olive oil on a sheet that uses the point for decimals elsewhere.

What to do
----------
Write the amount so that it has one reading: 1250 g, or 1.25 kg.

Source
------
Decimal and thousands signs differ by country: ISO 80000-1 allows comma and point, and neither between thousands.
"""

from __future__ import annotations

import math

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import ComponentRow, component_rows
from sheetcheck.rules.support.wording import mass

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts for which a second reading was kept."""
    lines = evidence.components
    two = lines["other_grams"].notna() & lines["bears"]
    return [_two(line) for line in component_rows(lines[two])]


def _two(line: ComponentRow) -> Finding:
    place = place_of(line)
    other = mass(line.other_grams, "g")
    read = f"it was read as {mass(line.grams, 'g')}" if not math.isnan(line.grams) else "it was not read"
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        int(line.recipe),
        f"{place} holds “{place.holds}”, which can be read in two ways: {read}, and may mean {other}.",
        expected="an amount with one reading",
        look_at="the decimal point or comma in the cell",
    )
