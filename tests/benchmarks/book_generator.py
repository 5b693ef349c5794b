"""Books of recipes made up at random, with seeded slips and the truth about each.

Each book has its own fat values, up to one per cent off those of `made_up.py`, as suppliers differ.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator

from tests.benchmarks.made_up import NAOH_PER_G, Amount, Book, Fault, Recipe, Scenario
from tests.benchmarks.makers import Maker
from tests.benchmarks.slips import add_fault

__all__ = ["NAOH_PER_G", "SCENARIOS", "Amount", "Book", "Fault", "Recipe", "Scenario", "books"]

SCENARIOS = (
    Scenario("all sorts"),
    Scenario("ounces, tidy, superfat stated", "oz", tidy=True, states_superfat=True),
    Scenario("grams, tidy, superfat stated", "g", tidy=True, states_superfat=True),
    Scenario("ounces, irregular, nothing stated", "oz", tidy=False, states_superfat=False, states_total=False),
    Scenario("grams, irregular, nothing stated", "g", tidy=False, states_superfat=False, states_total=False),
    Scenario("small books", most=12),
)


def books(scenario: Scenario, seed: int, rows: int) -> Iterator[Book]:
    """Yield books of a scenario until they hold so many recipes."""
    rng = random.Random(f"{scenario.name} {seed}")  # noqa: S311 - made-up books, no secrets
    made = 0
    while made < rows:
        book = _book(rng, scenario)
        made += len(book.right)
        yield book


def _or_chance(rng: random.Random, chance: float, *, given: bool | None) -> bool:
    drawn = rng.random() < chance
    return drawn if given is None else given


def _book(rng: random.Random, scenario: Scenario) -> Book:
    unit = scenario.unit or ("oz" if rng.random() < 0.55 else "g")
    book = Book(
        unit=unit,
        decimals=rng.choice([1, 2, 2]) if unit == "oz" else rng.choice([0, 0, 1]),
        shape=rng.choice(["table", "table", "list", "across"]),
        tidy=_or_chance(rng, 0.65, given=scenario.tidy),
        states_superfat=_or_chance(rng, 0.5, given=scenario.states_superfat),
        palette=rng.sample(sorted(NAOH_PER_G), rng.randint(6, 10)),
        factors={fat: each * rng.uniform(0.99, 1.01) for fat, each in NAOH_PER_G.items()},
    )
    count = round(math.exp(rng.uniform(math.log(scenario.least), math.log(scenario.most))))
    states_total = _or_chance(rng, 0.5, given=scenario.states_total)
    maker = book.maker = Maker(rng, book, states_total=states_total, laundry=scenario.laundry)
    book.right = [maker.recipe(number) for number in range(count)]
    book.written = list(book.right)
    rate = rng.uniform(*scenario.faulty)
    for number in range(count):
        if rng.random() < rate:
            add_fault(rng, book, number)
    return book
