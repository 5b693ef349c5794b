"""The liquid brings fat, which takes up lye as well.

Why it matters
--------------
Milk, cream, coconut milk and egg yolk hold fat. It is counted with its own values, so a recipe with milk has more
superfat than the same with water: by one or two points for milk, by eight for coconut milk. Who swaps water for milk
should know how far it moves.

Example
-------
18 oz of goat milk in place of water, on 60 oz of lard: the superfat is 1.4 points higher.

What to do
----------
Nothing, if the superfat suits you. With cream or coconut milk, compute the lye with that fat counted in, as the
recomputed lye is.

Source
------
Shares of fat by the USDA National Nutrient Database for Standard Reference; saponification values of the table of fats.
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

TITLE = later("The liquid brings fat")
NEEDS = ()

_WORTH_A_FIGURE = (-5.0, 25.0)  # percent superfat; beyond it something else is the matter
_WORTH_SAYING = 0.5  # points of superfat; less than a fat's own range by far


def check(evidence: Evidence) -> list[Finding]:
    """Find liquids whose fat moves superfat; one finding per liquid and sheet, on the recipe where it moves most."""
    lines = evidence.components
    lines = lines[lines["substance"].isin(_fatty()) & (lines["role"] != "fat")]
    points = lines["recipe"].map(evidence.recipes["superfat_from_liquids"])
    lines = lines.assign(points=points)[points >= _WORTH_SAYING]
    return [_fat(evidence, group) for _, group in lines.groupby(["sheet", "substance"], sort=False, observed=True)]


def _fatty() -> list[str]:
    return [key for key, s in substances().items() if s.kind not in ("fat", "refused") and s.fat > 0]


def _fat(evidence: Evidence, lines: pd.DataFrame) -> Finding:
    most = first_component(lines.sort_values("points", ascending=False, kind="stable"))
    points = evidence.recipes["superfat_from_liquids"].loc[most.recipe]
    superfat = evidence.recipe(most.recipe).superfat_typical
    said = {"liquid": shown_name(most.substance), "superfat": percent(superfat), "without": percent(superfat - points)}
    low, high = _WORTH_A_FIGURE
    return finding(
        __name__,
        Signal.NOTICE,
        place_of(most),
        list(lines["recipe"]),
        tr(_RAISES, **said)
        if low <= superfat <= high
        else tr("The fat of {liquid} takes up lye too, and is counted in.", liquid=said["liquid"]),
    )


_RAISES = later("The own fat of {liquid} raises the superfat from {without} to {superfat}.")
