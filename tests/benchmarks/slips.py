"""Slips of the pen, seeded into sound recipes: what is written instead, and what should be."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from tests.benchmarks.made_up import KOH_PER_NAOH, OUNCE, POUND, Amount, Book, Fault, Recipe

TAKEN_FOR = {
    "palm oil": ("palm kernel oil",),
    "palm kernel oil": ("palm oil", "coconut oil"),
    "coconut oil": ("palm kernel oil", "babassu oil"),
    "babassu oil": ("coconut oil",),
    "shea butter": ("cocoa butter",),
    "cocoa butter": ("shea butter",),
}
WEIGHTS = {  # of the slips, as the project takes them to be
    "digit replaced": 30,
    "digit omitted": 6,
    "digit added": 5,
    "digits swapped": 6,
    "unit of a cell": 9,
    "unit of a group": 4,
    "pounds.ounces": 2,
    "kilograms": 1,
    "stale rescale": 7,
    "stale exchange": 5,
    "wrong fat": 5,
    "other alkali": 2,
    "lye and liquid swapped": 3,
    "decimal": 8,
    "copied": 7,
}


def add_fault(rng: random.Random, book: Book, number: int) -> None:
    for _ in range(30):
        kind = rng.choices(list(WEIGHTS), list(WEIGHTS.values()))[0]
        made = _SLIPS[kind](rng, book, number)
        if made is None:
            continue
        written, right = made
        if written == book.right[number]:
            continue
        material = moved(book, book.right[number], written)
        book.written[number] = written
        book.faults[number] = Fault(number, kind, right, material)
        return


def moved(book: Book, right: Recipe, written: Recipe) -> bool:
    """Whether superfat moved by more than 3 points, or liquid to lye by more than a tenth."""

    def superfat(recipe: Recipe) -> float:
        demand = sum(recipe.amounts[i].grams * book.factors[recipe.amounts[i].substance] for i in recipe.of("fat"))
        return 100 * (1 - recipe.grams("alkali") / demand)

    def water(recipe: Recipe) -> float:
        return recipe.grams("liquid") / recipe.grams("alkali")

    meant = [right.amounts[i].substance for i in right.of("fat")]
    said = [written.amounts[i].substance for i in written.of("fat")]
    if meant != said:
        return abs(superfat(written) - superfat(right)) > 3
    return abs(superfat(written) - superfat(right)) > 3 or abs(water(written) / water(right) - 1) > 0.1


Made = tuple[Recipe, dict[int, Amount]] | None
Slip = Callable[[random.Random, Book, int], Made]


def _one_cell(rng: random.Random, book: Book, number: int) -> tuple[Recipe, int, Amount]:
    recipe = book.right[number]
    weights = [{"fat": 1.0, "liquid": 1.2, "alkali": 1.5}[a.role] for a in recipe.amounts]
    place = rng.choices(range(len(recipe.amounts)), weights)[0]
    return recipe, place, recipe.amounts[place]


def _typed(recipe: Recipe, place: int, value: float) -> Made:
    amount = recipe.amounts[place]
    if value <= 0 or value == amount.value:
        return None
    return recipe.with_amounts({place: replace(amount, value=value)}), {place: amount}


def _digit(how: str):  # noqa: ANN202 - a slip, as the table below wants it
    def slip(rng: random.Random, book: Book, number: int) -> Made:
        recipe, place, amount = _one_cell(rng, book, number)
        text = as_typed(amount.value, book.decimals)
        digits = [i for i, letter in enumerate(text) if letter.isdigit()]
        if how == "replaced":
            i = rng.choice(digits)
            text = text[:i] + rng.choice([d for d in "0123456789" if d != text[i]]) + text[i + 1 :]
        elif how == "omitted":
            if len(digits) < 2:
                return None
            i = rng.choice(digits)
            text = text[:i] + text[i + 1 :]
        elif how == "added":
            i = rng.choice(digits)
            text = text[: i + 1] + rng.choice([text[i]] * 9 + list("0123456789")) + text[i + 1 :]
        else:
            pairs = [(i, j) for i, j in pairwise(digits) if text[i] != text[j]]
            if not pairs:
                return None
            i, j = rng.choice(pairs)
            letters = list(text)
            letters[i], letters[j] = letters[j], letters[i]
            text = "".join(letters)
        return _typed(recipe, place, float(text)) if text.strip(".") else None

    return slip


def as_typed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _decimal(rng: random.Random, book: Book, number: int) -> Made:
    recipe, place, amount = _one_cell(rng, book, number)
    return _typed(recipe, place, round(amount.value * rng.choice([10, 0.1]), 3))


def _converted(rng: random.Random, amount: Amount, unit: str) -> Amount:
    """The amount as weighed in another unit, with the decimals that one would write."""
    each = {"g": 1.0, "kg": 1000.0, "oz": OUNCE, "lb": POUND}[unit]
    decimals = {"g": rng.choice([0, 0, 1]), "kg": 3, "oz": rng.choice([1, 2, 2]), "lb": 2}[unit]
    return replace(amount, value=round(amount.grams / each, decimals), unit=unit)


def _unit(places: str):  # noqa: ANN202 - a closure of the benchmark
    def slip(rng: random.Random, book: Book, number: int) -> Made:
        recipe, place, _ = _one_cell(rng, book, number)
        other = {"oz": "g", "g": "oz"}[book.unit]
        if places == "group":
            group = rng.choice(["fats", "lye and liquid", "all"])
            chosen = recipe.of("fat") if group == "fats" else [*recipe.of("liquid"), *recipe.of("alkali")]
            chosen = list(range(len(recipe.amounts))) if group == "all" else chosen
            if len(chosen) < 2:
                return None
        else:
            chosen = [place]
        if places == "kilograms":
            if book.unit != "g":
                return None
            other = "kg"
        meant = {i: _converted(rng, recipe.amounts[i], other) for i in chosen}
        if any(amount.value <= 0 for amount in meant.values()):
            return None
        return recipe.with_amounts({i: replace(a, unit=book.unit) for i, a in meant.items()}), meant

    return slip


def _pounds_ounces(rng: random.Random, book: Book, number: int) -> Made:
    recipe, place, amount = _one_cell(rng, book, number)
    if book.unit != "oz" or amount.value < 17 or amount.value != round(amount.value) or amount.value % 16 == 0:
        return None
    pounds, ounces = divmod(int(amount.value), 16)
    return _typed(recipe, place, float(f"{pounds}.{ounces}"))


def _rescaled(rng: random.Random, book: Book, number: int) -> Made:
    """Fats scaled up or down, lye and liquid as before."""
    recipe = book.right[number]
    factor = rng.choice([2, 2, 1.5, 0.5, 0.5, 1.25, 0.75, 3])
    changed = {
        i: replace(recipe.amounts[i], value=round(recipe.amounts[i].value / factor, book.decimals))
        for i in [*recipe.of("liquid"), *recipe.of("alkali")]
    }
    if any(amount.value <= 0 for amount in changed.values()):
        return None
    return recipe.with_amounts(changed), {i: recipe.amounts[i] for i in changed}


def _exchanged(rng: random.Random, book: Book, number: int) -> Made:
    """Lye and liquid of the same recipe with another fat in it."""
    recipe = book.right[number]
    place = rng.choice(recipe.of("fat"))
    fat = rng.choice(book.palette)
    old = sum(recipe.amounts[i].value * book.factors[recipe.amounts[i].substance] for i in recipe.of("fat"))
    here = recipe.amounts[place]
    factor = 1 + here.value * (book.factors[fat] - book.factors[here.substance]) / old
    if abs(factor - 1) < 0.02:
        return None
    changed = {
        i: replace(recipe.amounts[i], value=round(recipe.amounts[i].value * factor, book.decimals))
        for i in [*recipe.of("liquid"), *recipe.of("alkali")]
    }
    return recipe.with_amounts(changed), {i: recipe.amounts[i] for i in changed}


def _wrong_fat(rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    here = [recipe.amounts[i].substance for i in recipe.of("fat")]
    places = [i for i in recipe.of("fat") if any(o not in here for o in TAKEN_FOR.get(recipe.amounts[i].substance, ()))]
    if not places:
        return None
    place = rng.choice(places)
    amount = recipe.amounts[place]
    fat = rng.choice([other for other in TAKEN_FOR[amount.substance] if other not in here])
    return recipe.with_amounts({place: replace(amount, substance=fat)}), {place: amount}


def _other_alkali(_rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    place = recipe.of("alkali")[0]
    return _typed(recipe, place, round(recipe.amounts[place].value * KOH_PER_NAOH, book.decimals))


def _swapped(_rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    lye, wet = recipe.of("alkali")[0], recipe.of("liquid")[0]
    one, two = recipe.amounts[lye], recipe.amounts[wet]
    if one.value == two.value:
        return None
    return (
        recipe.with_amounts({lye: replace(one, value=two.value), wet: replace(two, value=one.value)}),
        {lye: one, wet: two},
    )


def _copied(rng: random.Random, book: Book, number: int) -> Made:
    if number == 0:
        return None
    recipe, place, amount = _one_cell(rng, book, number)
    before = book.right[number - 1]
    same = [a for a in before.amounts if a.role == amount.role and (a.role != "fat" or a.substance == amount.substance)]
    return _typed(recipe, place, same[0].value) if same else None


_SLIPS = {
    "digit replaced": _digit("replaced"),
    "digit omitted": _digit("omitted"),
    "digit added": _digit("added"),
    "digits swapped": _digit("swapped"),
    "unit of a cell": _unit("cell"),
    "unit of a group": _unit("group"),
    "pounds.ounces": _pounds_ounces,
    "kilograms": _unit("kilograms"),
    "stale rescale": _rescaled,
    "stale exchange": _exchanged,
    "wrong fat": _wrong_fat,
    "other alkali": _other_alkali,
    "lye and liquid swapped": _swapped,
    "decimal": _decimal,
    "copied": _copied,
}


def slip_of(kind: str) -> Slip:
    """Return the slip of a kind."""
    return _SLIPS[kind]
