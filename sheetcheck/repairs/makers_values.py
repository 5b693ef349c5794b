"""By which factor this maker's value for each fat seems to differ from the table's: read from the lye of her recipes.

A maker carries one value for each fat, so that the lye of a large book tells them nearly to the rounding. They are
solved for together: robust ridge regression, held by each fat's published range, and done again and again with the
superfats and the scatter that the last solution shows (expectation-maximisation over superfats whole points apart).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from sheetcheck.reference import substances
from sheetcheck.repairs import trade
from sheetcheck.repairs.density import Density, fitted
from sheetcheck.repairs.entries import DEMAND, PURE, Entries, Floats, Mask
from sheetcheck.repairs.rounding import rounding as of_amounts

Places: TypeAlias = npt.NDArray[np.intp]

SPREAD = 0.008  # of the logarithm of lye to demand: how far makers' values for one fat lie from ours
OFFSET_SPREAD = 0.012
FEWEST = 6  # rows from which a book's values are read
_LEAST_SPREAD = 0.001
_WIDTHS = (0.0007, 0.0015, 0.0025, 0.004, 0.007, 0.012)  # of a kernel
_ROUNDS = 12
_COARSE = (0.02, 0.05, 0.008)  # spreads with which superfats are told apart in the first round, each tried
_FINER = 0.6  # factor for each next round
_MOSTLY = 0.5  # share of the rows with a stated superfat from which one of them is enough
_NOWHERE = -3.0  # logarithm of the least likelihood of a row
_TABLES_DIFFER = 0.006  # of the logarithm: one printed table from another
_STATED_VALUE = 0.003  # the same, for a value that the maker keeps in her book
_UNKNOWN_RANGE, _WIDEST = 0.015, 0.03  # the same: a fat without a published range; at most
_TAIL = 1.5  # standard deviations from which a value that lies far off is held less
_NEAR = 0.05  # of the logarithm: rows farther from their superfat tell nothing about a fat
_NEAR_AIM = 0.02  # the same, from the nearest superfat that may be aimed at
_SAMPLE = 2000  # rows that tell the values of a large book
_SD_PER_MAD = 1.4826
_SPREAD_ROWS = 2.0
_POINTS = np.array([-4, -3, -2, -1, 1, 2, 3, 4], dtype=np.float64)  # of superfat, from the commonest one
_SHARE = 0.15  # of the rows, from which the commonest superfat counts as the book's
_USUAL = 0.3  # the same, for others to be reckoned from it


@dataclass(frozen=True)
class MakersValues:
    """The factor of each fat (`Entries.fat_codes`), and by recipe how far its lye may lie off for not knowing them."""

    factors: Floats
    spread: Floats  # standard deviation of the logarithm


def makers_values(entries: Entries, stated: Floats, included: Mask) -> MakersValues:
    """Read the maker's values from the rows that are included."""
    fats = len(entries.fat_codes[1])
    nothing = MakersValues(np.ones(fats), np.zeros(len(entries.index)))
    rows = np.flatnonzero(included)
    rows = rows[:: 1 + len(rows) // _SAMPLE]
    if not fats:
        return nothing
    shares = _shares(entries)
    if len(rows) < FEWEST:
        return _as_expected(entries, shares)
    solution = _solved(_sample(entries, shares, rows, stated))
    if solution is None:
        return nothing
    apart = shares - shares[rows].mean(axis=0, dtype=np.float64)
    spread = np.sqrt(np.maximum(((apart @ solution.doubt) * apart).sum(axis=1), 0))
    return MakersValues(np.exp(solution.values), spread)


@dataclass(frozen=True)
class _Sample:
    """What the values are read from: one entry for each row that is included."""

    seen: Floats  # logarithm of pure lye over demand, by the table's values
    shares: Floats  # of each fat in the demand
    rounding: Floats  # of that logarithm
    stated: Floats  # logarithm that a stated superfat gives, NaN where none is
    mean: Floats  # of the logarithm of each fat's factor, and of the offset that all have in common
    prior: Floats  # its standard deviation
    own_superfat: float  # percent, NaN where the maker has not said it


@dataclass(frozen=True)
class _Solution:
    values: Floats
    doubt: Floats  # covariance
    fit: float  # logarithm of the likelihood and of the prior


def _sample(entries: Entries, shares: Floats, rows: Places, stated: Floats) -> _Sample:
    logs = np.log(np.where(entries.totals[rows] > 0, entries.totals[rows], np.nan))
    mean, prior = _expected(entries)
    return _Sample(
        seen=logs[:, PURE] - logs[:, DEMAND] - np.where(np.isnan(stated[rows]), entries.superfat_shift[rows], 0.0),
        shares=shares[rows],
        rounding=np.nan_to_num(of_amounts(entries).lye[rows]),
        stated=stated[rows],
        mean=np.append(mean, 0.0),
        prior=np.append(prior, OFFSET_SPREAD),
        own_superfat=entries.own_superfat,
    )


def _solved(sample: _Sample) -> _Solution | None:
    """Return the best of the solutions that different first rounds lead to, None where too few rows tell."""
    told = np.isfinite(sample.stated).mean() > _MOSTLY
    found = [_from(sample, coarse) for coarse in (_COARSE[:1] if told else _COARSE)]
    return max((one for one in found if one is not None), key=lambda one: one.fit, default=None)


def _from(sample: _Sample, coarse: float) -> _Solution | None:
    """Solve round by round, the superfats told apart by `coarse` first, and more finely in each of the next."""
    design = np.column_stack((sample.shares, np.ones(len(sample.seen))))
    told = np.isfinite(sample.stated)
    values, spread = sample.mean.copy(), SPREAD
    solution = None
    for done in range(_ROUNDS):
        left = sample.seen - sample.shares @ values[:-1]
        aims = _likely_aims(left, np.hypot(max(spread, coarse * _FINER**done), sample.rounding), sample.own_superfat)
        rest = sample.seen - np.where(told, sample.stated, aims.mean)
        noise = np.sqrt(spread**2 + sample.rounding**2 + np.where(told, 0.0, aims.variance))
        near = np.isfinite(rest) & (np.abs(rest - design @ values) < _NEAR)
        if near.sum() < FEWEST:
            break
        values, doubt = _ridge(design[near], rest[near], (sample.mean, sample.prior), noise[near])
        spread = _scatter((rest - design @ values)[near], sample.rounding[near], len(values))
        unlikely = np.log1p(((values - sample.mean) / (_TAIL * sample.prior)) ** 2).sum()
        solution = _Solution(values[:-1], doubt[:-1, :-1], float(aims.logs[~told].sum() - unlikely))
    return solution


def usual_superfat(values: Floats, own: float = float("nan")) -> Density:
    """Return how usual each logarithm of lye over demand is in a book; others often lie whole points from the usual.

    `own` is the superfat that the maker says she uses [percent].
    """
    habit = fitted(values, trade.superfat(own), _WIDTHS)
    (usual, share), *_ = habit.modes(1)
    if share < _USUAL:
        return habit
    rounds = usual + np.append(np.log1p(-_POINTS[::-1] / 100 / np.exp(usual)), 0.0)
    return fitted(values, replace(trade.superfat(own), rounds=np.sort(rounds)), _WIDTHS)


def _shares(entries: Entries) -> Floats:
    """Return the share of each fat in the demand of each recipe."""
    codes, keys = entries.fat_codes
    of_fat = codes >= 0
    place = entries.recipe[of_fat] * len(keys) + codes[of_fat]
    part = entries.grams[of_fat] * np.nan_to_num(entries.per_gram[of_fat, DEMAND])
    sums = np.bincount(place, part, len(entries.index) * len(keys)).reshape(-1, len(keys))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.nan_to_num(sums / entries.totals[:, [DEMAND]], posinf=0.0))


def _scatter(left: Floats, rounding: Floats, fats: int) -> float:
    """Return what scatters beyond rounding, shrunk towards what is usual while rows are few."""
    seen = _SD_PER_MAD * float(np.median(np.abs(left)))
    own = max(seen**2 - float(np.median(rounding)) ** 2, _LEAST_SPREAD**2)
    beyond = max(len(left) - fats, 0)
    return float(np.sqrt((beyond * own + _SPREAD_ROWS * SPREAD**2) / (beyond + _SPREAD_ROWS)))


def _ridge(design: Floats, values: Floats, expected: tuple[Floats, Floats], noise: Floats) -> tuple[Floats, Floats]:
    """Return the solution and its covariance."""
    mean, prior = expected
    weight: Floats = np.ones(len(values), dtype=np.float64)
    solved = mean
    normal = np.diag(1 / prior**2)
    for _ in range(4):
        weighted = design * (weight / noise**2)[:, None]
        held = _held(solved - mean, prior)
        normal = weighted.T @ design + np.diag(held)
        solved = np.asarray(np.linalg.solve(normal, weighted.T @ values + held * mean), dtype=np.float64)
        rest = (values - design @ solved) / (1.5 * noise)
        weight = np.asarray(1 / (1 + rest**2))
    return solved, np.asarray(np.linalg.inv(normal))


def _held(apart: Floats, prior: Floats) -> Floats:
    """Return how firmly each value is held near what is expected; with a heavy tail, as a few lie far from it."""
    return np.asarray(1 / (prior**2 + (apart / _TAIL) ** 2))


@dataclass(frozen=True)
class _Aims:
    """What superfat each row probably aims at, as logarithm of lye over demand; NaN where none lies near."""

    mean: Floats
    variance: Floats
    logs: Floats  # logarithm of the likelihood of each row


def _likely_aims(seen: Floats, width: Floats, own: float) -> _Aims:
    """Weigh the commonest superfat, and those some whole points from it."""
    usual, share = fitted(seen, trade.superfat(own), _WIDTHS).modes(1)[0]
    aims = usual + np.append(0.0, np.log1p(-_POINTS / 100 / np.exp(usual)))
    chances = np.append(share, np.full(len(_POINTS), (1 - share) / len(_POINTS)))
    apart = (np.nan_to_num(seen, nan=9.0)[:, None] - aims) / width[:, None]
    logs = np.log(chances) - 0.5 * np.minimum(apart**2, 1400) - np.log(width)[:, None]
    most = logs.max(axis=1, keepdims=True)
    weights = np.exp(logs - most)
    sums = weights.sum(axis=1, keepdims=True)
    weights = weights / sums
    mean = weights @ aims
    near = np.abs(seen[:, None] - aims).min(axis=1) < _NEAR_AIM
    return _Aims(
        mean=np.where(near & (share > _SHARE), mean, np.nan),
        variance=np.maximum(weights @ aims**2 - mean**2, 0.0),
        logs=np.maximum((most + np.log(sums))[:, 0], _NOWHERE),
    )


def _as_expected(entries: Entries, shares: Floats) -> MakersValues:
    """Return the values of a book too small to tell: her stated ones, and what is usual; what is vague stays open."""
    mean, prior = _expected(entries)
    beyond = np.sqrt(np.maximum(prior**2 - SPREAD**2, 0.0))
    stated = np.array([key in entries.own_values for key in entries.fat_codes[1]])
    return MakersValues(np.where(stated, np.exp(mean), 1.0), np.sqrt((shares * beyond) ** 2 @ np.ones(len(beyond))))


def _expected(entries: Entries) -> tuple[Floats, Floats]:
    """Return the logarithm of the factor that a maker's value for each fat is expected at, and its standard deviation.

    Makers take their values from printed tables: these lie between what the composition gives and the middle of the
    published range, and differ among themselves.
    """
    keys = entries.fat_codes[1]
    known = [substances().get(key) for key in keys]
    middle = [(fat.sap_low + fat.sap_high) / 2 / fat.sap_typical if fat else 1.0 for fat in known]
    width = [(fat.sap_high - fat.sap_low) / 4 / fat.sap_typical if fat else _UNKNOWN_RANGE for fat in known]
    spread = np.minimum(np.hypot(np.array(width, dtype=np.float64), _TABLES_DIFFER), _WIDEST)
    mean = 0.5 * np.log(np.array(middle, dtype=np.float64))
    own = np.log(np.array([entries.own_values.get(key, np.nan) for key in keys]))
    return np.where(np.isnan(own), mean, own), np.where(np.isnan(own), spread, _STATED_VALUE)
