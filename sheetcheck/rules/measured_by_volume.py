"""Something is measured by volume that should be weighed.

Why it matters
--------------
A cup of a soft fat holds more or less as it is packed, and the weight of a spoon of lye hangs on the size of its
grains. Recipes for soap go by weight.

Example
-------
"2 cups of lard", or lye by the tablespoon.

What to do
----------
Weigh it once and write the weight. The amount was turned into grams with a published weight per cup or a density, to
check the recipe as well as can be.

Source
------
Weights per cup and densities: each has its source in the tables of fats and liquids. That lye must be weighed: common
practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.wording import mass
from sheetcheck.words import later, tr

TITLE = later("Measured by volume, not weighed")
NEEDS = ()

_SIGNALS = {"fat": Signal.CAUTION, "alkali": Signal.WARNING, "liquid": Signal.CAUTION}


def check(evidence: Evidence) -> list[Finding]:
    """Find volumes of lye (WARNING), of fats and liquids (CAUTION; NOTICE where the error cannot matter)."""
    lines = evidence.components
    measured = lines[lines["by_volume"] & lines["role"].isin(list(_SIGNALS))]
    signals = measured["role"].astype(object).map(_SIGNALS).mask(_harmless(evidence, measured), Signal.NOTICE)
    return [
        _measured(evidence, group, signal)
        for signal in (Signal.WARNING, Signal.CAUTION, Signal.NOTICE)
        for group in by_cause(measured[signals == signal], ["sheet", "column", "role", "name"])
    ]


def _harmless(evidence: Evidence, lines: pd.DataFrame) -> pd.Series[bool]:
    """Tell which volumes do no harm: water by the millilitre (1 mL weighs 1 g), and a spoonful in a large batch."""
    metric_water = (lines["substance"] == "water") & lines["unit"].isin(("mL", "L"))
    fat = lines["recipe"].map(evidence.recipes["fat_g"]).to_numpy(dtype=np.float64)
    spoonful = 100 * lines["grams"] <= evidence.limit("volume_matters_percent") * fat
    return metric_water | (spoonful & (lines["role"] != "alkali"))


def _measured(evidence: Evidence, lines: pd.DataFrame, signal: Signal) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    if math.isnan(first.grams):
        message = tr(
            "{place} is measured by volume ({text}, and no weight is known for it): weigh it.",
            place=place,
            text=place.holds,
        )
    else:
        message = tr(
            "{place} is measured by volume ({text}, taken as {weight}): weigh it.",
            place=place,
            text=place.holds,
            weight=mass(first.grams, evidence.recipe(first.recipe).unit),
        )
    return finding(
        __name__,
        signal,
        place,
        list(lines["recipe"]),
        message,
        expected=tr("a weight"),
        look_at=tr("the amount and its unit"),
    )
