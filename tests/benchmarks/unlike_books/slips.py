"""Slips of the trade, sown into a sound recipe so that they matter."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import replace

from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import GRAMS, Amount, Recipe
from tests.benchmarks.unlike_books.recipes import concentration_of, superfat_of
from tests.benchmarks.unlike_books.scribe import OTHER, Scribe

# Beyond these (by the middle of each range) nobody takes a row for one of a maker of 3 to 8 per cent superfat.
FREE_LYE, TOO_FAT = -2.0, 16.0  # superfat, per cent
TOO_WEAK, TOO_STRONG = 19.0, 50.0  # lye in lye and liquid, per cent
Slip = Callable[[Recipe, Scribe, random.Random, Sequence[str]], "Recipe | None"]


def _replaced(recipe: Recipe, changes: dict[int, Amount]) -> Recipe:
    return replace(recipe, amounts=tuple(changes.get(i, a) for i, a in enumerate(recipe.amounts)))


def _mistaken(amount: Amount, value: float, unit: str | None = None) -> Amount:
    return replace(amount, value=round(value, 4), unit=unit or amount.unit, right=(amount.value, amount.unit))


def _one(recipe: Recipe, rng: random.Random, roles: Sequence[str]) -> tuple[int, Amount]:
    role = rng.choice(roles)
    return rng.choice([(i, a) for i, a in enumerate(recipe.amounts) if a.role == role])


def unit(recipe: Recipe, hand: Scribe, rng: random.Random, roles: Sequence[str]) -> Recipe | None:
    """An amount in the other unit: the other word where units are written, else the number of the other scale."""
    at, amount = _one(recipe, rng, roles)
    if hand.place == "cell":
        return _replaced(recipe, {at: _mistaken(amount, amount.value, OTHER[amount.unit])})
    other = OTHER[amount.unit]
    step = 1 if other == "g" else 0.1
    read = round(amount.value * GRAMS[amount.unit] / GRAMS[other] / step) * step
    return _replaced(recipe, {at: _mistaken(amount, read)}) if read > 0 else None


def decimal(recipe: Recipe, _hand: Scribe, rng: random.Random, roles: Sequence[str]) -> Recipe | None:
    """The point a place off, or a nought too many or too few."""
    at, amount = _one(recipe, rng, roles)
    return _replaced(recipe, {at: _mistaken(amount, amount.value * rng.choice((10, 0.1)))})


def digit(recipe: Recipe, _hand: Scribe, rng: random.Random, roles: Sequence[str]) -> Recipe | None:
    """A digit replaced, dropped, doubled, or two swapped."""
    at, amount = _one(recipe, rng, roles)
    text = f"{amount.value:.3f}".rstrip("0").rstrip(".")
    places = [i for i, letter in enumerate(text) if letter.isdigit()]
    place = rng.choice(places)
    kind = rng.choice(("replaced", "dropped", "doubled", "swapped"))
    if kind == "replaced":
        text = text[:place] + rng.choice("123456789") + text[place + 1 :]
    elif kind == "dropped":
        text = text[:place] + text[place + 1 :]
    elif kind == "doubled":
        text = text[:place] + text[place] + text[place:]
    else:
        following = next((i for i in places if i > place), None)
        if following is None:
            return None
        letters = list(text)
        letters[place], letters[following] = letters[following], letters[place]
        text = "".join(letters)
    try:
        value = float(text)
    except ValueError:
        return None
    return _replaced(recipe, {at: _mistaken(amount, value)}) if value not in (0, amount.value) else None


def swap(recipe: Recipe, _hand: Scribe, _rng: random.Random, roles: Sequence[str]) -> Recipe | None:
    """Lye and liquid in each other's place."""
    lye, liquid = recipe.of("alkali"), recipe.of("liquid")
    if len(liquid) != 1 or not {"alkali", "liquid"} <= set(roles):
        return None
    at = {a.role: i for i, a in enumerate(recipe.amounts) if a.role in {"alkali", "liquid"}}
    return _replaced(
        recipe,
        {at["alkali"]: _mistaken(lye[0], liquid[0].value), at["liquid"]: _mistaken(liquid[0], lye[0].value)},
    )


def stale(recipe: Recipe, hand: Scribe, rng: random.Random, _roles: Sequence[str]) -> Recipe | None:
    """Fats rescaled, lye and liquid left as they were."""
    factor = rng.choice((0.5, 0.75, 1.5, 2.0))
    changes = {}
    for i, amount in enumerate(recipe.amounts):
        scaled = hand.rounded(amount.value * factor, amount.role)
        if amount.role in {"fat", "additive"}:
            changes[i] = replace(amount, value=round(amount.value * factor, 4) if amount.role == "fat" else scaled)
            if changes[i].value <= 0:
                return None
        else:
            changes[i] = replace(amount, right=(scaled, amount.unit))
    return _replaced(recipe, changes)


SLIPS: dict[str, Slip] = {"unit": unit, "decimal": decimal, "digit": digit, "swap": swap, "stale": stale}


def consequence(recipe: Recipe) -> str:
    """What a row leads to as written, in words; "" where nothing that matters."""
    superfat, strength = superfat_of(recipe.amounts), concentration_of(recipe.amounts)
    if not FREE_LYE <= superfat <= TOO_FAT:
        return f"superfat {superfat:.1f} %"
    return "" if TOO_WEAK <= strength <= TOO_STRONG else f"lye concentration {strength:.0f} %"


def sown(recipe: Recipe, maker: Maker, rng: random.Random, roles: Sequence[str]) -> Recipe:
    """Return the recipe with one slip that matters, in an amount of one of the roles; as it is where none does."""
    for _ in range(100):
        kind = rng.choice(list(SLIPS))
        slipped = SLIPS[kind](recipe, maker.scribe, rng, roles)
        if slipped is not None and (led_to := consequence(slipped)):
            danger = superfat_of(slipped.amounts) < FREE_LYE
            return replace(slipped, slip=kind, material=led_to, danger=danger)
    return recipe


def beside(recipe: Recipe, amount: Amount) -> Amount:
    """The amount that a second column shows: right where the first was mistyped, wrong with it where it was stale."""
    return amount if recipe.slip in {"stale", "swap"} else amount.meant
