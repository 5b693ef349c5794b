"""What is usual in a book: its superfat, its water, its batch sizes, the numbers it is written in.

A row under suspicion is no part of a habit, and no row vouches for itself (`Density.log`). Where a book is small, what
is usual in the trade takes over by itself: it counts as a few rows of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetcheck.reference import substances
from sheetcheck.repairs import trade
from sheetcheck.repairs.density import Density, binned, fitted
from sheetcheck.repairs.entries import DEMAND, FAT, FATS, MASS, PURE, WET, Entries, Floats, Mask
from sheetcheck.repairs.roundness import Roundness, learn
from sheetcheck.repairs.stated import Statements

_WIDTHS = (0.004, 0.01, 0.02, 0.04)  # of a kernel, for liquid
_SPREAD = 0.008  # of the logarithm of lye to demand: how far makers' values for one fat lie from ours
_SPREAD_ROWS = 4.0
_OFFSET_SPREAD = 0.012
_SD_PER_MAD = 1.4826
_ENOUGH = 5
_SAMPLE = 500  # rows that tell how a book's liquid is reckoned
_SIZES = 0.004  # how far apart two batches of one size may lie


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
    roundness
        Which numbers are written.
    fives
        Share of the fats whose share of the batch is a multiple of five per cent.
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
    roundness: Roundness
    fives: float
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
    fat_values = _fat_values(entries, stated, included)
    seen = quantities(adjusted_totals(entries, fat_values))
    offset, spread = _offset(seen.superfat - stated, included)
    of_rows = included[entries.recipe]
    water = fitted(seen.water[included], trade.water(), _WIDTHS)
    by_fat = fitted(seen.water_by_fat[included], trade.water_by_fat(), _WIDTHS)
    silent = included & np.isnan(stated)
    speaks_for_all = silent if silent.sum() >= _ENOUGH else included  # a superfat that is stated is no habit
    return Habits(
        superfat=_superfat(seen.superfat[speaks_for_all]),
        speaks=speaks_for_all,
        water=water,
        water_by_fat=by_fat,
        by_lye=_by_lye(seen, included, water, by_fat),
        batch=Density(*binned(seen.batch[included]), _SIZES, trade.batch()),
        offset=offset,
        spread=spread,
        fat_values=fat_values,
        roundness=roundness or learn(entries.value[of_rows], entries.unit[of_rows], entries.role[of_rows]),
        fives=_fives(entries, included),
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


def _superfat(values: Floats) -> Density:
    return fitted(values, trade.superfat(), (0.004, 0.007, 0.012))


def _by_lye(seen: Quantities, included: Mask, water: Density, by_fat: Density) -> float:
    """Return the share of rows whose liquid seems reckoned from the lye, not from the fats, by which fits better."""
    known = np.flatnonzero(included & np.isfinite(seen.water) & np.isfinite(seen.water_by_fat))
    if len(known) < 5:
        return 0.7
    known = known[:: 1 + len(known) // _SAMPLE]
    lye = water.log(seen.water[known], own=seen.water[known])
    fat = by_fat.log(seen.water_by_fat[known], own=seen.water_by_fat[known])
    return float(np.clip(np.mean(1 / (1 + np.exp(np.clip(fat - lye, -30, 30)))), 0.05, 0.95))


def _offset(deviation: Floats, included: Mask) -> tuple[float, float]:
    """Return how far lye usually lies from the stated superfat, and how much that varies, robustly and shrunk."""
    known = deviation[included & np.isfinite(deviation)]
    if not len(known):
        return 0.0, 1.5 * _SPREAD
    median = float(np.median(known))
    spread = _SD_PER_MAD * float(np.median(np.abs(known - median)))
    count = len(known)
    variance = (count * spread**2 + _SPREAD_ROWS * _SPREAD**2) / (count + _SPREAD_ROWS)
    own = variance / count
    offset = median * _OFFSET_SPREAD**2 / (_OFFSET_SPREAD**2 + own)
    return offset, float(np.sqrt(variance + min(own, _OFFSET_SPREAD**2)))


def _fat_values(entries: Entries, stated: Floats, included: Mask) -> Floats:
    """Estimate by which factor the maker's value of each fat differs: robust ridge regression, held by its range."""
    codes, keys = entries.fat_codes
    if not keys:
        return np.ones(0)
    seen = quantities(entries.totals).superfat
    aims = np.where(np.isfinite(stated), stated, _nearest_mode(seen, included))
    rest = seen - aims
    rows = np.flatnonzero(included & np.isfinite(rest) & (np.abs(rest) < 0.05))
    if len(rows) < 6:
        return np.ones(len(keys))
    shares = np.zeros((len(entries.index), len(keys)))
    of_fat = codes >= 0
    part = entries.grams * np.nan_to_num(entries.per_gram[:, DEMAND])
    np.add.at(shares, (entries.recipe[of_fat], codes[of_fat]), part[of_fat])
    with np.errstate(invalid="ignore", divide="ignore"):
        shares = (shares / entries.totals[:, [DEMAND]])[rows]
    design = np.column_stack((shares, np.ones(len(rows))))
    prior = np.append(_range_spread(keys), _OFFSET_SPREAD)
    return np.exp(_ridge(design, rest[rows], prior)[:-1])


def _ridge(design: Floats, values: Floats, prior: Floats) -> Floats:
    weight: Floats = np.ones(len(values), dtype=np.float64)
    solved: Floats = np.zeros(design.shape[1], dtype=np.float64)
    for _ in range(4):
        weighted = design * (weight / _SPREAD**2)[:, None]
        normal = weighted.T @ design + np.diag(1 / prior**2)
        solved = np.asarray(np.linalg.solve(normal, weighted.T @ values), dtype=np.float64)
        rest = (values - design @ solved) / (1.5 * _SPREAD)
        weight = np.asarray(1 / (1 + rest**2))
    return solved


def _nearest_mode(seen: Floats, included: Mask) -> Floats:
    """Return for each row the commonest superfat that lies near, NaN where none does."""
    modes = [point for point, share in _superfat(seen[included]).modes(3, 0.15) if share > 0.15]
    if not modes:
        return np.full(len(seen), np.nan)
    apart = np.abs(seen[:, None] - np.array(modes))
    nearest = np.array(modes)[np.argmin(np.nan_to_num(apart, nan=9), axis=1)]
    return np.where(np.abs(seen - nearest) < 0.02, nearest, np.nan)


def _range_spread(keys: tuple[str, ...]) -> Floats:
    known = substances()
    spread = [
        (known[key].sap_high - known[key].sap_low) / 4 / known[key].sap_typical if key in known else np.nan
        for key in keys
    ]
    return np.clip(np.nan_to_num(np.array(spread, dtype=np.float64), nan=0.015), 0.004, 0.03)


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
