"""Which numbers a maker writes: whole ounces, tens of grams, quarter pounds. A round one is likelier to be meant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

STEPS: Mapping[str, tuple[float, ...]] = {
    "g": (500, 100, 50, 25, 10, 5, 1, 0.5, 0.1, 0.01),
    "mL": (500, 100, 50, 25, 10, 5, 1, 0.5, 0.1, 0.01),
    "oz": (16, 8, 4, 2, 1, 0.5, 0.25, 0.1, 0.05, 0.01),
    "floz": (16, 8, 4, 2, 1, 0.5, 0.25, 0.1, 0.05, 0.01),
    "lb oz": (1, 0.5, 0.25, 0.125, 1 / 16, 1 / 32, 1 / 64, 1 / 160),
}
_OTHER_STEPS = (1, 0.5, 0.25, 0.125, 0.1, 0.05, 0.025, 0.01, 0.005, 0.001)
_TRADE: Mapping[str, tuple[float, ...]] = {  # how often each step is the one in use, before a book has shown its own
    "g": (1, 2, 2, 2, 3, 2, 6, 1, 1, 0.2),
    "mL": (1, 2, 2, 2, 3, 2, 6, 1, 1, 0.2),
    "oz": (1, 1, 2, 1, 3, 2, 1.5, 4, 1, 3),
    "floz": (1, 1, 2, 1, 3, 2, 1.5, 4, 1, 3),
    "lb oz": (2, 2, 2, 1, 6, 2, 1, 0.5),
}
_OTHER_TRADE = (1, 1, 1, 0.5, 1, 1, 0.5, 1, 0.3, 1)
_PRIOR_ROWS = 6.0
_FINEST = 1e-4  # stands in for numbers finer than any step
_ROUNDS = 12
_MANY, _NEARLY_ALL = 6, 0.85


def steps_of(unit: str) -> Floats:
    """Return the steps in which amounts of a unit are written, coarse to fine."""
    return np.array(STEPS.get(unit, _OTHER_STEPS))


def _trade(unit: str) -> Floats:
    weights = np.array(_TRADE.get(unit, _OTHER_TRADE), dtype=np.float64)
    return np.asarray(weights / weights.sum())


def _multiples(values: Floats, unit: str) -> Floats:
    """Return for each value and step the step where the value is a multiple of it, else 0."""
    steps = steps_of(unit)
    parts = np.asarray(values)[..., None] / steps
    fits = np.abs(parts - np.round(parts)) < 1e-4 + 1e-6 * np.abs(parts)
    return np.where(fits & (np.round(parts) > 0), steps, 0.0)


def coarsest(values: Floats, unit: str) -> float:
    """Return the coarsest step that nearly all of many values are multiples of, 0 where there is none."""
    if len(values) < _MANY:
        return 0.0
    shares = (_multiples(values, unit) > 0).mean(axis=0)
    return float(np.max(np.where(shares >= _NEARLY_ALL, steps_of(unit), 0.0)))


@dataclass(frozen=True)
class Roundness:
    """How often each step is in use in this book, by unit and role."""

    shares: Mapping[tuple[str, int], Floats]

    def log(self, values: Floats, unit: str | None, role: int) -> Floats:
        """Return the logarithm of the probability of each value among numbers of its size [per unit of logarithm]."""
        return np.asarray(np.log(self.spacing(values, unit or "g", role) / np.maximum(values, _FINEST)))

    def spacing(self, values: Floats, unit: str, role: int) -> Floats:
        """Return how far apart numbers as round as each value stand, weighted by how often they are in use."""
        shares = self.shares.get((unit, role))
        shares = _trade(unit) if shares is None else shares
        return np.asarray(np.maximum(_multiples(values, unit) @ shares, _FINEST))

    def odd(self, values: Floats, units: npt.NDArray[np.object_], roles: Ints) -> Floats:
        """Return by how much (logarithm) each number is less round than the usual one of its unit and role."""
        result = np.zeros(len(values))
        for unit, role in self.shares:
            same = (units == unit) & (roles == role)
            if same.any():
                logs = np.log(self.spacing(values[same], unit, role))
                result[same] = np.maximum(np.median(logs) - logs, 0.0)
        return result


def learn(values: Floats, units: npt.NDArray[np.object_], roles: Ints) -> Roundness:
    """Learn role by role from the amounts of a book which steps are in use: a mixture, by expectation-maximisation."""
    shares: dict[tuple[str, int], Floats] = {}
    known = pd.notna(units) & (values > 0)
    for unit in sorted(set(units[known])):
        of_unit = known & (units == unit)
        for role in np.unique(roles[of_unit]):
            shares[unit, int(role)] = _mixture(values[of_unit & (roles == role)], unit)
    return Roundness(shares)


def _mixture(values: Floats, unit: str) -> Floats:
    multiples = _multiples(values, unit)
    code = (multiples > 0) @ (1 << np.arange(multiples.shape[1]))
    _, first, counts = np.unique(code, return_index=True, return_counts=True)
    patterns = multiples[first]
    prior = _trade(unit) * _PRIOR_ROWS
    shares = _trade(unit)
    for _ in range(_ROUNDS):
        part = patterns * shares
        part = part / np.maximum(part.sum(axis=1, keepdims=True), 1e-12)
        shares = counts @ part + prior
        shares = shares / shares.sum()
    return shares
