"""The lye meets sugar: milk, honey, beer, juice.

Why it matters
--------------
Sugars turn brown and heat the lye further: it can foam over, and milk scorches. The sugars of milk, malt, honey and
fruit can also give off carbon monoxide with strong lye, which has no smell.

Example
-------
14 oz of goat milk in place of the water.

What to do
----------
Freeze the liquid or keep it ice cold, add the lye to it bit by bit, in a vessel with room to spare, with a window open
or out of doors. Or dissolve the lye in its own weight of water, and stir the milk into the fats.

Source
------
Reducing sugars and carbon monoxide: a manufacturer's page on handling sodium hydroxide (seen). Freezing, and room to
spare: common practice, no source. Shares of sugar: USDA National Nutrient Database.
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

TITLE = later("Sugar meets the lye")
NEEDS = ()

_LIQUID = later("{liquid} ({share} sugar) makes the lye hotter and brown: freeze it, add the lye slowly, window open.")
_ADDED = later(
    "{liquid} ({share} sugar) makes the batter hotter: add it cold and late, never to hot lye, and keep the batch cool."
)


def check(evidence: Evidence) -> list[Finding]:
    """Find liquids with sugar, and honey and the like beside them; one finding for each and sheet."""
    least = evidence.limit("sugar_matters_percent") / 100
    sugary = {key: substance.sugar for key, substance in substances().items() if substance.sugar >= least}
    lines = evidence.components
    lines = lines[lines["role"].isin(("liquid", "additive")) & lines["substance"].isin(list(sugary))]
    sugar = lines["grams"] * lines["substance"].astype(object).map(sugary)
    much = sugar >= least * lines["recipe"].map(evidence.recipes["water_g"])
    lines = lines[(lines["role"] == "liquid") | much]
    return [_sugary(group) for _, group in lines.groupby(["sheet", "substance"], sort=False, observed=True)]


def _sugary(lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    return finding(
        __name__,
        Signal.NOTICE,
        place_of(first),
        list(lines["recipe"]),
        tr(
            _LIQUID if first.role == "liquid" else _ADDED,
            liquid=shown_name(first.substance).capitalize(),
            share=percent(100 * substances()[str(first.substance)].sugar),
        ),
    )
