"""How much lye an ingredient takes up is not said: its strength, its fat, its water, or which thing it is.

Why it matters
--------------
Cleaning vinegar is sold at 4 to 30 % acid, cream at 10 to 40 % fat; raw fat is part water and skin. A gram of such a
thing may take up several times as much lye as another gram, and lye that finds nothing to take up burns. It is counted
with the least that it surely takes up. Where the rest could move the superfat by more than 1.5 points the recipe is
"not checked", and no lye is recomputed for it.

Example
-------
"Cleaning vinegar 120 g": 5 g of acid or 36 g.

What to do
----------
Write the per cent beside the name ("Cleaning vinegar 8 %", "Cream 32 % fat"); of raw fat write the weight after
rendering.

Source
------
The ranges in the tables of liquids, acids and qualifiers, each with its source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place
from sheetcheck.rules.support.open_lines import open_lines
from sheetcheck.rules.support.unread import is_refused
from sheetcheck.rules.support.wording import joined, plain
from sheetcheck.words import tr

NEEDS = ()

_WORTH_SAYING = 0.5  # points of superfat; less than a fat's own range by far


def check(evidence: Evidence) -> list[Finding]:
    """Find what leaves open how much lye it takes up; one finding per name and sheet."""
    lines = open_lines(evidence)
    lines = lines[lines["points"] >= _WORTH_SAYING]
    lines = lines[~is_refused(lines)]  # said already: it cannot be worked out
    unchecked = lines["recipe"].map(evidence.recipes["superfat_typical"]).isna()
    return [
        *(_open(group, unchecked=True) for group in by_name(lines[unchecked])),
        *(_open(group, unchecked=False) for group in by_name(lines[~unchecked])),
    ]


def _open(lines: pd.DataFrame, *, unchecked: bool) -> Finding:
    place = name_place(lines)
    most = plain(float(lines["points"].max()), 1)
    said = (
        tr(
            "“{name}” leaves {points} points of superfat open, so the recipe is not checked.",
            name=place.holds,
            points=most,
        )
        if unchecked
        else tr(
            "“{name}” leaves {points} points of superfat open; it was counted with the least.",
            name=place.holds,
            points=most,
        )
    )
    ask = tr(lines["ask"].iloc[0])
    return finding(
        __name__,
        Signal.CAUTION if unchecked else Signal.NOTICE,
        place,
        list(lines["recipe"]),
        joined(said, f"{ask[:1].upper()}{ask[1:]}{'' if ask.endswith(('.', '?')) else '.'}"),
        expected=tr("what it is, and how strong, beside its name"),
        look_at=tr("the label on the bottle, tin or packet"),
    )
