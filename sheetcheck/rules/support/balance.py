"""Whether a row balances, and what it would come to with one amount read otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetcheck.chemistry.demand import alkali_needed
from sheetcheck.reference import substances
from sheetcheck.reference.slips import slip_table
from sheetcheck.rules.support.evidence import Evidence, once
from sheetcheck.rules.support.rows import ComponentRow

if TYPE_CHECKING:
    import pandas as pd


@once
def balances(evidence: Evidence) -> pd.Series[bool]:
    """Tell which recipes have a superfat that a soap can have, and a lye that is neither very weak nor very strong."""
    recipes = evidence.recipes
    superfat = recipes["superfat_typical"].between(
        evidence.limit("superfat_danger_below"), evidence.limit("superfat_high_warning")
    )
    return superfat & (recipes["lye_concentration"].isna() | _sound_lye(evidence, recipes["lye_concentration"]))


def would_balance(evidence: Evidence, line: ComponentRow, grams: float) -> bool:
    """Tell if the recipe of a component would balance with `grams` there instead of what was read."""
    superfat, lye = _with(evidence, line, grams)
    low, high = evidence.limit("superfat_danger_below"), evidence.limit("superfat_high_warning")
    sound = evidence.limit("lye_weak_caution") <= lye <= evidence.limit("lye_strong_warning")
    return bool(low <= superfat <= high and (sound or np.isnan(lye)))


def as_usual(evidence: Evidence, line: ComponentRow, grams: float) -> float:
    """Return how usual the recipe of a component would be with `grams` there: 0 nats as usual as can be, else below.

    Its superfat is held against the stated one, else against what is usual in the trade, as is its lye.
    """
    superfat, lye = _with(evidence, line, grams)
    stated = float(evidence.recipe(line.recipe).stated_superfat)
    aim = (_usual("superfat least"), _usual("superfat most")) if np.isnan(stated) else (stated, stated)
    off = _outside(superfat, *aim) / _SUPERFAT_OFF
    weak_or_strong = _outside(lye, _usual("lye concentration least"), _usual("lye concentration most")) / _LYE_OFF
    return -0.5 * float(np.nansum(np.array([off, weak_or_strong]) ** 2))


_SUPERFAT_OFF, _LYE_OFF = 2.0, 2.5  # points by which a recipe is mostly off; common practice, no source


def _usual(name: str) -> float:
    return slip_table()[name].value


def _outside(value: float, low: float, high: float) -> float:
    return float(np.maximum(np.maximum(low - value, value - high), 0.0))


def superfat_with(evidence: Evidence, line: ComponentRow, grams: float) -> float:
    """Return the superfat [%] of a component's recipe with `grams` there; NaN where that cannot be told."""
    return _with(evidence, line, grams)[0]


def _with(evidence: Evidence, line: ComponentRow, grams: float) -> tuple[float, float]:
    """Return superfat and lye concentration, in percent."""
    recipe = evidence.recipe(line.recipe)
    extra = grams - line.grams
    alkali, needed, water = recipe.alkali_g, recipe.needed_typical_g, recipe.water_g
    substance = substances().get(str(line.substance))
    if line.role == "alkali":
        alkali += extra
    elif line.role == "fat" and substance is not None:
        needed += float(alkali_needed(abs(extra), substance.sap_typical, str(recipe.alkali))) * np.sign(extra)
    elif line.role == "liquid" and substance is not None:
        water += extra * substance.water
    else:
        return np.nan, np.nan
    superfat = 100 * (1 - alkali / needed) if needed > 0 else np.nan
    return superfat, 100 * alkali / (alkali + water) if alkali + water > 0 else np.nan


def _sound_lye(evidence: Evidence, concentration: pd.Series[float]) -> pd.Series[bool]:
    return concentration.between(evidence.limit("lye_weak_caution"), evidence.limit("lye_strong_warning"))
