"""What comes out of each recipe, as a table for a sheet: mass, volume, shares, free alkali, heat."""

from __future__ import annotations

import pandas as pd

COLUMNS = (
    "batch_g",  # all that goes into the pot
    "cured_least_g",  # the same without its water: a dry bar weighs no less, and keeps some water
    "batter_ml",
    "soap_percent",  # of the fresh soap; what is left to 100 is water and what takes no part
    "fat_percent",
    "glycerol_percent",
    "free_alkali_percent",
    "superfat_from_liquids",  # points
    "superfat_from_acids",  # points
    "hottest_lye",  # °C
)


def comes_out(recipes: pd.DataFrame) -> pd.DataFrame:
    """Return what comes out of the recipes of which the batch is known.

    Parameters
    ----------
    recipes
        As `batch.compute` gives them.

    Returns
    -------
    DataFrame
        Columns `COLUMNS`, indexed like the recipes; NaN where not known. Where lye is left free or may be, shares of
        soap and fat are left out: nothing invites to make it.
    """
    found = recipes.loc[recipes["batch_g"].notna(), list(COLUMNS)].astype("float64")
    unsafe = found["free_alkali_percent"].isna() | (found["free_alkali_percent"] > 0)
    found.loc[unsafe, ["soap_percent", "fat_percent", "glycerol_percent"]] = float("nan")
    return found
