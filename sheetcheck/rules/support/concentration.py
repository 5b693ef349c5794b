"""The lye concentration of each recipe, where it has a cause of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetcheck.rules.support.evidence import Evidence, once
from sheetcheck.rules.support.superfat import Band, bands

if TYPE_CHECKING:
    import pandas as pd

_LYE_TO_BLAME = (Band.FREE_LYE, Band.NOT_AS_STATED, Band.FAR_TOO_HIGH, Band.MUCH_TOO_HIGH)


@once
def own_concentration(evidence: Evidence) -> pd.Series[float]:
    """Return the lye concentration, unknown where the lye alone is to blame for it.

    A recipe with far too much or too little lye has an odd concentration for the same reason. Where the concentration
    would be sound with the lye that the fats take up, the rules of superfat speak for that recipe.
    """
    recipes = evidence.recipes
    with_needed_lye = 100 * recipes["needed_typical_g"] / (recipes["needed_typical_g"] + recipes["water_g"])
    sound = with_needed_lye.between(evidence.limit("lye_weak_caution"), evidence.limit("lye_strong_warning"))
    blamed = bands(evidence).isin([str(band) for band in _LYE_TO_BLAME]) & sound
    return recipes["lye_concentration"].where(~blamed, np.nan)
