"""What else is worth knowing of each recipe: what liquids and acids do to superfat, sugar, heat, volume."""

from collections.abc import Callable

import numpy as np
import pandas as pd

from sheetcheck.chemistry.heat import hottest_lye
from sheetcheck.chemistry.lines import Lines
from sheetcheck.chemistry.ranges import Floats
from sheetcheck.chemistry.table import Mask
from sheetcheck.chemistry.volume import WATER_DENSITY, lye_volume
from sheetcheck.settings import Settings


def effects(recipes: pd.DataFrame, lines: Lines, settings: Settings) -> dict[str, Floats]:
    """Return the columns of `batch.EXTRA_COLUMNS` that say what follows from a recipe, rather than what is in it."""
    concentration = recipes["lye_concentration"].to_numpy(dtype=np.float64)
    only_naoh = (recipes["alkali"] == "NaOH").to_numpy()
    hottest = hottest_lye(concentration, settings.limit("ambient_temperature"))
    return {
        "superfat_from_liquids": _shift(recipes, lines, lambda part: ~part.is_fat & (part.fat != 0)),
        "superfat_from_acids": _shift(recipes, lines, lambda part: ~part.is_fat & (part.fat == 0)),
        "sugar_g": lines.added(lambda part: part.total(part.of(part.sugar))),
        "alcohol_g": lines.added(lambda part: part.total(part.of(part.alcohol))),
        "hottest_lye": np.where(only_naoh, hottest, np.nan),
        "batter_ml": _batter(recipes, lines),
    }


def _shift(recipes: pd.DataFrame, lines: Lines, which: Callable[[Lines], Mask]) -> Floats:
    """Return how many points of superfat some lines make up: superfat as it is less superfat without them."""
    all_told = lines.added(lambda part: part.total(part.of(part.typical)))
    rest = all_told - lines.added(lambda part: part.total(part.of(part.typical), which(part)))
    taken = 1 - recipes["superfat_typical"].to_numpy(dtype=np.float64) / 100
    return 100 * taken * (all_told / np.where(rest > 0, rest, np.nan) - 1)


def _batter(recipes: pd.DataFrame, lines: Lines) -> Floats:
    """Return the volume [mL] of all parts side by side, the water among them as lye.

    Lye takes up less room than its water and its alkali, and its density is published; all else has its own density.
    """
    parts = lines.added(lambda part: part.total(part.grams / part.density, _beside_lye(part)))
    water = recipes["water_g"].to_numpy(dtype=np.float64)
    naoh, koh = (recipes[column].to_numpy(dtype=np.float64) for column in ("naoh_g", "koh_g"))
    lye = np.where(koh == 0, lye_volume(naoh, water), np.where(naoh == 0, lye_volume(koh, water, kind="KOH"), np.nan))
    in_parts = lines.added(lambda part: part.total(part.of(part.water), _beside_lye(part)))
    return parts - in_parts / WATER_DENSITY + lye


def _beside_lye(lines: Lines) -> Mask:
    return np.asarray(~lines.is_alkali & (lines.grams != 0))
