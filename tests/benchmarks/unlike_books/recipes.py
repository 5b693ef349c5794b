"""Recipes that make soap: lye for the fats less the superfat, liquid for the lye, rounded as the maker rounds."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from tests.benchmarks.unlike_books import data
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Amount, Recipe

SUPERFAT = (2.3, 9.2)  # per cent with the middle values: sound for whoever reads the row
CONCENTRATION = (25.5, 40.0)  # per cent
RICH = {"castor oil": 0.12, "beeswax": 0.05}  # largest share of the fats that anybody uses
LYE_MISSING = 0.025  # share of recipes whose lye was left empty


def superfat_of(amounts: Iterable[Amount], factors: Mapping[str, float] | None = None) -> float:
    """Superfat [%] of amounts as written, by the middle of each fat's range or a maker's own factors."""
    factors = factors or data.naoh_per_gram()
    amounts = list(amounts)
    needed = sum(a.grams * factors[a.substance] for a in amounts if a.role == "fat")
    lye = sum(a.grams for a in amounts if a.role == "alkali")
    return 100 * (1 - lye / needed)


def concentration_of(amounts: Iterable[Amount]) -> float:
    """Lye in lye and liquid [%]."""
    grams = {"alkali": 0.0, "liquid": 0.0}
    for amount in amounts:
        if amount.role in grams:
            grams[amount.role] += amount.grams
    return 100 * grams["alkali"] / (grams["alkali"] + grams["liquid"])


def draw(maker: Maker, rng: random.Random, number: int, taken: set[str], *, exact: bool = False) -> Recipe:
    """Draw one sound recipe; `exact` takes the fats as whole per cents of the batch, unrounded.

    Raises
    ------
    RuntimeError
        Where no sound recipe can be weighed with this maker's scale.
    """
    for _ in range(500):
        superfat = maker.superfat
        if maker.superfat_place == "row" and rng.random() < 0.3:
            superfat = rng.randint(3, 8)
        amounts = _amounts(maker, rng, superfat, exact=exact)
        sound = SUPERFAT[0] <= superfat_of(amounts) <= SUPERFAT[1]
        if sound and CONCENTRATION[0] <= concentration_of(amounts) <= CONCENTRATION[1]:
            break
    else:
        raise RuntimeError(f"author {maker.author} cannot weigh a sound recipe")
    if rng.random() < LYE_MISSING:
        amounts = tuple(replace(a, missing=a.role == "alkali") for a in amounts)
    stated = maker.superfat_place in {"row", "remark"}
    return Recipe(
        number=number,
        name=_name(maker, rng, taken),
        amounts=amounts,
        superfat=superfat if stated else None,
        note=rng.choice(data.words(maker.words.language)["chatter"]) if rng.random() < 0.3 else "",
        extras=_extras(rng),
    )


def _amounts(maker: Maker, rng: random.Random, superfat: float, *, exact: bool) -> tuple[Amount, ...]:
    hand = maker.scribe
    size = rng.choice(maker.sizes)
    many = rng.randint(2, min(6, len(maker.fats)))
    base = rng.choice([fat for fat in maker.fats if fat not in RICH])
    others = rng.sample([fat for fat in maker.fats if fat != base], many - 1)
    fats = sorted([base, *others], key=list(maker.fats).index)
    cuts = [0, *sorted(rng.sample(range(5, 100, 5), many - 1)), 100]
    shares = [(b - a) / 100 for a, b in pairwise(cuts)]
    shares = _within_custom(fats, shares)
    amounts = []
    for fat, share in zip(fats, shares, strict=True):
        value = size * share if exact else hand.rounded(size * share, "fat")
        amounts.append(Amount("fat", fat, round(value, 4), hand.unit))
    needed = sum(a.value * maker.factors[a.substance] for a in amounts)
    lye = hand.rounded(needed * (1 - superfat / 100), "alkali")
    amounts.append(Amount("alkali", "sodium hydroxide", lye, hand.unit))
    liquid = lye * (100 - maker.concentration) / maker.concentration
    first, *others = maker.liquids
    if others and rng.random() < 0.4:
        other = rng.choice(others)
        split = rng.choice((0.5, 0.6)) if maker.milk_apart else 0.0
        if split:
            amounts.append(Amount("liquid", first, hand.rounded(liquid * split, "liquid"), hand.unit))
        amounts.append(Amount("liquid", other, hand.rounded(liquid * (1 - split), "liquid"), hand.unit))
    else:
        amounts.append(Amount("liquid", first, hand.rounded(liquid, "liquid"), hand.unit))
    for additive in maker.additives:
        if rng.random() < 0.6:
            value = hand.rounded(size * rng.choice((0.01, 0.02, 0.03)), "additive")
            if value > 0:
                amounts.append(Amount("additive", additive, value, hand.unit))
    return tuple(amounts)


def _within_custom(fats: list[str], shares: list[float]) -> list[float]:
    """Move what is more than custom of a fat onto the first fat that has no such limit."""
    free = next(i for i, fat in enumerate(fats) if fat not in RICH)
    for i, fat in enumerate(fats):
        spare = max(0.0, shares[i] - RICH.get(fat, 1.0))
        spare = round(spare, 2)
        shares[i], shares[free] = round(shares[i] - spare, 2), round(shares[free] + spare, 2)
    return shares


def _name(maker: Maker, rng: random.Random, taken: set[str]) -> str:
    words = data.words(maker.words.language)
    for _ in range(200):
        first, last = rng.choice(words["first name"]), rng.choice(words["last name"])
        joined = f"{first}{last}" if last in {"seife", "stück"} else f"{first} {last}"
        name = joined.strip()
        if name.casefold() not in taken:
            taken.add(name.casefold())
            return name
    raise RuntimeError(f"author {maker.author} has run out of names")


def _extras(rng: random.Random) -> dict[str, Any]:
    return {
        "price": round(rng.uniform(3, 9), 2),
        "date": f"{rng.randint(1, 28)}.{rng.randint(1, 12)}.{rng.randint(2014, 2024)}",
        "code": f"{rng.choice('ABCKLS')}{rng.randint(10, 999)}",
        "mould": rng.choice(("loaf", "slab", "A", "B", "2", "tray 3")),
        "page": rng.randint(1, 140),
        "rating": rng.randint(4, 10),
        "bars": rng.randint(6, 24),
    }
