"""What lye and liquid a recipe should have, for its own fats and for the superfat and strength that it aims at."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.lines import Lines
from sheetcheck.chemistry.liquid import water_for
from sheetcheck.chemistry.ranges import Floats
from sheetcheck.chemistry.superfat import alkali_for
from sheetcheck.chemistry.table import Mask
from sheetcheck.reference import constants
from sheetcheck.settings import Settings

STATED_SUPERFAT = (0.0, 50.0)  # percent: statements that a lye may be recomputed for


def recompute(recipes: pd.DataFrame, lines: Lines, settings: Settings) -> dict[str, Any]:
    """Return the recomputed columns of `batch.compute`.

    Lye is recomputed for the fats, liquids and acids as written, and given as it is weighed: of the purity or the
    solution that the row states. Liquid is such that its water, with the water of a lye solution, gives the lye
    concentration aimed at, in the row's own mix of liquids. NaN where an amount that a number rests on is unread.
    """
    superfat, source = superfat_aimed_at(recipes, settings)
    in_naoh = np.where(recipes["alkali"] == "KOH", constants().naoh_per_koh, 1.0)
    pure_as_naoh = alkali_for(superfat, _floats(recipes, "needed_typical_g") * in_naoh)
    naoh, koh = _split(recipes, pure_as_naoh)
    weighed_naoh, water_naoh = _weighed(naoh, lines, lines.is_naoh, settings.naoh_purity)
    weighed_koh, water_koh = _weighed(koh, lines, lines.is_koh, settings.koh_purity)
    water = water_for(concentration_aimed_at(recipes, settings), naoh + koh)
    one_alkali = (weighed_naoh == 0) | (weighed_koh == 0)
    return {
        "alkali_recomputed_g": np.where(one_alkali, weighed_naoh + weighed_koh, np.nan),
        "liquid_recomputed_g": _liquid(water - water_naoh - water_koh, lines),
        "naoh_recomputed_g": weighed_naoh,
        "koh_recomputed_g": weighed_koh,
        "recomputed_superfat": superfat,
        "recomputed_from": source,
    }


def superfat_aimed_at(recipes: pd.DataFrame, settings: Settings) -> tuple[Floats, npt.NDArray[np.object_]]:
    """Return the superfat [%] that each recipe aims at, and whether row, book or setting says so.

    Of two readings of a statement the higher is taken: less lye.
    """
    stated = np.fmax(_floats(recipes, "stated_superfat"), _floats(recipes, "stated_superfat_other"))
    usable = _between(stated, *STATED_SUPERFAT)
    usual, from_book = usual_superfat(recipes, settings), "book"
    if np.isnan(usual):
        usual, from_book = settings.superfat_to_aim_at, "setting"
    words = np.array(["row", from_book], dtype=object)
    return np.where(usable, stated, usual), words[np.where(usable, 0, 1)]


def concentration_aimed_at(recipes: pd.DataFrame, settings: Settings) -> Floats:
    """Return the lye concentration [%] aimed at: the row's own if sound, else the book's, else the setting."""
    own = _floats(recipes, "lye_concentration")
    sound = _sound(own, settings)
    usual = _usual(own[sound], settings)
    return np.where(sound, own, settings.target_lye_concentration if np.isnan(usual) else usual)


def usual_superfat(recipes: pd.DataFrame, settings: Settings) -> float:
    """Return the median superfat [%] of the book's sound rows; NaN where there are too few to say."""
    superfat = _floats(recipes, "superfat_typical")
    low, high = settings.limit("superfat_notice_below"), settings.limit("outlier_superfat_caution_above")
    return _usual(superfat[_between(superfat, low, high)], settings)


def _usual(sound: Floats, settings: Settings) -> float:
    return float(np.median(sound)) if len(sound) >= settings.limit("outlier_min_recipes") else np.nan


def _sound(concentration: Floats, settings: Settings) -> Mask:
    return _between(concentration, settings.limit("lye_weak_notice"), settings.limit("lye_strong_caution"))


def _between(values: Floats, low: float, high: float) -> Mask:
    return (values >= low) & (values <= high)


def _floats(recipes: pd.DataFrame, column: str) -> Floats:
    return recipes[column].to_numpy(dtype=np.float64)


def _split(recipes: pd.DataFrame, as_naoh: Floats) -> tuple[Floats, Floats]:
    """Split a demand, as NaOH, over NaOH and KOH as the row has them: pure masses [g].

    A row that lists no alkali gets NaOH, unless the book uses KOH somewhere.
    """
    naoh, koh = _floats(recipes, "naoh_g"), _floats(recipes, "koh_g")
    kind = recipes["alkali"].to_numpy()
    share = np.full(len(recipes), np.nan)
    ratio = constants().naoh_per_koh
    both = naoh + koh * ratio
    mixed = (kind == "mixed") & (both > 0)
    share[mixed] = naoh[mixed] / both[mixed]
    share[kind == "NaOH"] = 1.0
    share[kind == "KOH"] = 0.0
    if not np.isin(kind, ["KOH", "mixed"]).any():
        share[pd.isna(kind)] = 1.0
    return as_naoh * share, as_naoh * (1 - share) / ratio


def _weighed(pure: Floats, lines: Lines, which: Mask, purity: float | None) -> tuple[Floats, Floats]:
    """Return what to weigh of one alkali, as the row has it, and the water that comes with it [g]."""
    usual = np.nan if purity is None else purity / 100
    own = lines.only(which)
    grams = np.where(np.isnan(own.grams), 1.0, own.grams)  # an unread lye still says how strong it is
    weighed = own.total(grams)
    there = weighed > 0
    weighed = np.where(there, weighed, 1.0)
    strength = np.where(there, own.total(grams * own.strength) / weighed, usual)
    per_pure = np.where(there, own.total(grams * own.water) / weighed, 0.0) / strength
    none = pure == 0
    return np.where(none, 0.0, pure / strength), np.where(none, 0.0, pure * per_pure)


def _liquid(water: Floats, lines: Lines) -> Floats:
    """Return the liquid [g] that brings this much water, in the row's own mix; plain water where it lists none."""
    liquid = lines.total(lines.grams, lines.is_liquid)
    brought = lines.added(lambda part: part.total(part.of(part.water), part.is_liquid))
    share = np.where(liquid > 0, brought / np.where(liquid > 0, liquid, 1.0), np.where(liquid == 0, 1.0, np.nan))
    return np.where((water >= 0) & (share > 0), water / np.where(share > 0, share, np.nan), np.nan)
