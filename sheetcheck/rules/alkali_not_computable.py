"""The lye, or something that acts on it, is recognised, and cannot be computed with.

Why it matters
--------------
Washing soda, pearl ash and wood-ash lye are not sodium or potassium hydroxide and make no soap in the cold. A can or a
solution of lye without its strength, borax and water glass change the lye by an amount that the sheet does not say.

Example
-------
"1 can of lye", or "lye solution 300 g" without a per cent.

What to do
----------
Write the weight of the sodium hydroxide itself, or the strength of the solution ("50 % lye solution").

Source
------
The remark beside each of these in the tables of alkalis and additions, with its source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.chemistry.strength import tells_strength, why_no_strength
from sheetcheck.model import Finding, Signal
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name
from sheetcheck.rules.support.rows import ComponentRow, first_component
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import later, tr

TITLE = later("This lye cannot be worked out")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find what is recognised and refused; one finding per name and sheet."""
    lines = evidence.components[causes(evidence) == Cause.NOT_COMPUTABLE]
    return [_refused(group) for group in by_name(lines)]


def _refused(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    refused = tr("{cell} says “{name}”, which cannot be worked out.", cell=place.cell, name=place.name or place.holds)
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        list(lines["recipe"]),
        joined(refused, _why(first)),
        expected=tr(_WANTED.get(substances()[str(first.substance)].role, _ITS_STRENGTH)),
        look_at=tr("what it is, and how strong"),
    )


_ITS_STRENGTH = later("its strength, in per cent, or leave it out")
_WANTED = {"alkali": later("a weight of sodium or potassium hydroxide; of a solution, its strength too")}


def _why(line: ComponentRow) -> str:
    """Say why: of a solution whose name tells a strength, what is wrong with that; else what the tables say."""
    refused = substances()[str(line.substance)]
    if refused.solution_of and tells_strength(line.name or ""):
        return tr("Its strength is of no use: {why}. Read the label again.", why="; ".join(why_no_strength(line.name)))
    return tr(refused.note)
