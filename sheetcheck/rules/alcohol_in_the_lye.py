"""The lye meets alcohol: beer, wine, cider.

Why it matters
--------------
Alcohol boils at 78 °C, which lye reaches within moments: the liquid foams over and throws out hot lye. Alcohol also
makes the batter stiffen before it can be poured.

Example
-------
12 oz of beer, straight from the bottle, in place of the water.

What to do
----------
Beer and wine: simmer them down before any lye is out, with nobody bent over the pot, make up what was lost with water,
and chill them before the lye goes in, a spoon at a time. Spirits: never heat them, for their vapour burns, and never
pour them into hot lye; a few drops into the cool batter are the most.

Source
------
Boiling point of ethanol: from memory. The rest: common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import shown_name
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.wording import percent
from sheetcheck.words import later, tr

TITLE = later("Alcohol meets the lye")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find liquids with alcohol; one finding per liquid and sheet."""
    alcoholic = [key for key, substance in substances().items() if substance.alcohol > 0]
    lines = evidence.components
    lines = lines[(lines["role"] == "liquid") & lines["substance"].isin(alcoholic)]
    return [_alcoholic(group) for _, group in lines.groupby(["sheet", "substance"], sort=False)]


_BEER_OR_WINE = 0.2  # share of alcohol that beer, wine and cider stay below
_SIMMERED = later(
    "{liquid} ({share} alcohol) makes lye foam over: simmer it down first, before any lye is out, and chill it."
)
_SPIRIT = later("{liquid} ({share} alcohol) burns: never heat it, and never pour it into hot lye.")


def _alcoholic(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    liquid = substances()[str(first.substance)]
    return finding(
        __name__,
        Signal.NOTICE,
        place_of(first),
        list(lines["recipe"]),
        tr(
            _SPIRIT if liquid.alcohol > _BEER_OR_WINE else _SIMMERED,
            liquid=shown_name(first.substance).capitalize(),
            share=percent(100 * liquid.alcohol),
        ),
    )
