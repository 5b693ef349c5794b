"""What else is worth knowing of each recipe: what liquids and acids do to superfat, sugar, heat, volume."""

from collections.abc import Callable

import numpy as np
import pandas as pd

from sheetcheck.chemistry.alkali import purity_after_ageing
from sheetcheck.chemistry.heat import hottest_lye
from sheetcheck.chemistry.lines import STRONGEST_SOLUTION, Lines
from sheetcheck.chemistry.outcome import cured_mass, shares
from sheetcheck.chemistry.ranges import Floats
from sheetcheck.chemistry.table import Mask
from sheetcheck.chemistry.volume import WATER_DENSITY, lye_volume
from sheetcheck.reference import constants
from sheetcheck.settings import Settings

_LITTLE = 0.05  # share of a batch; of a salt twice as dense as water this errs by 2.5 % of the volume


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
        "superfat_if_aged": _superfat_if_aged(recipes, lines, settings),
        **_what_comes_out(recipes, lines),
    }


def _what_comes_out(recipes: pd.DataFrame, lines: Lines) -> dict[str, Floats]:
    """Return mass and shares of the soap; shares by stoichiometry, for fats that are triglycerides.

    Acids take up lye before the fats do. Where NaOH and KOH are mixed, shares are not known.
    """
    batch, water, alkali = (_column(recipes, name) for name in ("batch_g", "water_g", "alkali_g"))
    own = np.where(recipes["alkali"] == "KOH", constants().naoh_per_koh, 1.0)
    fat = lines.added(lambda part: part.total(part.of(np.where(part.is_fat, 1.0, part.fat))))
    by_fat = lines.added(lambda part: part.total(part.of(part.typical), part.is_fat | (part.fat != 0))) / own
    by_acid = np.maximum(_column(recipes, "needed_typical_g") - by_fat, 0)
    for_fat = np.maximum(alkali - by_acid, 0)
    made = {kind: shares(fat, for_fat, by_fat, batch, kind) for kind in ("NaOH", "KOH")}
    kinds = [(recipes["alkali"] == kind).to_numpy() for kind in made]
    return {
        "cured_least_g": cured_mass(batch, water),
        **{
            f"{part}_percent": np.select(kinds, [getattr(of, part) for of in made.values()], default=np.nan)
            for part in ("soap", "fat", "glycerol")
        },
    }


def _column(recipes: pd.DataFrame, name: str) -> Floats:
    return recipes[name].to_numpy(dtype=np.float64)


def _superfat_if_aged(recipes: pd.DataFrame, lines: Lines, settings: Settings) -> Floats:
    """Return the typical superfat [%] if the dry lye had stood in air as the settings say; NaN where they say nothing.

    It is never lower than the superfat as written: air makes lye weaker.
    """
    moisture, carbon_dioxide = settings.lye_moisture / 100, settings.lye_carbon_dioxide / 100
    if moisture == carbon_dioxide == 0:
        return np.full(len(recipes), np.nan)
    lye = lines.only(lines.is_naoh | lines.is_koh)
    aged = np.where(
        lye.is_naoh,
        purity_after_ageing(lye.strength, moisture, carbon_dioxide),
        purity_after_ageing(lye.strength, moisture, carbon_dioxide, "KOH"),
    )
    is_dry = ~(lye.strength < STRONGEST_SOLUTION)
    in_naoh = np.where(lye.is_koh, constants().naoh_per_koh, 1.0)
    lost = lye.total(lye.of(np.where(is_dry, (lye.strength - aged) * in_naoh, 0.0)))
    own = np.where(recipes["alkali"] == "KOH", constants().naoh_per_koh, 1.0)
    needed = recipes["needed_typical_g"].to_numpy(dtype=np.float64) * own
    return np.asarray(recipes["superfat_typical"].to_numpy(dtype=np.float64) + 100 * lost / needed)


def _shift(recipes: pd.DataFrame, lines: Lines, which: Callable[[Lines], Mask]) -> Floats:
    """Return how many points of superfat some lines make up: superfat as it is less superfat without them."""
    all_told = lines.added(lambda part: part.total(part.of(part.typical)))
    rest = all_told - lines.added(lambda part: part.total(part.of(part.typical), which(part)))
    taken = 1 - recipes["superfat_typical"].to_numpy(dtype=np.float64) / 100
    return 100 * taken * (all_told / np.where(rest > 0, rest, np.nan) - 1)


def _batter(recipes: pd.DataFrame, lines: Lines) -> Floats:
    """Return the volume [mL] of all parts side by side, the water among them as lye.

    Lye takes up less room than its water and its alkali, and its density is published; all else has its own density.
    What dry alkali holds besides (a tenth of a potassium hydroxide of 90 %, most of it water) counts as water of the
    lye. What is of unknown density counts as water where it is little: no more of it than `_LITTLE` of the batch.
    """
    parts = lines.added(lambda part: part.total(part.grams / part.density, _beside_lye(part) & ~_is_odd(part)))
    odd = lines.added(lambda part: part.total(part.grams, _beside_lye(part) & _is_odd(part)))
    odd = np.where(odd <= _LITTLE * recipes["batch_g"].to_numpy(dtype=np.float64), odd / WATER_DENSITY, np.nan)
    impure = lines.added(lambda part: part.total(part.of(_not_alkali(part)), part.is_alkali))
    water = recipes["water_g"].to_numpy(dtype=np.float64) + impure
    naoh, koh = (recipes[column].to_numpy(dtype=np.float64) for column in ("naoh_g", "koh_g"))
    in_parts = lines.added(lambda part: part.total(part.of(part.water), _beside_lye(part)))
    return parts + odd - in_parts / WATER_DENSITY + _lye(naoh, koh, water)


def _lye(naoh: Floats, koh: Floats, water: Floats) -> Floats:
    """Return the volume [mL] of a lye of either alkali, or of both: as two lyes of one strength, poured together."""
    of_naoh = naoh / np.where(naoh + koh > 0, naoh + koh, np.nan)
    volumes = [
        np.where(share > 0, lye_volume(alkali, water * share, kind=kind), 0.0)
        for alkali, share, kind in ((naoh, of_naoh, "NaOH"), (koh, 1 - of_naoh, "KOH"))
    ]
    return np.where(np.isnan(of_naoh), np.nan, volumes[0] + volumes[1])


def _not_alkali(lines: Lines) -> Floats:
    """Return the share of dry alkali that is neither alkali nor counted as water."""
    return np.where(lines.is_alkali, 1 - lines.strength - lines.water, 0.0)


def _is_odd(lines: Lines) -> Mask:
    return np.isnan(lines.density)


def _beside_lye(lines: Lines) -> Mask:
    return np.asarray(~lines.is_alkali & (lines.grams != 0))
