"""Amounts stated in two units, one of them wrong: `python -m tests.benchmarks.both_units`.

Published recipes (`published_recipes.csv`, the half that nothing was fitted on) as cards whose every amount stands in
ounces and in grams, `10 oz (283 g)`; in a third of those that are sound one of the two numbers has one wrong digit.
Each book is written as a file and audited whole. Right: the message or a suggestion holds for wrong the number that is.
"""

from __future__ import annotations

import argparse
import csv
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import sheetcheck
from sheetcheck.model import Audit, Signal
from tests.benchmarks.made_up import Amount, Recipe
from tests.benchmarks.published_books import halves, published, sound
from tests.benchmarks.repairs_benchmark import table

_OUNCE = 28.349523125
_FAULTY = 1 / 3
_ROWS_OF_A_BOOK = 12
_LIKELY = 0.5  # probability from which a suggestion says which number is wrong
_LEAST, _FEWEST = 0.06, 10  # share by which a wrong number is off; grams of an amount that gets one


@dataclass(frozen=True)
class Slip:
    """The recipe and the line of a wrong number, and whether it is the first of the two."""

    recipe: int
    row: int
    first: bool


def written(rng: random.Random, recipe: Recipe, unit: str, *, faulty: bool) -> tuple[list[list[str]], int, bool]:
    """Return the lines of a card, which of them is wrong (-1: none), and whether its first number is."""
    order = list(recipe.amounts)
    place = rng.choice([i for i, a in enumerate(order) if a.grams >= _FEWEST]) if faulty else -1
    first = rng.random() < 0.5
    lines = []
    for number, amount in enumerate(order):
        pair = list(_both(amount, unit))
        if number == place:
            pair[0 if first else 1] = _wrong(rng, pair[0 if first else 1])
        name = "lye" if amount.role == "alkali" else amount.substance
        lines.append([name, f"{pair[0]} ({pair[1]})"])
    if recipe.superfat is not None:
        lines.append(["Superfat", f"{recipe.superfat:g} %"])
    return lines, place, first


def _both(amount: Amount, unit: str) -> tuple[str, str]:
    ounces, grams = f"{amount.grams / _OUNCE:.2f}".rstrip("0").rstrip("."), f"{amount.grams:.0f}"
    return (f"{ounces} oz", f"{grams} g") if unit == "oz" else (f"{grams} g", f"{ounces} oz")


def _wrong(rng: random.Random, text: str) -> str:
    number, _, unit = text.partition(" ")
    while True:
        at = rng.choice([i for i, sign in enumerate(number) if sign.isdigit()])
        changed = number[:at] + rng.choice("123456789") + number[at + 1 :]
        if abs(float(changed) / float(number) - 1) > _LEAST:
            return f"{changed} {unit}"


def books(seed: int) -> Iterator[tuple[list[list[str]], list[Slip], int]]:
    """Yield the lines of each book, its slips, and how many recipes it has."""
    rng = random.Random(f"both units {seed}")  # noqa: S311 - made-up slips
    makers = set(halves()[1])
    pool = [(unit, recipe) for maker, unit, recipe in published() if maker in makers and sound(recipe)]
    rng.shuffle(pool)
    for start in range(0, len(pool), _ROWS_OF_A_BOOK):
        lines: list[list[str]] = []
        slips = []
        some = pool[start : start + _ROWS_OF_A_BOOK]
        for number, (unit, recipe) in enumerate(some, 1):
            lines.append([f"Bar {number}"])
            card, place, first = written(rng, recipe, unit, faulty=rng.random() < _FAULTY)
            if place >= 0:
                slips.append(Slip(number, len(lines) + place + 1, first))
            lines += [*card, []]
        yield lines, slips, len(some)


def said(audit: Audit, slip: Slip) -> str:
    """Return what is said of a wrong number: right, wrong, undecided, or nothing."""
    cell = f"B{slip.row}"
    mine = [f for f in audit.findings if slip.recipe in f.about()]
    told = [f for f in mine if f.rule == "amounts-disagree" and f.cell == cell]
    if not told:
        return "nothing"
    first, second = told[0].written.rstrip(")").split(" (")
    for repair in (r for f in mine for r in f.repairs[:1] if r.probability >= _LIKELY):
        (change, *more) = repair.changes
        if change.cell == cell and not more and f"{change.value:g} {change.unit}" == second:
            return "right" if slip.first else "wrong"
    message = told[0].message.replace(",", "")
    for text, is_wrong in ((first, slip.first), (second, not slip.first)):
        if f"so {text} is probably wrong" in message:
            return "right" if is_wrong else "wrong"
    return "undecided"


def main() -> None:
    """Run the benchmark and print its table."""
    parser = argparse.ArgumentParser(description="Amounts stated in two units, one of them wrong.")
    parser.add_argument("--seeds", type=int, nargs="*", default=[1, 2, 3])
    counts = {first: Counter[str]() for first in (True, False)}
    clean = loud = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in parser.parse_args().seeds:
            for lines, slips, recipes in books(seed):
                place = Path(folder) / "book.csv"
                with place.open("w", newline="", encoding="utf-8") as file:
                    csv.writer(file).writerows(lines)
                audit = sheetcheck.audit(place)
                for slip in slips:
                    counts[slip.first][said(audit, slip)] += 1
                faulty = {slip.recipe for slip in slips}
                flagged = {n for f in audit.findings if f.signal.rank >= Signal.CAUTION.rank for n in f.about()}
                clean += recipes - len(faulty)
                loud += len(flagged - faulty)
    columns = ("right", "undecided", "wrong", "nothing")
    rows = [
        [name, str(counts[first].total()), *(str(counts[first][said_]) for said_ in columns)]
        for first, name in ((True, "the first number"), (False, "the second"))
    ]
    print(table(("wrong is", "amounts", *columns), rows))
    print(f"\nSound recipes: {clean}; at CAUTION or above {100 * loud / clean:.1f} %.")


if __name__ == "__main__":
    main()
