"""How well a row fits: the chemistry, what the sheet states, and the habits of its book, each with a heavy tail.

All terms are logarithms of densities, so that they add up; a part that is missing adds nothing. Every function takes
many rows, or many hypotheses about one row, at once.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from sheetcheck.reference import limits
from sheetcheck.repairs.density import Density
from sheetcheck.repairs.entries import ALL, DEMAND, FATS, Entries, Floats, Mask
from sheetcheck.repairs.habits import Habits, off_five, quantities
from sheetcheck.repairs.priors import usual
from sheetcheck.repairs.rounding import ROUNDING, rounding
from sheetcheck.repairs.stated import Statements

Number: TypeAlias = float | Floats

FITS = 5.0  # logarithm by which a row may fall short of the best fit of its book and still be part of its habits

_COUNTS_LIQUID = 0.15  # share of the makers who count the fat in milk where they state a superfat
_ROUNDED = 0.012  # of the logarithm: lye rounded down by hand
_LEAST = -60.0
_NEVER_MEANT = -2.5  # logarithm of what is left of a habit where no one can have meant it so
_DISSOLVES = float(np.log(100 / 52 - 1))  # liquid over lye at the solubility of NaOH near 20 °C
_FREE_LYE = float(np.log(1.02))  # lye over demand with two per cent too much


@dataclass(frozen=True)
class Context:
    """What is known about a row besides its amounts; each an array over rows, or the number of one row."""

    stated: Number  # superfat, percent
    stated_other: Number
    liquid_fat: Number  # logarithm by which the fat in the liquid raises the demand
    no_margin: Number  # 1.0 where the sheet states hardly any
    salt_bar: Number  # probability that it is one: nearly all fat is coconut or the like, and it lists salt
    lye_rounding: Number  # of the logarithm; what not knowing the maker's values leaves is in it
    water_rounding: Number
    fats_total: Number  # g
    fats_spread: Number  # g, what rounding explains
    batch_total: Number
    batch_spread: Number
    makes: Number  # g that the sheet says it makes
    additives: Number  # g of what is neither fat, lye nor liquid
    concentration: Number  # percent
    liquid_to_lye: Number
    shift: Number  # by which lye over demand lies off the commonest keeper's, for whoever keeps this row
    own_superfat: Number  # the row's own quantity where it is part of the habit, else NaN
    own_water: Number
    own_water_by_fat: Number
    own_batch: Number

    def at(self, position: int) -> Context:
        """Return the context of one row."""
        return Context(**{f.name: float(np.asarray(getattr(self, f.name))[position]) for f in fields(self)})

    def rows(self, positions: npt.NDArray[np.int64]) -> Context:
        """Return the context of some rows."""
        return Context(**{f.name: np.asarray(getattr(self, f.name))[positions] for f in fields(self)})


@dataclass(frozen=True)
class Terms:
    """The parts of a fit, one entry for each row or hypothesis."""

    superfat: Floats
    water: Floats
    batch: Floats
    fats_total: Floats
    batch_total: Floats

    @property
    def sum(self) -> Floats:
        """All of it."""
        return self.superfat + self.water + self.batch + self.fats_total + self.batch_total


def context(entries: Entries, statements: Statements, habits: Habits, totals: Floats, included: Mask) -> Context:
    """Gather what is known about every row of a book."""
    own = quantities(totals)
    left = rounding(entries)
    with np.errstate(invalid="ignore", divide="ignore"):
        demand = totals[:, DEMAND] / totals[:, FATS]
        liquid_fat = np.log1p(entries.liquid_demand / totals[:, DEMAND])

    def where(values: Floats) -> Floats:
        return np.where(included, values, np.nan)

    return Context(
        stated=statements.superfat,
        stated_other=statements.superfat_other,
        liquid_fat=np.nan_to_num(liquid_fat),
        no_margin=statements.no_margin.astype(np.float64),
        salt_bar=np.where(np.nan_to_num(demand) > _LAURIC, np.where(_salted(entries), 0.5, 0.001), 0.0),
        lye_rounding=np.clip(np.hypot(np.nan_to_num(left.lye), habits.values_spread), 0, 0.02),
        water_rounding=np.clip(np.nan_to_num(left.water), 0, 0.03),
        fats_total=statements.fats_total,
        fats_spread=np.hypot(left.fats, ROUNDING * np.nan_to_num(statements.fats_step)),
        batch_total=statements.batch_total,
        batch_spread=np.hypot(left.everything, ROUNDING * np.nan_to_num(statements.batch_step)),
        makes=statements.makes,
        additives=entries.grams_all - totals[:, ALL],
        concentration=statements.concentration,
        liquid_to_lye=statements.liquid_to_lye,
        shift=entries.superfat_shift,
        own_superfat=np.where(habits.speaks, own.superfat - entries.superfat_shift, np.nan),
        own_water=where(own.water),
        own_water_by_fat=where(own.water_by_fat),
        own_batch=where(own.batch),
    )


def _salted(entries: Entries) -> Mask:
    salt = entries.frame["substance"].isin(_SALTS).to_numpy()
    return np.bincount(entries.recipe[salt], minlength=len(entries.index)) > 0


_SALTS = ("salt", "sea salt")
_LAURIC = 0.165  # g NaOH for each g of fat: two thirds coconut or more


def terms(habits: Habits, totals: Floats, known: Context) -> Terms:
    """Return the parts of the fit for totals of shape (n, 6)."""
    seen = quantities(totals)
    return Terms(
        superfat=_or_nothing(_superfat(habits, seen.superfat, known)),
        water=_or_nothing(_water(habits, seen.water, seen.water_by_fat, known)),
        batch=_or_nothing(_density(habits.batch, seen.batch, 0.0, known.own_batch))
        + _or_nothing(_makes(totals[..., FATS], totals[..., ALL] + known.additives, known.makes)),
        fats_total=_or_nothing(_stated_sum(totals[..., FATS], known.fats_total, known.fats_spread)),
        batch_total=_or_nothing(_batch_total(totals[..., ALL], known)),
    )


def _superfat(habits: Habits, seen: Floats, known: Context) -> Floats:
    free = np.exp(_density(habits.superfat, seen - known.shift, known.lye_rounding, known.own_superfat))
    salt_bar = _normal(seen - np.log1p(-usual("superfat of salt bars") / 100), 0.04)
    free = (1 - known.salt_bar) * free + known.salt_bar * salt_bar
    no_margin = _normal(seen - np.log(0.997), 0.012)
    free = np.where(np.asarray(known.no_margin) > 0, 0.3 * free + 0.7 * no_margin, free)
    said = _as_stated(habits, seen, known, known.stated)
    both = np.isfinite(known.stated_other)
    said = np.where(both, 0.5 * said + 0.5 * np.nan_to_num(_as_stated(habits, seen, known, known.stated_other)), said)
    free = np.where(seen > _FREE_LYE, np.exp(_NEVER_MEANT) * free, free)
    return np.log(np.where(np.isfinite(known.stated), said + 0.01 * free, free))


def _density(habit: Density, seen: Floats, spread: Number, own: Number) -> Floats:
    if isinstance(own, float) and isinstance(spread, float):
        known = np.isfinite(seen)
        return np.where(known, habit.at(np.where(known, seen, 0.0), spread, own), np.nan)
    return habit.log(seen, spread, own)


def _as_stated(habits: Habits, seen: Floats, known: Context, stated: Number) -> Floats:
    aim = np.log1p(-np.clip(stated, -50, 90) / 100) + habits.offset
    spread = np.hypot(habits.spread, known.lye_rounding)
    near, wide, rounded = _normal(seen - aim, spread), _normal(seen - aim, 3.5 * spread), _normal(seen - aim, _ROUNDED)
    with_liquid = _normal(seen - aim - known.liquid_fat, spread)
    near = (1 - _COUNTS_LIQUID) * near + _COUNTS_LIQUID * with_liquid
    return 0.90 * near + 0.05 * wide + 0.02 * rounded


def _water(habits: Habits, per_lye: Floats, per_fat: Floats, known: Context) -> Floats:
    there = np.isfinite(per_lye) & np.isfinite(per_fat)
    per_lye, per_fat = np.where(there, per_lye, 0.0), np.where(there, per_fat, 0.0)
    of_lye = np.maximum(_density(habits.water, per_lye, known.water_rounding, known.own_water), _LEAST)
    of_fat = np.maximum(_density(habits.water_by_fat, per_fat, known.water_rounding, known.own_water_by_fat), _LEAST)
    both = np.logaddexp(np.log(habits.by_lye) + of_lye, np.log(1 - habits.by_lye) + of_fat)
    both = both + np.where(per_lye < _DISSOLVES, _NEVER_MEANT, 0.0)
    said = _liquid_as_stated(per_lye, known)
    both = np.where(np.isfinite(said), np.logaddexp(np.nan_to_num(said), _LOOSE + both), both)
    return np.where(there, both, np.nan)


_LOOSE = float(np.log(0.06))  # share of the makers who state a strength and then pour as they like


def _liquid_as_stated(per_lye: Floats, known: Context) -> Floats:
    """Fit of liquid over lye to the lye concentration or the ratio that the sheet states; NaN where it states none."""
    concentration = np.clip(known.concentration, 1, 99)
    with np.errstate(divide="ignore", invalid="ignore"):
        aim = np.where(np.isfinite(concentration), np.log(100 / concentration - 1), np.log(known.liquid_to_lye))
    near = _normal(per_lye - aim, np.hypot(_STATED_STRENGTH, known.water_rounding))
    wide = _normal(per_lye - aim, np.hypot(5 * _STATED_STRENGTH, known.water_rounding))
    return np.asarray(np.log(0.84 * near + 0.1 * wide + 1e-30))


_STATED_STRENGTH = 0.01  # of the logarithm: a strength is stated in whole percents


def _stated_sum(seen: Floats, stated: Number, spread: Number) -> Floats:
    """Fit of a sum to what is stated, relative to a perfect one."""
    spread = np.maximum(spread, 1e-9)
    apart = (seen - stated) / (1.2 * spread)
    far = 0.0001 * spread / np.maximum(np.abs(stated), 1e-9)
    return np.asarray(np.log(0.97 * np.exp(-0.5 * np.minimum(apart**2, 1400)) + 0.01 / (1 + (apart / 3) ** 4) + far))


def _batch_total(seen: Floats, known: Context) -> Floats:
    with_additives = _stated_sum(seen + known.additives, known.batch_total, known.batch_spread)
    return np.maximum(_stated_sum(seen, known.batch_total, known.batch_spread), with_additives)


def _makes(fats: Floats, everything: Floats, makes: Number) -> Floats:
    """Fit of what goes in to what the sheet says it makes, relative to a perfect one; NaN where it says nothing."""
    least, most = (limits()[name].value / 100 for name in ("yield_least_of_fats", "yield_most_of_all"))
    with np.errstate(invalid="ignore", divide="ignore"):
        outside = np.maximum(np.log(least * fats / makes), np.log(makes / (most * everything)))
    apart = np.maximum(outside, 0.0) / _LOOSELY
    return np.asarray(np.log((1 - _YIELD_WRONG) * np.exp(-0.5 * np.minimum(apart**2, 1400)) + _YIELD_WRONG))


_LOOSELY = 0.05  # of the logarithm: a yield is a round number
_YIELD_WRONG = 0.03


def shares_fit(habits: Habits, grams: Floats, fats: Floats, steps: Floats) -> Floats:
    """Fit of each fat's share to multiples of five per cent, at half weight: round amounts say part of it already."""
    off, width = off_five(grams, fats, steps)
    inside = off <= width
    return 0.5 * np.log(habits.fives * inside / np.clip(2 * width, 1e-3, 1) + (1 - habits.fives))


def stated_shares_fit(percent: Floats, step: Floats, grams: Floats, fats: Floats, steps: Floats) -> Floats:
    """Fit of each fat's share to the share that the sheet states for it."""
    spread = np.hypot(ROUNDING * step, 100 * ROUNDING * steps / fats) + 1e-6
    apart = (percent - 100 * grams / fats) / (1.3 * spread)
    return np.asarray(np.log(0.96 * np.exp(-0.5 * np.minimum(apart**2, 1400)) + 0.04 * spread / 50))


def _normal(apart: Floats, spread: Number) -> Floats:
    return np.asarray(np.exp(-0.5 * (apart / spread) ** 2) / (np.asarray(spread) * np.sqrt(2 * np.pi)))


def _or_nothing(term: Floats) -> Floats:
    return np.where(np.isfinite(term), term, 0.0)
