"""An ingredient is not known.

Why it matters
--------------
If it is a fat, it takes up lye; if it is a liquid, it thins the lye. A name that is not known is never guessed, so the
recipe is "not checked".

Example
-------
A column headed "Mango" beside olive and coconut: mango butter, or mango juice?

What to do
----------
Write the name in full ("mango butter"), or tell in the settings what your name means (`names`). If it takes up no lye
and holds no water (clay, scent), put it under the additions.

Source
------
Common practice, no source. `sheetcheck fats` lists the fats that are known, each with its source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.words import later, tr

TITLE = later("A name that is not known")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find names that are not known, of amounts that may bear on lye or water; one finding per name and sheet."""
    lines = evidence.components[causes(evidence) == Cause.UNKNOWN_NAME]
    return [_unknown(group) for group in by_name(lines)]


def _unknown(lines: pd.DataFrame) -> Finding:
    place = name_place(lines)
    oil = (lines["role"] == "fat").all()
    sentence = _NAMELESS if not place.holds else _WHICH_OIL if oil else _UNKNOWN
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        tr(sentence, name=place.holds, cell=place.cell),
        expected=tr("the name of a fat, a liquid, lye or an addition"),
        look_at=tr("the name: answer here, or write once on any sheet “{name} = …”", name=place.holds or place.cell),
    )


_UNKNOWN = later("What is “{name}”? It is not known, and may take up lye or bring water.")
_WHICH_OIL = later("“{name}” is an amount of fat here, and nothing says of which: write its name.")
_NAMELESS = later("{cell} has no name beside it: it may take up lye or bring water, so the recipe cannot be checked.")
