"""A name may mean two things that need different amounts of lye.

Why it matters
--------------
Palm oil and palm kernel oil, coconut oil and fractionated coconut oil sound alike, and take up lye quite differently.
Which one is meant is for the maker to say; until then the recipe is "not checked".

Example
-------
"Palm" with an amount that would suit either palm or palm kernel oil.

What to do
----------
Write the name in full, or tell in the settings what your name means (`names`).

Source
------
The published ranges of both fats, in the table of fats.
"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.reading.names.identify import identify
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place, shown_name
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.rules.support.wording import either
from sheetcheck.words import later, tr

TITLE = later("A name with two meanings")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find names with more than one meaning; one finding per name and sheet."""
    lines = evidence.components[causes(evidence) == Cause.AMBIGUOUS_NAME]
    return [_ambiguous(evidence, group) for group in by_name(lines)]


def _ambiguous(evidence: Evidence, lines: pd.DataFrame) -> Finding:
    place = name_place(lines)
    meanings = [shown_name(key) for key in identify(place.holds, evidence.settings.names).candidates]
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        _message(place.holds, meanings),
        expected=either(meanings),
        look_at=tr("the name: answer here, or write once on any sheet “{name} = …”", name=place.holds),
    )


def _message(name: str, meanings: Sequence[str]) -> str:
    if not meanings:
        return tr("What is “{name}”? It may be several things that do not take up the same lye.", name=name)
    return tr(
        "What is “{name}”? It may be {meanings}, which do not take up the same lye.",
        name=name,
        meanings=either(meanings),
    )
