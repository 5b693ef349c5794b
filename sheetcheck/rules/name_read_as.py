"""A name was not known as it stands and was read as one that is nearly the same.

Why it matters
--------------
A slip of spelling should not stop the check. If the name was read wrongly, though, the lye was computed for the wrong
fat, so every such reading is shown.

Example
-------
"Olvie oil" was read as olive oil.

What to do
----------
Nothing, if the reading is right. Otherwise write the name in full, or tell in the settings what it means (`names`).

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place, shown_name

NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find names that were read as similar ones; one finding per name and sheet."""
    lines = evidence.components
    return [_read_as(group) for group in by_name(lines[lines["name_certainty"] == "read as"])]


def _read_as(lines: pd.DataFrame) -> Finding:
    place = name_place(lines)
    meaning = shown_name(lines["substance"].iloc[0])
    return finding(
        __name__,
        Signal.NOTICE,
        place,
        list(lines["recipe"]),
        f"“{place.holds}” was read as {meaning}.",
        look_at="whether that is what is meant",
    )
