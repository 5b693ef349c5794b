"""How one maker writes her recipes: her superfat, her liquid, her sizes, her roundings."""

from __future__ import annotations

import random
from itertools import pairwise

from tests.benchmarks.made_up import Amount, Book, Recipe

LIQUIDS = (("water", 0.0), ("goat milk", 0.04), ("water", 0.0), ("water", 0.0))


class Maker:
    """One maker's ways."""

    def __init__(self, rng: random.Random, book: Book, *, states_total: bool, laundry: bool) -> None:
        self.rng, self.book, self.states_total, self.laundry = rng, book, states_total, laundry
        self.superfat = rng.choice([5, 5, 5, 6, 7, 8, 4])
        self.concentration = rng.choice([28, 30, 31, 33, 33, 35, 36])
        self.by_fat = rng.random() < 0.2  # liquid as a share of the fats
        self.states_concentration = rng.random() < 0.2
        sizes = [16, 24, 32, 36, 48, 50, 64, 80] if book.unit == "oz" else [400, 500, 700, 800, 1000, 1200, 1500, 2000]
        if book.unit == "oz" and book.decimals == 1:  # a coarse scale goes with larger batches
            sizes = [size for size in sizes if size >= 32]
        self.sizes = rng.sample(sizes, rng.randint(1, 3))
        self.step = 5 if book.tidy else rng.choice([5, 1])

    def recipe(self, number: int) -> Recipe:
        """Return one sound recipe."""
        rng, book = self.rng, self.book
        superfat, remark = self._superfat()
        fats = rng.sample(book.palette, min(rng.randint(2, 6), len(book.palette)))
        if superfat == 18:  # a salt bar
            fats = ["coconut oil", *[fat for fat in fats if fat != "coconut oil"][:1]]
            cuts = [0, 80, 100]
        else:
            cuts = [0, *sorted(rng.sample(range(self.step, 100, self.step), len(fats) - 1)), 100]
        size = rng.choice(self.sizes) * (1.0 if book.tidy else rng.uniform(0.7, 1.4))
        shares = [b - a for a, b in pairwise(cuts)]
        wobble = 0.0 if book.tidy else 0.1
        amounts = [
            Amount("fat", fat, self._rounded(size * share / 100 * rng.uniform(1 - wobble, 1 + wobble)), book.unit)
            for fat, share in zip(fats, shares, strict=True)
        ]
        amounts = [a for a in amounts if a.value > 0]
        demand = sum(a.value * book.factors[a.substance] for a in amounts)
        fat = sum(a.value for a in amounts)
        lye = self._rounded(demand * (1 - superfat / 100) * rng.choice([1.0] * 30 + [0.99]))
        liquid = rng.choice(LIQUIDS)[0]
        amounts.append(Amount("liquid", liquid, self._rounded(self._liquid(lye, fat)), book.unit))
        amounts.append(Amount("alkali", "sodium hydroxide", lye, book.unit))
        return Recipe(
            name=f"Batch {number + 1}",
            amounts=tuple(amounts),
            superfat=superfat if book.states_superfat or remark else None,
            total=self._rounded(fat) if self.states_total else None,
            concentration=self.concentration if self.states_concentration and not self.by_fat else None,
            remark=remark,
        )

    def _superfat(self) -> tuple[float, str]:
        chance = self.rng.random()
        if chance < 0.015:
            return 18, "18 % superfat, salt bar"
        if chance < 0.03:
            return (0, "laundry, 0 % superfat") if self.laundry else (self.superfat, "")
        most = 10 if self.book.states_superfat else 8
        return (self.superfat, "") if chance < 0.83 else (self.rng.randint(3, most), "")

    def _liquid(self, lye: float, fat: float) -> float:
        if self.by_fat:
            return fat * self.rng.choice([0.33, 0.33, 0.33, 0.38])
        usual = self.rng.random() < 0.85
        concentration = self.concentration if usual or self.states_concentration else self.rng.choice([27, 30, 33, 36])
        liquid = lye * (100 - concentration) / concentration
        return liquid * (self.rng.uniform(0.9, 1.25) if self.rng.random() < 0.03 else 1.0)

    def _rounded(self, value: float) -> float:
        return round(value, self.book.decimals)
