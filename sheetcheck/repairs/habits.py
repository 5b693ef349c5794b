"""What is usual in a book: its superfat, its water, its batch sizes, the numbers it is written in.

A row under suspicion is no part of a habit, and no row vouches for itself (`Density.log`). Where a book is small, what
is usual in the trade takes over by itself: it counts as a few rows of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sheetcheck.repairs import trade
from sheetcheck.repairs.density import Density, fitted
from sheetcheck.repairs.entries import DEMAND, FAT, FATS, MASS, PURE, WET, Entries, Floats, Mask
from sheetcheck.repairs.makers_values import FEWEST, OFFSET_SPREAD, SPREAD, makers_values, usual_superfat
from sheetcheck.repairs.rounding import rounding
from sheetcheck.repairs.roundness import Roundness, learn
from sheetcheck.repairs.stated import Statements

_WIDTHS = (0.001, 0.002, 0.004, 0.01, 0.02, 0.04)  # of a kernel, for liquid
_SPREAD_ROWS = 2.0
_LEARNT_SPREAD = 0.004  # of the logarithm of lye: what varies once the maker's values are read from her book
_LEAST_SPREAD = 0.0007
_SD_PER_MAD = 1.4826
_ENOUGH = 5
_SAMPLE = 500  # rows that tell how a book's liquid is reckoned
_SIZES = (0.004, 0.02, 0.08, 0.2)  # the same, for the size of a batch


@dataclass(frozen=True)
class Habits:
    """What is usual in a book, as densities of logarithms.

    Parameters
    ----------
    superfat
        Of pure lye (as NaOH) over demand; `speaks` are the rows that it rests on.
    water, water_by_fat
        Of liquid over lye, and of liquid over fats; `by_lye` is the share of the first.
    batch
        Of the fats, g.
    offset, spread
        By how much lye over demand usually differs from what the stated superfat gives.
    fat_values
        For each fat (`Entries.fat_codes`), the factor by which this maker's saponification value seems to differ.
    values_by_fat
        The same by the name of the fat.
    values_spread
        For each recipe, the standard deviation that not knowing them exactly leaves (of the logarithm).
    roundness
        Which numbers are written.
    fives
        Share of the fats whose share of the batch is a multiple of five per cent.
    small
        Share of the batch below which a fat is seldom listed.
    rows
        How many rows the habits rest on.
    """

    superfat: Density
    speaks: Mask
    water: Density
    water_by_fat: Density
    by_lye: float
    batch: Density
    offset: float
    spread: float
    fat_values: Floats
    values_by_fat: Mapping[str, float]
    values_spread: Floats
    roundness: Roundness
    fives: float
    small: float
    rows: int


@dataclass(frozen=True)
class Quantities:
    """Logarithms that the habits are about; one entry for each row or hypothesis."""

    superfat: Floats  # pure lye over demand
    water: Floats  # liquid over lye
    water_by_fat: Floats
    batch: Floats


def quantities(totals: Floats) -> Quantities:
    """Return the logarithms for totals of shape (n, 6); NaN where a part is missing."""
    logs = np.log(np.where(totals > 0, totals, np.nan))
    return Quantities(
        superfat=logs[..., PURE] - logs[..., DEMAND],
        water=logs[..., WET] - logs[..., MASS],
        water_by_fat=logs[..., WET] - logs[..., FATS],
        batch=logs[..., FATS],
    )


def plausible(totals: Floats) -> Mask:
    """Rows that a first look takes for sound: superfat 0 to 25 %, lye concentration 18 to 48 %."""
    seen = quantities(totals)
    superfat = 100 * (1 - np.exp(seen.superfat))
    concentration = 100 / (1 + np.exp(seen.water))
    return np.asarray((superfat > -1) & (superfat < 25) & (concentration > 18) & (concentration < 48))


def learn_habits(
    entries: Entries, statements: Statements, included: Mask, roundness: Roundness | None = None
) -> Habits:
    """Learn the habits of a book from the rows that are included; which numbers are written, only if not known."""
    stated = np.log1p(-np.where(statements.superfat < 60, statements.superfat, np.nan) / 100)
    values = makers_values(entries, stated, included)
    seen = quantities(adjusted_totals(entries, values.factors))
    offset, spread = _offset(seen.superfat - stated, included, np.hypot(rounding(entries).lye, values.spread))
    of_rows = included[entries.recipe]
    water = fitted(seen.water[included], trade.water(), _WIDTHS)
    by_fat = fitted(seen.water_by_fat[included], trade.water_by_fat(), _WIDTHS)
    silent = included & np.isnan(stated)
    speaks_for_all = silent if silent.sum() >= _ENOUGH else included  # a superfat that is stated is no habit
    return Habits(
        superfat=usual_superfat((seen.superfat - entries.superfat_shift)[speaks_for_all], entries.own_superfat),
        speaks=speaks_for_all,
        water=water,
        water_by_fat=by_fat,
        by_lye=_by_lye(seen, included, water, by_fat),
        batch=fitted(seen.batch[included], trade.batch(), _SIZES),
        offset=offset,
        spread=spread,
        fat_values=values.factors,
        values_by_fat=dict(zip(entries.fat_codes[1], values.factors.tolist(), strict=True)),
        values_spread=values.spread,
        roundness=roundness or learn(entries.value[of_rows], entries.unit[of_rows], entries.role[of_rows]),
        fives=_fives(entries, included),
        small=_small(entries, included),
        rows=int(included.sum()),
    )


def adjusted_totals(entries: Entries, fat_values: Floats) -> Floats:
    """Return the totals with the demand that this maker's own values give."""
    codes, _ = entries.fat_codes
    factor = np.where(codes >= 0, np.append(fat_values, 1.0)[codes], 1.0)
    demand = np.bincount(
        entries.recipe,
        entries.grams * np.nan_to_num(entries.per_gram[:, DEMAND]) * factor,
        len(entries.index),
    )
    totals = entries.totals.copy()
    totals[:, DEMAND] = np.where(np.isnan(totals[:, DEMAND]), np.nan, demand)
    return totals


def _by_lye(seen: Quantities, included: Mask, water: Density, by_fat: Density) -> float:
    """Return the share of rows whose liquid seems reckoned from the lye, not from the fats, by which fits better."""
    known = np.flatnonzero(included & np.isfinite(seen.water) & np.isfinite(seen.water_by_fat))
    if len(known) < 5:
        return 0.7
    known = known[:: 1 + len(known) // _SAMPLE]
    lye = water.log(seen.water[known], own=seen.water[known])
    fat = by_fat.log(seen.water_by_fat[known], own=seen.water_by_fat[known])
    return float(np.clip(np.mean(1 / (1 + np.exp(np.clip(fat - lye, -30, 30)))), 0.02, 0.98))


def _middle(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else 0.0


def _offset(deviation: Floats, included: Mask, rounding: Floats) -> tuple[float, float]:
    """Return how far lye usually lies from the stated superfat, and how much that varies beyond rounding."""
    known = included & np.isfinite(deviation)
    count = int(known.sum())
    if not count:
        return 0.0, 1.5 * SPREAD
    median = float(np.median(deviation[known]))
    seen = _SD_PER_MAD * float(np.median(np.abs(deviation[known] - median)))
    spread = max(seen**2 - _middle(rounding[known]) ** 2, _LEAST_SPREAD**2)
    usual = _LEARNT_SPREAD if count >= FEWEST else SPREAD
    variance = (count * spread + _SPREAD_ROWS * usual**2) / (count + _SPREAD_ROWS)
    own = (variance + _middle(rounding[known]) ** 2) / count
    offset = median * OFFSET_SPREAD**2 / (OFFSET_SPREAD**2 + own)
    return offset, float(np.sqrt(variance + min(own, OFFSET_SPREAD**2)))


def _fives(entries: Entries, included: Mask) -> float:
    """Return the share of fats that are a multiple of five per cent of their batch, shrunk towards one half."""
    of_fat = (entries.role == FAT) & included[entries.recipe]
    if not of_fat.any():
        return 0.5
    total = entries.totals[entries.recipe[of_fat], FATS]
    off, width = off_five(entries.grams[of_fat], total, entries.step[of_fat])
    hits, chance = float((off <= width).sum()), float(np.clip(2 * width, 0, 1).sum())
    count = float(of_fat.sum())
    return float(np.clip((hits - chance + 4) / (count - chance + 8), 0.02, 0.95))


def off_five(grams: Floats, total: Floats, step: Floats) -> tuple[Floats, Floats]:
    """Return how far a share lies from a multiple of five per cent, and how far rounding explains, in multiples."""
    share = 20 * grams / total
    width = np.clip(20 * 0.6 * step / total + 0.01, 0.01, 0.5)
    return np.abs(share - np.round(share)), width


def _small(entries: Entries, included: Mask) -> float:
    """Return the share below which this book seldom lists a fat: the one under which its shares are likeliest."""
    of_fat = (entries.role == FAT) & included[entries.recipe]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = entries.grams[of_fat] / entries.totals[entries.recipe[of_fat], FATS]
    share = share[(share > _TINY) & (share < 1)]  # a fat alone tells nothing
    share = share[:: 1 + len(share) // _SAMPLE]
    each = [np.log(share / (share + small) / np.log((1 + small) / (_TINY + small))).sum() for small in _SMALLS]
    likelihood = np.array(each) - 0.5 * np.log(_SMALLS / _USUALLY_SMALL) ** 2
    return float(_SMALLS[np.argmax(likelihood)])


_SMALLS = np.array([0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64])
_USUALLY_SMALL = 0.04  # common practice, no source
_TINY = 0.003
