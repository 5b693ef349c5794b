"""How usual a quantity is: a density over its logarithm, from what a book shows and what the trade does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Summed: TypeAlias = Callable[[Floats, Floats, Floats, Floats | float], Floats]  # at x, of points, weights and widths

_BIN = 0.001  # of the logarithm: a tenth of a percent
_BUCKET = 0.0005  # the same, for what rounding adds to a width
_ENOUGH = 6  # values before a book chooses a width
_MOST_POINTS = 120
_FINE, _REACH = 4, 6  # steps of a table for each width of a kernel; widths that a kernel reaches
_AT_ONCE = 2_000  # values of which all distances to the points are held
_ON_ROUND = 0.0015  # how near a round number is reckoned, beside what rounding of the amounts leaves
_BY_HAND = 0.1  # share of the amounts that are rounded by hand, more coarsely than their decimals say
_SHARES = np.array([0.05, 0.25, 0.5, 0.75, 0.95])  # of round numbers, tried on a book
_APART = 0.006  # nearer values of a book are one choice of its maker


@dataclass(frozen=True)
class Trade:
    """What is usual in the trade, before a book has shown its own.

    Parameters
    ----------
    points, weights
        Of the logarithm; the weights, in rows, say how many rows of a book outweigh it.
    width
        Standard deviation of a kernel.
    floor, span, centre
        Share of a broad floor, so that nothing is impossible: Student's t with eight degrees of freedom, `span` wide.
    by_hand
        Standard deviation of what is rounded by hand.
    rounds
        Logarithms of the round numbers that are often aimed at, as whole per cents are.
    """

    points: Floats
    weights: Floats
    width: float
    floor: float
    span: float
    centre: float
    by_hand: float
    rounds: Floats = field(default_factory=lambda: np.empty(0))

    @cached_property
    def round_weights(self) -> Floats:
        """Weights of the round numbers, in rows: as usual as their surroundings, and fewer where they stand close."""
        if not len(self.rounds):
            return np.empty(0)
        weights = self.smooth(self.rounds, 0.0) * np.gradient(self.rounds)
        return np.asarray(weights / weights.sum() * self.weights.sum())

    def smooth(self, x: Floats, spread: Floats | float, summed: Summed | None = None) -> Floats:
        """Return the density of what is usual, in rows, round or not."""
        return (summed or _kernels)(x, self.points, self.weights, np.hypot(self.width, spread))

    def round(self, x: Floats, spread: Floats | float, summed: Summed | None = None) -> Floats:
        """Return the density, in rows, of what is aimed at a round number."""
        return (summed or _kernels)(x, self.rounds, self.round_weights, np.hypot(_ON_ROUND, spread))

    def far(self, x: Floats) -> Floats:
        """Return the density of the floor."""
        return np.asarray(0.387 / self.span * (1 + ((x - self.centre) / self.span) ** 2 / 8) ** -4.5)


@dataclass(frozen=True)
class Density:
    """Weighted points of a book with normal kernels, beside what is usual in the trade.

    Parameters
    ----------
    points, weights
        Of the logarithm; the weights count rows.
    width
        Standard deviation of a kernel.
    to_rounds
        Share of the values new to the book that are round ones.
    """

    points: Floats
    weights: Floats
    width: float
    trade: Trade
    to_rounds: float = 0.0
    _tables: dict[int, tuple[float, float, Floats]] = field(default_factory=dict, repr=False, compare=False)
    _modes: dict[tuple[int, float], list[tuple[float, float]]] = field(default_factory=dict, repr=False, compare=False)

    @property
    def rows(self) -> float:
        """Rows that it rests on, those that the trade stands for among them."""
        return float(self.weights.sum() + self.trade.weights.sum())

    def log(self, x: Floats, spread: Floats | float = 0.0, own: Floats | float = np.nan) -> Floats:
        """Return the logarithm of the density at `x`, for many rows.

        `spread` widens the kernels by what rounding adds; `own` is the value with which a row is itself among the
        points (NaN: it is not), so that no row vouches for itself.
        """
        x = np.asarray(x, dtype=np.float64)
        alone = np.where(np.isnan(own), 0.0, 1.0)
        itself = alone * self._kernel(x - self._point_of(own), np.hypot(self.width, spread))
        book, new = self._parts(x, spread, _kernels)
        return self._with_floor(x, (np.maximum(book - itself, 0.0) + new) / np.maximum(self.rows - alone, 1e-9))

    def _parts(self, x: Floats, spread: Floats | float, summed: Summed) -> tuple[Floats, Floats]:
        """Return the densities, in rows, of the book's values and of values new to it."""
        width = np.hypot(self.width, spread)
        wide = np.hypot(width, self.trade.by_hand)
        near, far = (summed(x, self.points, self.weights, each) for each in (width, wide))
        new = self.trade.smooth(x, spread, summed)
        if self.to_rounds:
            new = (1 - self.to_rounds) * new + self.to_rounds * self.trade.round(x, spread, summed)
        return (1 - _BY_HAND) * near + _BY_HAND * far, new

    def _point_of(self, own: Floats | float) -> Floats:
        """Return the point that a row's own value was gathered into: the nearest."""
        if not len(self.points):
            return np.zeros(np.shape(own))
        own = np.nan_to_num(own)
        after = np.clip(np.searchsorted(self.points, own), 1, max(len(self.points) - 1, 1))
        before = np.minimum(after - 1, len(self.points) - 1)
        after = np.minimum(after, len(self.points) - 1)
        nearer = np.abs(self.points[before] - own) <= np.abs(self.points[after] - own)
        return np.where(nearer, self.points[before], self.points[after])

    def _kernel(self, apart: Floats, width: Floats | float) -> Floats:
        """Return what one row adds to the density at a distance from it."""
        wide = np.hypot(width, self.trade.by_hand)
        return np.asarray((1 - _BY_HAND) * _normal(apart, width) + _BY_HAND * _normal(apart, wide))

    def at(self, x: Floats, spread: float, own: float) -> Floats:
        """Return the same as `log` for one row's many hypotheses, from a table that is kept."""
        bucket = round(spread / _BUCKET)
        start, step, table = self._table(bucket)
        place = np.clip((x - start) / step, 0, len(table) - 1.001)
        low = place.astype(np.int64)
        habit = np.stack((table[low], table[low + 1]))
        if np.isfinite(own) and len(self.points):
            apart = start + step * np.stack((low, low + 1)) - self._point_of(own)
            habit = habit * self.rows - self._kernel(apart, float(np.hypot(self.width, bucket * _BUCKET)))
            habit = np.maximum(habit, 0.0) / max(self.rows - 1, 1e-9)
        habit = habit[0] + (habit[1] - habit[0]) * (place - low)
        return self._with_floor(x, habit)

    def modes(self, most: int = 3, least: float = 0.08) -> list[tuple[float, float]]:
        """Return the commonest values with the share of the density that lies about each, commonest first."""
        if (most, least) not in self._modes:
            self._modes[most, least] = self._find_modes(most, least)
        return self._modes[most, least]

    def _find_modes(self, most: int, least: float) -> list[tuple[float, float]]:
        points = np.concatenate((self.points, self.trade.points))
        weights = np.concatenate((self.weights, self.trade.weights))
        near = np.abs(points[:, None] - points[None, :]) < 2 * self.width
        found: list[tuple[float, float]] = []
        while len(found) < most and weights.sum() > 0:
            mass = near @ weights
            best = int(np.argmax(mass))
            share = float(mass[best] / self.rows)
            if share < least and found:
                break
            found.append((float(np.average(points[near[best]], weights=weights[near[best]])), share))
            weights[near[best]] = 0.0
        return found

    def _with_floor(self, x: Floats, habit: Floats) -> Floats:
        floor = self.trade.floor
        return np.asarray(np.log((1 - floor) * habit + floor * self.trade.far(x)))

    def _table(self, bucket: int) -> tuple[float, float, Floats]:
        if bucket not in self._tables:
            spread = bucket * _BUCKET
            width, wide = (float(np.hypot(each, spread)) for each in (self.width, self.trade.width))
            points = np.concatenate((self.points, self.trade.points))
            margin = 6 * max(width, wide)
            x = np.arange(points.min() - margin, points.max() + margin, width / _FINE)
            book, new = self._parts(x, spread, _on_grid)
            habit = (book + new) / self.rows
            habit[0] = habit[-1] = 0.0
            self._tables[bucket] = (float(x[0]), float(x[1] - x[0]), habit)
        return self._tables[bucket]


def fitted(values: Floats, trade: Trade, widths: tuple[float, ...]) -> Density:
    """Return the density of a book's values with the width under which they vouch best for each other."""
    points, weights = binned(values)
    widest = Density(points, weights, widths[-1], trade)
    if weights.sum() < _ENOUGH:
        return widest
    to_rounds = _to_rounds(points, weights, trade)
    choices = [replace(widest, width=width, to_rounds=to_rounds, _tables={}, _modes={}) for width in widths]
    fits = [float(weights @ choice.log(points, own=points)) for choice in choices]
    return choices[int(np.argmax(fits))]


def _to_rounds(points: Floats, weights: Floats, trade: Trade) -> float:
    """Return the share of round numbers that a book's choices speak for, each counted once; one half if none does."""
    if not len(trade.rounds):
        return 0.0
    order = np.argsort(points)
    group = np.cumsum(np.append(0, np.diff(points[order]) > _APART))
    choices = np.bincount(group, (points * weights)[order]) / np.bincount(group, weights[order])
    smooth, rounds = trade.smooth(choices, 0.0), trade.round(choices, _BIN)
    with np.errstate(divide="ignore"):
        logs = np.log((1 - _SHARES) * smooth[:, None] + _SHARES * rounds[:, None] + 1e-9).sum(axis=0)
    likelihood = np.exp(logs - logs.max())
    return float(likelihood @ _SHARES / likelihood.sum())


def binned(values: Floats) -> tuple[Floats, Floats]:
    """Gather values into points with weights, so that a large book has no more points than a small one."""
    known = values[np.isfinite(values)]
    if not len(known):
        return np.empty(0), np.empty(0)
    bins, inverse, counts = np.unique(np.round(known / _BIN), return_inverse=True, return_counts=True)
    points = np.bincount(inverse.reshape(-1), known, len(bins)) / counts
    if len(points) > _MOST_POINTS:
        keep = np.sort(np.argsort(-counts, kind="stable")[:_MOST_POINTS])
        points, counts = points[keep], counts[keep]
    return points, counts.astype(np.float64)


def _kernels(x: Floats, points: Floats, weights: Floats, width: Floats | float) -> Floats:
    if not len(points):
        return np.zeros(np.shape(x))
    if len(x) > _AT_ONCE and np.ndim(x) == 1:
        widths = np.broadcast_to(width, np.shape(x))
        parts = (slice(start, start + _AT_ONCE) for start in range(0, len(x), _AT_ONCE))
        return np.concatenate([_kernels(x[part], points, weights, widths[part]) for part in parts])
    apart = (x[..., None] - points) / np.asarray(width)[..., None]
    return np.asarray((np.exp(-0.5 * apart**2) @ weights) / (np.asarray(width) * np.sqrt(2 * np.pi)))


def _on_grid(x: Floats, points: Floats, weights: Floats, width: Floats | float) -> Floats:
    """Return the same as `_kernels` at evenly spaced `x`: each point adds only to what is near it."""
    reach = int(np.ceil(_REACH * float(width) / (x[1] - x[0])))
    nearest = np.round((points - x[0]) / (x[1] - x[0])).astype(np.int64)
    at = nearest[:, None] + np.arange(-reach, reach + 1)
    inside = (at >= 0) & (at < len(x))
    at = np.clip(at, 0, len(x) - 1)
    part = _normal(x[at] - points[:, None], width) * weights[:, None] * inside
    return np.bincount(at.ravel(), part.ravel(), len(x)).astype(np.float64)


def _normal(x: Floats, width: Floats | float) -> Floats:
    return np.asarray(np.exp(-0.5 * (x / width) ** 2) / (np.asarray(width) * np.sqrt(2 * np.pi)))
