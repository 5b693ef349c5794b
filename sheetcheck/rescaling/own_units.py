"""The maker's own unit of each recipe, and whether she writes fractions: what a rescaled recipe is written in again."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

_METRIC, _POUNDS_OUNCES = ("g", "kg", "mg"), ("oz", "lb", "lb oz")
_FRACTION = re.compile(r"[¼½¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]|\d\s*[/⁄]\s*\d")


def own_units(components: pd.DataFrame, recipes: pd.Index) -> pd.Series[str]:
    """Return the unit that each recipe is written in: g, kg, oz, lb or "lb oz"; missing where it has none.

    Pounds beside ounces are pounds and ounces, whether in one amount (`2 lb 3 oz`) or in two lines (`3 lb`, `14 oz`);
    so are pounds with a fraction (`1 ½ lb`). Only where all is in pounds with decimals is the unit the pound.
    """
    bearing = components[components["bears"] & components["unit"].isin((*_METRIC, *_POUNDS_OUNCES))]
    tally = pd.crosstab(bearing["recipe"], bearing["unit"].astype(str))
    count = tally.reindex(index=recipes, columns=[*_METRIC, *_POUNDS_OUNCES], fill_value=0)
    metric, ounces = count[list(_METRIC)].sum(axis="columns"), count[list(_POUNDS_OUNCES)].sum(axis="columns")
    halves = bearing.loc[(bearing["unit"] == "lb") & fractions(bearing), "recipe"]
    only_pounds = (count["lb"] == ounces) & ~count.index.isin(halves)
    kinds = [
        (metric + ounces == 0),
        (metric >= ounces) & (count["kg"] > count["g"] + count["mg"]),
        metric >= ounces,
        count["oz"] == ounces,
        only_pounds,
    ]
    words = np.select(kinds, ["", "kg", "g", "oz", "lb"], default="lb oz")
    return pd.Series(words, index=recipes, dtype="object").where(~kinds[0])


def fractions(lines: pd.DataFrame) -> pd.Series[bool]:
    """Tell which amounts are written with a fraction: `9 ½ oz`, `1/4 lb`."""
    return lines["written"].map(lambda text: isinstance(text, str) and bool(_FRACTION.search(text))).astype(bool)
