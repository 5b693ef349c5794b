"""How usual a quantity is: a density over its logarithm, from what a book shows and what the trade does."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

_BIN = 0.001  # of the logarithm: a tenth of a percent
_BUCKET = 0.0005  # the same, for what rounding adds to a width
_ENOUGH = 6  # values before a book chooses a width
_MOST_POINTS = 120
_AT_ONCE = 2_000  # values of which all distances to the points are held


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
    """

    points: Floats
    weights: Floats
    width: float
    floor: float
    span: float
    centre: float

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
    """

    points: Floats
    weights: Floats
    width: float
    trade: Trade
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
        width = np.hypot(self.width, spread)
        alone = np.where(np.isnan(own), 0.0, 1.0)
        book = _kernels(x, self.points, self.weights, width) - alone * _normal(x - np.nan_to_num(own), width)
        trade = _kernels(x, self.trade.points, self.trade.weights, np.hypot(self.trade.width, spread))
        return self._with_floor(x, (np.maximum(book, 0.0) + trade) / np.maximum(self.rows - alone, 1e-9))

    def at(self, x: Floats, spread: float, own: float) -> Floats:
        """Return the same as `log` for one row's many hypotheses, from a table that is kept."""
        start, step, table = self._table(round(spread / _BUCKET))
        place = np.clip((x - start) / step, 0, len(table) - 1.001)
        low = place.astype(np.int64)
        habit = table[low] + (table[low + 1] - table[low]) * (place - low)
        if np.isfinite(own):
            vouched = _normal(x - own, float(np.hypot(self.width, spread)))
            habit = np.maximum(habit * self.rows - vouched, 0.0) / max(self.rows - 1, 1e-9)
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
            x = np.arange(points.min() - margin, points.max() + margin, width / 6)
            habit = _kernels(x, self.points, self.weights, width)
            habit = habit + _kernels(x, self.trade.points, self.trade.weights, wide)
            habit = habit / self.rows
            habit[0] = habit[-1] = 0.0
            self._tables[bucket] = (float(x[0]), float(x[1] - x[0]), habit)
        return self._tables[bucket]


def fitted(values: Floats, trade: Trade, widths: tuple[float, ...]) -> Density:
    """Return the density of a book's values with the width under which they vouch best for each other."""
    points, weights = binned(values)
    widest = Density(points, weights, widths[-1], trade)
    if weights.sum() < _ENOUGH:
        return widest
    choices = [replace(widest, width=width, _tables={}, _modes={}) for width in widths]
    fits = [float(weights @ choice.log(points, own=points)) for choice in choices]
    return choices[int(np.argmax(fits))]


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


def _normal(x: Floats, width: Floats | float) -> Floats:
    return np.asarray(np.exp(-0.5 * (x / width) ** 2) / (np.asarray(width) * np.sqrt(2 * np.pi)))
