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
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import as_typed, later, tr

TITLE = later("A superfat with two readings")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find superfats that were stated with two readings; one finding per column where they are many."""
    said = evidence.statements
    two = (said["kind"] == "superfat") & said["other_value"].notna()
    return [_two(group) for group in by_cause(said[two], ["sheet", "column"])]


def _two(said: pd.DataFrame) -> Finding:
    first = next(statement_rows(said))
    place = Place(first.sheet, address(first.row, first.column))
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(said["recipe"]),
        tr(
            "The superfat in {cell}, “{text}”, may mean {one} % or {other} %.",
            cell=place.cell,
            text=first.written or as_typed(first.other_value),
            one=plain(first.value, 4),
            other=plain(first.other_value, 4),
        ),
        expected=tr("a percentage, written or formatted as one"),
    )
