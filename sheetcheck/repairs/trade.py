"""What is usual in the trade: superfat, lye concentration, liquid for the fats, batches. Numbers: table of slips."""

from __future__ import annotations

from functools import cache

import numpy as np

from sheetcheck.repairs.density import Floats, Trade
from sheetcheck.repairs.priors import usual

ROWS = 4.0  # rows of a book that weigh as much as what is usual in the trade
_SAID = 12.0  # rows that what the maker has said weighs as much as
_NARROW = 0.8  # share of makers within the usual range; the others lie in a wider one


@cache
def superfat(own: float = float("nan")) -> Trade:
    """Return what is usual for lye over demand; mostly her own superfat [percent], where a maker has said it."""
    narrow, wide = _range("superfat least", "superfat most", 11), np.linspace(0, 12, 13)
    points, weights = np.log1p(-np.concatenate((narrow, wide)) / 100), _weights(11, 13)
    if np.isfinite(own):
        points, weights = np.append(points, np.log1p(-own / 100)), np.append(weights, _SAID)
    return Trade(points, weights, width=0.006, floor=0.004, span=0.12, centre=float(np.log(0.94)), by_hand=0.004)


@cache
def water() -> Trade:
    """Return what is usual for liquid over lye."""
    narrow, wide = _range("lye concentration least", "lye concentration most", 10), np.linspace(22, 42, 11)
    points = np.log(100 / np.concatenate((narrow, wide)) - 1)
    centre = float(np.log(100 / 31 - 1))
    return Trade(
        points, _weights(10, 11), width=0.03, floor=0.03, span=0.35, centre=centre, by_hand=0.01, rounds=_strengths()
    )


@cache
def water_by_fat() -> Trade:
    """Return what is usual for liquid over fats."""
    points = np.log(_range("liquid for fat least", "liquid for fat most", 9) / 100)
    rounds = np.log(np.sort(np.append(np.arange(20, 51), (100 / 3, 37.5))) / 100)
    weights = np.full(9, ROWS / 9)
    return Trade(
        points, weights, width=0.04, floor=0.03, span=0.35, centre=float(np.log(0.32)), by_hand=0.01, rounds=rounds
    )


@cache
def batch() -> Trade:
    """Return what is usual for the fats of a batch."""
    centre, spread = float(np.log(usual("batch"))), float(np.log(usual("batch spread")))
    weights = np.array([1, 2, 4, 5, 4, 2, 1]) / 19 * ROWS
    points = centre + spread * np.linspace(-1.5, 1.5, 7)
    return Trade(points, weights, width=spread / 2, floor=0.15, span=spread, centre=centre, by_hand=0.01)


def _strengths() -> Floats:
    """Strengths that liquid is reckoned from: whole per cents, and simple ratios of liquid to lye."""
    ratios = (1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0)
    return np.sort(np.log(np.append(100 / np.arange(20, 46) - 1, ratios)))


def _range(least: str, most: str, count: int) -> Floats:
    return np.linspace(usual(least), usual(most), count)


def _weights(narrow: int, wide: int) -> Floats:
    shares = (np.full(narrow, _NARROW / narrow), np.full(wide, (1 - _NARROW) / wide))
    return np.concatenate(shares) * ROWS
