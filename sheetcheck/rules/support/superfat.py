"""What the superfat of each recipe comes to: one band per recipe, so that no two rules say the same of it."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from sheetcheck.chemistry.demand import naoh_per_g
from sheetcheck.reference import constants, substances
from sheetcheck.rules.support.choice import first_that_holds
from sheetcheck.rules.support.evidence import Evidence, once
from sheetcheck.rules.support.habit import habit

if TYPE_CHECKING:
    import pandas as pd


class Band(StrEnum):
    """Bands of superfat; where several would hold, the first one listed does."""

    NO_MARGIN = "no margin, and the sheet says so"
    FREE_LYE = "free lye"
    HARDLY_ANY = "hardly any margin"
    NOT_AS_STATED = "not as stated"
    FAR_TOO_HIGH = "far too high"
    MUCH_TOO_HIGH = "much too high"
    UNUSUAL = "unusual for this book"
    HIGH = "high, or high on purpose"
    LITTLE = "little margin"
    NONE = "nothing to say, or unknown"


def safe_side(evidence: Evidence) -> pd.Series[float]:
    """Typical superfat on the safe side: what is there at least, where not all is known.

    Where the maker's own saponification values are in use, the lower of hers and the published ones counts, so that no
    setting hides free lye. Where the superfat is not known (potassium hydroxide of unstated purity, an amount of lye
    that was not read), the lye that is surely there still counts if it alone is more than the fats take up.
    """
    recipes = evidence.recipes
    typical = recipes["superfat_typical"]
    if "superfat_published" in recipes:
        typical = recipes[["superfat_typical", "superfat_published"]].min(axis=1)
    if "superfat_if_weak" in recipes:
        surely_free = recipes["superfat_if_weak"].where(recipes["superfat_if_weak"] < 0)
        typical = typical.fillna(surely_free)
    return typical


def no_margin_said(evidence: Evidence) -> pd.Series[bool]:
    """Tell where the sheet itself says that there is no margin; in a statement with two readings, by both of them."""
    recipes = evidence.recipes
    other = recipes["stated_superfat_other"]
    most = evidence.limit("no_margin_stated_at_most")
    both = (recipes["stated_superfat"] <= most) & (other <= most)
    return recipes["no_margin_stated"] & (other.isna() | both)


@once
def off_statement(evidence: Evidence) -> pd.Series[bool]:
    """Tell where the stated superfat lies outside the row's range by more than the limit, in every reading of it."""
    recipes = evidence.recipes
    other = recipes["stated_superfat_other"]
    return _off(evidence, recipes["stated_superfat"]) & (other.isna() | _off(evidence, other))


@once
def on_purpose(evidence: Evidence) -> pd.Series[bool]:
    """Tell where a high superfat is stated, and is what the amounts give, whichever way the statement is read."""
    recipes = evidence.recipes
    stated, other = recipes["stated_superfat"], recipes["stated_superfat_other"]
    high = stated.between(evidence.limit("superfat_high_notice"), evidence.limit("superfat_on_purpose_at_most"))
    known = recipes["superfat_typical"].notna() & high
    return known & ~_off(evidence, stated) & (other.isna() | ~_off(evidence, other))


@once
def expected_superfat(evidence: Evidence) -> pd.Series[float]:
    """Return what each recipe leads one to expect: the stated superfat, else what this book's recipes usually have.

    Usual is the median of the sound recipes that state none, or of all sound ones where those are too few; unknown
    where there are too few of either.
    """
    recipes = evidence.recipes
    sound = _sound_superfat(evidence)
    usual = habit(sound[recipes["stated_superfat"].isna()], evidence) or habit(sound, evidence)
    return recipes["stated_superfat"].fillna(usual.median if usual else np.nan)


@once
def bands(evidence: Evidence) -> pd.Series[str]:
    """Give each recipe its band."""
    superfat = safe_side(evidence)
    no_margin, meant = no_margin_said(evidence), on_purpose(evidence)
    said_at_most = evidence.limit("no_margin_stated_at_most")
    hardly, little = evidence.limit("superfat_warning_below"), evidence.limit("superfat_notice_below")
    high = superfat > evidence.limit("superfat_high_notice")
    conditions = [
        (Band.NO_MARGIN, no_margin & superfat.between(evidence.limit("no_margin_floor"), said_at_most)),
        (Band.FREE_LYE, superfat < evidence.limit("superfat_danger_below")),
        (Band.HARDLY_ANY, superfat < hardly),
        (Band.NOT_AS_STATED, off_statement(evidence)),
        (Band.HIGH, high & meant),
        (Band.FAR_TOO_HIGH, superfat > evidence.limit("superfat_high_warning")),
        (Band.MUCH_TOO_HIGH, superfat > evidence.limit("superfat_high_caution")),
        (Band.UNUSUAL, _unusual(evidence) & ~no_margin),
        (Band.HIGH, high),
        (Band.LITTLE, superfat < little),
    ]
    return first_that_holds(conditions, Band.NONE)


def _off(evidence: Evidence, stated: pd.Series[float]) -> pd.Series[bool]:
    margin = evidence.limit("superfat_off_statement")
    recipes = evidence.recipes
    low = recipes["superfat_low"] - _points_from_liquids(evidence)
    return (stated < low - margin) | (stated > recipes["superfat_high"] + margin)


@once
def _points_from_liquids(evidence: Evidence) -> pd.Series[float]:
    """Return by how many points the fat in milk and the like raises the superfat: makers seldom count it in."""
    recipes = evidence.recipes
    fatty = {key: naoh_per_g(s.sap_typical) * s.fat for key, s in substances().items() if s.fat > 0 and s.kind != "fat"}
    lines = evidence.components
    lines = lines.loc[(lines["role"] == "liquid") & lines["substance"].isin(fatty), ["recipe", "grams", "substance"]]
    per_gram = lines["substance"].astype(object).map(fatty)
    taken_up = (lines["grams"] * per_gram).groupby(lines["recipe"]).sum().reindex(recipes.index)
    per_own_alkali = np.where(recipes["alkali"] == "KOH", constants().naoh_per_koh, 1.0)
    without = recipes["needed_typical_g"] - taken_up.fillna(0.0) / per_own_alkali
    points = 100 * recipes["alkali_g"] * (1 / without - 1 / recipes["needed_typical_g"])
    return points.where(without > 0, 0.0)


def _sound_superfat(evidence: Evidence) -> pd.Series[float]:
    recipes = evidence.recipes
    typical = recipes["superfat_typical"]
    sound = typical.between(evidence.limit("superfat_danger_below"), evidence.limit("superfat_high_warning"))
    return typical.where(sound & ~recipes["no_margin_stated"])


def _unusual(evidence: Evidence) -> pd.Series[bool]:
    """Tell whose distance from the expected superfat is far from what those distances are in this book."""
    expected = expected_superfat(evidence)
    usual = habit(_sound_superfat(evidence) - expected, evidence)
    if usual is None:
        return evidence.nowhere()
    return usual.far(evidence.recipes["superfat_typical"] - expected, evidence.limit("outlier_superfat_floor"))
