"""An amount that the sheet states twice, in two units: where both agree nothing is in doubt, else both are kept."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.reading.entries import decimals_of
from sheetcheck.reading.units.units import to_grams

_APART = 0.015  # share by which two statements may differ however they are rounded: many reckon an ounce as 28 g


def keep_second_readings(components: pd.DataFrame, statements: pd.DataFrame) -> None:
    """Keep the amount that is stated again as a second reading where it is another one, in place.

    Where both agree, an amount with two readings (`1.250 g | 44.1 oz`) has but the one.
    """
    again = statements[(statements["kind"] == "same amount") & statements["value"].notna()]
    if again.empty:
        return
    keys = ["recipe", "row", "column"]
    said = again[["recipe", "about_row", "about_column", "value", "unit"]]
    said = said.set_axis([*keys, "again", "again_unit"], axis=1).drop_duplicates(keys)
    both = components[[*keys, "grams", "unit", "decimals"]].reset_index().merge(said, on=keys)
    both = both[both["grams"].notna()]
    apart = (both["again"] - both["grams"]).abs().to_numpy()
    differs = apart > _APART * both["grams"].to_numpy() + _rounding(both)
    components.loc[both["index"].to_numpy(), "other_grams"] = np.where(differs, both["again"].to_numpy(), np.nan)


def take_shares_of_liquid(components: pd.DataFrame, statements: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Take a liquid in per cent, where the recipe weighs its liquid as well, for what the sheet says of that liquid."""
    liquid = components[components["role"] == "liquid"]
    shares = liquid[(liquid["unit"] == "%") & liquid["grams"].isna() & liquid["value"].notna()]
    shares = shares[shares["recipe"].isin(liquid.loc[liquid["grams"] > 0, "recipe"])]
    if shares.empty:
        return components, statements
    said = shares.assign(
        kind="liquid to fats", other_value=np.nan, unit=None, place="column", about_row=0, about_column=0
    )
    every = pd.concat([statements.astype({"kind": object, "place": object, "unit": object}), said[statements.columns]])
    every = every.sort_values(["recipe", "row", "column"], kind="stable", ignore_index=True)
    left = components.drop(shares.index).reset_index(drop=True)
    return left, every.astype(
        statements.dtypes.to_dict() | dict.fromkeys(("kind", "place", "unit", "sheet", "stored"), "category")
    )


def _rounding(both: pd.DataFrame) -> NDArray[np.float64]:
    """Return how far two statements of one amount may be apart, in grams, for their rounding alone."""
    own = [_half_step(unit, int(places)) for unit, places in zip(both["unit"], both["decimals"], strict=True)]
    other = [
        _half_step(unit, decimals_of(round(grams / to_grams(1.0, unit), 6)))
        for unit, grams in zip(both["again_unit"], both["again"], strict=True)
    ]
    return np.add(own, other, dtype=np.float64)


def _half_step(unit: str | float, decimals: int) -> float:
    """Return half of the last decimal in grams; pounds and ounces are written to the ounce."""
    of = "oz" if unit == "lb oz" else unit
    grams = to_grams(1.0, of) if isinstance(of, str) and of != "%" else 0.0
    return float(0.5 * grams * 10.0**-decimals) if np.isfinite(grams) else 0.0
