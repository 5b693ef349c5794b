"""Recipes that people published, kept in books of some twenty makers, with seeded slips and the truth about each.

`published_recipes.csv` holds the figures alone, each row with the page that it is from: hobby pages that anyone may
read, looked up in stored copies; none of their words. A page is taken as it is printed, with its own slips; `sound`
tells which rows fit what is usual in the trade by factors that share nothing with the package.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

from tests.benchmarks.made_up import NAOH_PER_G, Amount, Book, Fault, Recipe
from tests.benchmarks.slips import TAKEN_FOR, Made, moved, slip_of

_TABLE = Path(__file__).with_name("published_recipes.csv")
_LIQUIDS = ("water", "goat milk", "cow milk", "buttermilk", "coconut milk", "coffee", "beer", "aloe juice")
MORE_NAOH_PER_G = {  # common practice, from memory, as those of `made_up.py`
    "olive pomace oil": 0.1330, "coconut oil, fractionated": 0.2320, "beeswax": 0.0690, "jojoba oil": 0.0690,
    "lanolin": 0.0740, "mango butter": 0.1370, "avocado butter": 0.1330, "macadamia oil": 0.1390, "argan oil": 0.1360,
    "duck fat": 0.1390, "deer tallow": 0.1385, "milk fat": 0.1620, "stearic acid": 0.1410, "shortening": 0.1360,
    "vegetable oil": 0.1355, "infused oil": 0.1350,
}  # fmt: skip
FACTORS = NAOH_PER_G | MORE_NAOH_PER_G
VAGUE = ("shortening", "vegetable oil", "infused oil")
FAULTY = 0.2  # share of the rows with a slip
ROWS_OF_A_BOOK = 20
KINDS = {  # each about as often; the lines are the table of the benchmark
    "ounce/gram": ("unit of a cell",),
    "decimal": ("decimal",),
    "lye and liquid exchanged": ("lye and liquid swapped",),
    "stale": ("stale rescale", "stale exchange"),
    "copied": ("copied",),
    "digits swapped": ("digits swapped",),
    "digit omitted": ("digit omitted",),
    "digit replaced": ("digit replaced",),
    "wrong fat": ("wrong fat",),
    "amount typed twice": ("typed twice",),
    "fat left out": ("left out",),
}


@cache
def published() -> tuple[tuple[str, str, Recipe], ...]:
    """Return maker (the site), unit and recipe of every row."""
    with _TABLE.open(encoding="utf-8", newline="") as lines:
        return tuple(_read(row) for row in csv.DictReader(lines))


def _read(row: dict[str, str]) -> tuple[str, str, Recipe]:
    amounts = [_amount(text.strip(), row["unit"]) for text in row["amounts"].split(";")]
    amounts.sort(key=lambda amount: ("fat", "liquid", "alkali").index(amount.role))
    stated = float(row["superfat"]) if row["superfat"] else None
    maker = row["page"].partition("/")[0]
    return maker, row["unit"], Recipe(row["titled"].replace("|", ", "), tuple(amounts), superfat=stated)


def _amount(text: str, unit: str) -> Amount:
    name, _, value = text.rpartition(" ")
    role = "alkali" if name == "lye" else "liquid" if name in _LIQUIDS else "fat"
    return Amount(role, "sodium hydroxide" if name == "lye" else name, float(value), unit)


def halves() -> tuple[list[str], list[str]]:
    """Return the makers in two halves: one to fit on, one that nothing was fitted on."""
    makers = sorted({maker for maker, _, _ in published()})
    random.Random("halves").shuffle(makers)  # noqa: S311 - a draw that stays the same
    middle = len(makers) // 2
    return makers[:middle], makers[middle:]


def sound(recipe: Recipe) -> bool:
    """Whether a recipe as it is printed is one that no one need look at: 1.5 to 12 % superfat, or what it states."""
    demand = sum(recipe.amounts[i].grams * FACTORS[recipe.amounts[i].substance] for i in recipe.of("fat"))
    superfat = 100 * (1 - recipe.grams("alkali") / demand)
    strength = 100 * recipe.grams("alkali") / (recipe.grams("alkali") + recipe.grams("liquid"))
    stated = recipe.superfat is not None and abs(superfat - recipe.superfat) < 3
    return (stated or 1.5 <= superfat <= 12) and 22 <= strength <= 40


def books(half: int, seed: int, rows: int, again: float = 0.0) -> Iterator[Book]:
    """Yield books of the makers of one half until they hold so many recipes.

    `again` is the share of the recipes that are another one of the book made again: scaled, a quarter of them with
    another amount of one fat on purpose, and lye and liquid reckoned anew.
    """
    rng = random.Random(f"published {half} {seed}")  # noqa: S311 - made-up books, no secrets
    makers = set(halves()[half])
    made = number = 0
    while made < rows:
        unit, shape = ("oz", "g")[number % 2], ("table", "list", "across")[number % 3]
        number += 1
        pool = [recipe for maker, of, recipe in published() if of == unit and maker in makers]
        drawn = rng.sample(pool, min(round(ROWS_OF_A_BOOK * (1 - again)), len(pool)))
        drawn += [_made_again(rng, rng.choice(drawn)) for _ in range(round(ROWS_OF_A_BOOK * again))]
        rng.shuffle(drawn)
        book = _book(rng, drawn, unit, shape)
        made += len(book.right)
        yield book


def _made_again(rng: random.Random, recipe: Recipe) -> Recipe:
    scale = rng.choice([0.5, 1.5, 2, 2, 3, 0.75, 1])
    amounts = [replace(a, value=a.value * scale) for a in recipe.amounts]
    fats = recipe.of("fat")
    if len(fats) > 1 and rng.random() < 0.25:
        place, before = rng.choice(fats), sum(amounts[i].value * FACTORS[amounts[i].substance] for i in fats)
        amounts[place] = replace(amounts[place], value=amounts[place].value * rng.choice([0.5, 0.75, 1.25, 1.5, 2]))
        now = sum(amounts[i].value * FACTORS[amounts[i].substance] for i in fats) / before
        amounts = [a if a.role == "fat" else replace(a, value=a.value * now) for a in amounts]
    decimals = max(decimals_of(recipe), 1)
    return replace(recipe, amounts=tuple(replace(a, value=round(a.value, decimals)) for a in amounts))


def decimals_of(recipe: Recipe) -> int:
    """Decimals of the amount with the most of them."""
    return max(len(f"{a.value:.10g}".partition(".")[2]) for a in recipe.amounts)


def _book(rng: random.Random, recipes: list[Recipe], unit: str, shape: str) -> Book:
    fats = sorted({a.substance for recipe in recipes for a in recipe.amounts if a.role == "fat"})
    book = Book(unit, 2, shape, tidy=False, states_superfat=False, palette=fats, factors=FACTORS)
    book.right = [replace(recipe, name=f"No. {n + 1} {recipe.name}".strip()) for n, recipe in enumerate(recipes)]
    book.written = list(book.right)
    for number, recipe in enumerate(book.right):
        if sound(recipe) and rng.random() < FAULTY:
            _add_fault(rng, book, number)
    return book


def _add_fault(rng: random.Random, book: Book, number: int) -> None:
    recipe = book.right[number]
    own = replace(book, decimals=decimals_of(recipe))
    for _ in range(60):
        kind = rng.choice(rng.choice(list(KINDS.values())))
        made = _OF_HERE[kind](rng, own, number) if kind in _OF_HERE else slip_of(kind)(rng, own, number)
        if made is None or made[0] == recipe or not _moved(own, recipe, made[0]):
            continue
        book.written[number] = made[0]
        book.faults[number] = Fault(number, kind, made[1], material=True)
        return


def _moved(book: Book, right: Recipe, written: Recipe) -> bool:
    if len(right.amounts) == len(written.amounts):
        return moved(book, right, written)
    demands = [
        sum(r.amounts[i].grams * book.factors[r.amounts[i].substance] for i in r.of("fat")) for r in (right, written)
    ]
    return abs(100 * right.grams("alkali") * (1 / demands[0] - 1 / demands[1])) > 3


def _wrong_fat(rng: random.Random, book: Book, number: int) -> Made:
    """One of a similar name, or the next column's."""
    recipe = book.right[number]
    here = {recipe.amounts[i].substance for i in recipe.of("fat")}
    place = rng.choice(recipe.of("fat"))
    amount = recipe.amounts[place]
    at = book.palette.index(amount.substance)
    beside = [book.palette[i] for i in (at - 1, at + 1) if 0 <= i < len(book.palette)]
    others = [fat for fat in (*TAKEN_FOR.get(amount.substance, ()), *beside) if fat not in here]
    if not others:
        return None
    return recipe.with_amounts({place: replace(amount, substance=rng.choice(others))}), {place: amount}


def _typed_twice(rng: random.Random, book: Book, number: int) -> Made:
    """A line typed twice in a list; in a table the number stands in the next column too."""
    recipe = book.right[number]
    place = rng.choice(recipe.of("fat"))
    amount = again = recipe.amounts[place]
    if book.shape != "list":
        at = book.palette.index(amount.substance)
        here = {recipe.amounts[i].substance for i in recipe.of("fat")}
        beside = [book.palette[i] for i in (at - 1, at + 1) if 0 <= i < len(book.palette)]
        beside = [fat for fat in beside if fat not in here]
        if not beside:
            return None
        again = replace(amount, substance=rng.choice(beside))
    amounts = (*recipe.amounts[: place + 1], again, *recipe.amounts[place + 1 :])
    return replace(recipe, amounts=amounts), {place + 1: replace(again, value=0.0)}


def _left_out(rng: random.Random, book: Book, number: int) -> Made:
    """A fat that the lye was made for and the recipe does not list."""
    recipe = book.right[number]
    if len(recipe.of("fat")) < 2:
        return None
    place = rng.choice(recipe.of("fat"))
    amounts = tuple(amount for i, amount in enumerate(recipe.amounts) if i != place)
    return replace(recipe, amounts=amounts), {-1: recipe.amounts[place]}


_OF_HERE = {"wrong fat": _wrong_fat, "typed twice": _typed_twice, "left out": _left_out}
