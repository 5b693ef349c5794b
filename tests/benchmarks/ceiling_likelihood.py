"""How probable a sound recipe is for its maker, as `makers.py` draws recipes."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from tests.benchmarks.book_generator import Book, Recipe

Floats = npt.NDArray[np.float64]

_SALT_BAR = 18
_GRID = 24  # batch sizes over which irregular ones are summed
_ROUNDED_DOWN = 1 / 31


def likelihood(book: Book, recipe: Recipe) -> float:
    """Probability of a recipe's amounts, for the substances and statements that it has."""
    lye, liquid = (recipe.amounts[recipe.of(role)[0]].value for role in ("alkali", "liquid"))
    fats = [recipe.amounts[i] for i in recipe.of("fat")]
    values = tuple(amount.value for amount in fats)
    if any(value <= 0 for value in (*values, lye, liquid)):
        return 0.0
    if recipe.total is not None and round(sum(values), book.decimals) != recipe.total:
        return 0.0
    demand = sum(amount.value * book.factors[amount.substance] for amount in fats)
    of_lye = _lye(book, recipe, demand, lye)
    if not of_lye:
        return 0.0
    of_liquid = _liquid(book, lye, sum(values), liquid)
    return of_lye * of_liquid * rows_like(_Key(book), recipe.superfat == _SALT_BAR, values) if of_liquid else 0.0


class _Key:
    """A book that can be remembered by."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def __hash__(self) -> int:
        return id(self.book)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.book is self.book


def _lye(book: Book, recipe: Recipe, demand: float, lye: float) -> float:
    chance = 0.0
    for superfat, share in superfats(book, recipe):
        for factor, part in ((1.0, 1 - _ROUNDED_DOWN), (0.99, _ROUNDED_DOWN)):
            if round(demand * (1 - superfat / 100) * factor, book.decimals) == lye:
                chance += share * part
    return chance


def superfats(book: Book, recipe: Recipe) -> list[tuple[float, float]]:
    """Superfats that a recipe may have been reckoned with, each with its probability."""
    if recipe.superfat is not None:
        return [(recipe.superfat, 1.0)]
    assert book.maker is not None
    most = 10 if book.states_superfat else 8
    shares = dict.fromkeys(range(3, most + 1), 0.17 / (most - 2))
    shares[book.maker.superfat] = shares.get(book.maker.superfat, 0.0) + 0.80
    return list(shares.items())


def _liquid(book: Book, lye: float, fat: float, liquid: float) -> float:
    maker = book.maker
    assert maker is not None
    if maker.by_fat:
        return sum(p for share, p in ((0.33, 0.75), (0.38, 0.25)) if round(fat * share, book.decimals) == liquid)
    strengths = {maker.concentration: 1.0}
    if not maker.states_concentration:
        strengths[maker.concentration] = 0.85
        for other in (27, 30, 33, 36):
            strengths[other] = strengths.get(other, 0.0) + 0.15 / 4
    chance = 0.0
    for strength, share in strengths.items():
        exact = lye * (100 - strength) / strength
        chance += share * 0.97 * (round(exact, book.decimals) == liquid)
        chance += share * 0.03 * (0.9 <= liquid / exact <= 1.25) * 10.0**-book.decimals / (0.35 * exact)
    return chance


@lru_cache(maxsize=100_000)
def rows_like(key: _Key, salt_bar: bool, values: tuple[float, ...]) -> float:  # noqa: FBT001 - of a recipe
    """Probability of the amounts of the fats."""
    book = key.book
    maker = book.maker
    assert maker is not None
    if salt_bar and len(values) == 2:
        return _tidy(book, values, [80, 20]) if book.tidy else _irregular(book, values, [80, 20])
    return _tidy(book, values, None) if book.tidy else _irregular(book, values, None)


def _tidy(book: Book, values: tuple[float, ...], fixed: list[int] | None) -> float:
    maker = book.maker
    assert maker is not None
    chance = 0.0
    for size in maker.sizes:
        shares = fixed or [maker.step * round(100 * value / size / maker.step) for value in values]
        fits = all(round(size * s / 100, book.decimals) == v for s, v in zip(shares, values, strict=True))
        if fits and sum(shares) == 100 and min(shares) > 0:
            chance += 1 / len(maker.sizes)
    return chance if fixed else chance / math.comb(100 // maker.step - 1, len(values) - 1)


def _irregular(book: Book, values: tuple[float, ...], fixed: list[int] | None) -> float:
    """Sum over batch sizes, and over all ways to cut one into shares that each amount may be one tenth off."""
    maker = book.maker
    assert maker is not None
    step = maker.step
    cells = 100 // step
    share = np.arange(1, cells + 1) * step / 100
    chance = 0.0
    for size in maker.sizes:
        for at in (np.arange(_GRID) + 0.5) / _GRID:
            fats = size * (0.7 + 0.7 * at)
            near = [_near(book, fats, share, value) for value in values]
            if fixed:
                ways = float(np.prod([n[s // step - 1] for n, s in zip(near, fixed, strict=True)]))
            else:
                ways = _cut(near, cells)
            chance += ways / _GRID / len(maker.sizes)
    return chance if fixed else chance / math.comb(cells - 1, len(values) - 1)


def _near(book: Book, fats: float, share: Floats, value: float) -> Floats:
    middle = fats * share
    return np.where(np.abs(value / middle - 1) <= 0.1, 10.0**-book.decimals / (0.2 * middle), 0.0)


def _cut(near: list[Floats], cells: int) -> float:
    """Add up, over all whole shares that make the whole, the product of what each amount makes of its share."""
    if any(not each.any() for each in near):
        return 0.0
    sums = np.concatenate(([0.0], near[0]))
    for each in near[1:]:
        sums = np.convolve(sums, np.concatenate(([0.0], each)))[: cells + 1]
    return float(sums[cells]) if len(sums) > cells else 0.0
