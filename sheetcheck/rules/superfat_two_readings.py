"""The stated superfat can be read in two ways.

Why it matters
--------------
A bare 0.05 may mean 5 % or 0.05 %. Both readings are kept, and such a statement never makes a finding milder.

Example
-------
A column "superfat" with 0.05 in a cell that is not formatted as a percentage.

What to do
----------
Format the column as a percentage, or write 5 %.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal, address
from sheetcheck.rules.support.evidence import Evidence, Place
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import statement_rows

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find superfats that were stated with two readings; one finding per column where they are many."""
    said = evidence.statements
    two = (said["kind"] == "superfat") & said["other_value"].notna()
    return [_two(group) for group in by_cause(said[two], ["sheet", "column"])]


def _two(said: pd.DataFrame) -> Finding:
    first = next(statement_rows(said))
    place = Place(first.sheet, address(first.row, first.column))
    written = first.written or f"{first.other_value:.10g}"
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(said["recipe"]),
        f"The superfat in {place.cell}, “{written}”, may mean {first.value:.4g} % or {first.other_value:.4g} %.",
        expected="a percentage, written or formatted as one",
    )
