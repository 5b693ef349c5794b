"""By which factor this maker's value for each fat seems to differ from the table's: read from the lye of her recipes.

A maker carries one value for each fat, so that the lye of a large book tells them nearly to the rounding. They are
solved for together: robust ridge regression, held by each fat's published range, and done again with the superfats and
the scatter that the first solution shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from sheetcheck.reference import substances
from sheetcheck.repairs import trade
from sheetcheck.repairs.density import Density, fitted
from sheetcheck.repairs.entries import ALKALI, DEMAND, PURE, Entries, Floats, Mask

Places: TypeAlias = npt.NDArray[np.intp]

SPREAD = 0.008  # of the logarithm of lye to demand: how far makers' values for one fat lie from ours
OFFSET_SPREAD = 0.012
_LEAST_SPREAD = 0.001
_WIDTHS = (0.0007, 0.0015, 0.0025, 0.004, 0.007, 0.012)  # of a kernel
_ROUNDS = 3
_FEWEST = 6
_ROUNDING = 0.29  # standard deviation of a rounding, in steps
_NEAR = 0.05  # of the logarithm: rows farther from their superfat tell nothing about a fat
_SAMPLE = 2000  # rows that tell the values of a large book
_SD_PER_MAD = 1.4826
_SPREAD_ROWS = 4.0
_SHARE = 0.15  # of the rows, from which a superfat counts as one of the book's


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
    if not fats or len(rows) < _FEWEST:
        return nothing
    shares = _shares(entries)
    solved = _solved(entries, shares, rows, stated[rows])
    if solved is None:
        return nothing
    values, doubt = solved
    apart = shares - shares[rows].mean(axis=0, dtype=np.float64)
    spread = np.sqrt(np.maximum(((apart @ doubt) * apart).sum(axis=1), 0))
    return MakersValues(np.exp(values), spread)


def _solved(entries: Entries, shares: Floats, rows: Places, stated: Floats) -> tuple[Floats, Floats] | None:
    """Return the logarithms of the factors with their covariance, None where too few rows tell."""
    logs = np.log(np.where(entries.totals[rows] > 0, entries.totals[rows], np.nan))
    seen = logs[:, PURE] - logs[:, DEMAND]
    design = np.column_stack((shares[rows], np.ones(len(rows))))
    rounding = _rounding(entries)[rows]
    prior = np.append(_range_spread(entries.fat_codes[1]), OFFSET_SPREAD)
    values, spread = np.zeros(len(prior)), SPREAD
    doubt = None
    for _ in range(_ROUNDS):
        aims = np.where(np.isfinite(stated), stated, _nearest_mode(seen - design[:, :-1] @ values[:-1]))
        rest = seen - aims
        near = np.isfinite(rest) & (np.abs(rest - design @ values) < _NEAR)
        if near.sum() < _FEWEST:
            break
        values, doubt = _ridge(design[near], rest[near], prior, np.hypot(spread, rounding[near]))
        spread = _scatter((rest - design @ values)[near], rounding[near], len(prior))
    return None if doubt is None else (values[:-1], doubt[:-1, :-1])


def usual_superfat(values: Floats) -> Density:
    """Return how usual each logarithm of lye over demand is in a book."""
    return fitted(values, trade.superfat(), _WIDTHS)


def _shares(entries: Entries) -> Floats:
    """Return the share of each fat in the demand of each recipe."""
    codes, keys = entries.fat_codes
    of_fat = codes >= 0
    place = entries.recipe[of_fat] * len(keys) + codes[of_fat]
    part = entries.grams[of_fat] * np.nan_to_num(entries.per_gram[of_fat, DEMAND])
    sums = np.bincount(place, part, len(entries.index) * len(keys)).reshape(-1, len(keys))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.nan_to_num(sums / entries.totals[:, [DEMAND]], posinf=0.0))


def _rounding(entries: Entries) -> Floats:
    """Return the standard deviation that rounding gives the logarithm of each recipe's lye."""
    lye = entries.role == ALKALI
    step, grams = (
        np.bincount(entries.recipe[lye], part[lye], len(entries.index)) for part in (entries.step, entries.grams)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.nan_to_num(_ROUNDING * step / grams, posinf=0.0))


def _scatter(left: Floats, rounding: Floats, fats: int) -> float:
    """Return what scatters beyond rounding, shrunk towards what is usual while rows are few."""
    seen = _SD_PER_MAD * float(np.median(np.abs(left)))
    own = max(seen**2 - float(np.median(rounding)) ** 2, _LEAST_SPREAD**2)
    beyond = max(len(left) - fats, 0)
    return float(np.sqrt((beyond * own + _SPREAD_ROWS * SPREAD**2) / (beyond + _SPREAD_ROWS)))


def _ridge(design: Floats, values: Floats, prior: Floats, noise: Floats) -> tuple[Floats, Floats]:
    """Return the solution and its covariance."""
    weight: Floats = np.ones(len(values), dtype=np.float64)
    solved: Floats = np.zeros(design.shape[1], dtype=np.float64)
    held = normal = np.diag(1 / prior**2)
    for _ in range(4):
        weighted = design * (weight / noise**2)[:, None]
        normal = weighted.T @ design + held
        solved = np.asarray(np.linalg.solve(normal, weighted.T @ values), dtype=np.float64)
        rest = (values - design @ solved) / (1.5 * noise)
        weight = np.asarray(1 / (1 + rest**2))
    return solved, np.asarray(np.linalg.inv(normal))


def _nearest_mode(seen: Floats) -> Floats:
    """Return for each row the commonest superfat that lies near, NaN where none does."""
    modes = [point for point, share in usual_superfat(seen).modes(3, _SHARE) if share > _SHARE]
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
