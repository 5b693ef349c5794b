"""Sheets of a book that hold no soap: prices, stock, sales, salves, candles, a diary; and the key to short forms."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from tests.benchmarks.unlike_books import data
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Sheet

Rows = list[list[object]]


def _bought(maker: Maker) -> list[str]:
    return [maker.words.labels[substance] for substance in (*maker.fats, "sodium hydroxide", *maker.additives)]


def prices(maker: Maker, rng: random.Random) -> Rows:
    """What a kilogram of everything costs."""
    heading: list[object] = [maker.words.word("ingredient"), maker.words.word("price")]
    return [heading, *([name, round(rng.uniform(2, 30), 2)] for name in _bought(maker))]


def stock(maker: Maker, rng: random.Random) -> Rows:
    """What is in the cupboard."""
    heading: list[object] = [maker.words.word("ingredient"), f"{maker.words.word('stock')} kg"]
    return [heading, *([name, round(rng.uniform(0, 20), 1)] for name in _bought(maker))]


def sales(maker: Maker, rng: random.Random) -> Rows:
    """What was sold on which day."""
    heading: list[object] = [maker.words.word(concept) for concept in ("date", "bars", "price")]
    days = (
        [f"{rng.randint(1, 28)}.{rng.randint(1, 12)}.2023", rng.randint(3, 60), rng.randint(20, 300)] for _ in range(6)
    )
    return [heading, *days]


def salves(maker: Maker, rng: random.Random) -> Rows:
    """Salves of the same fats, without lye; the block says what it is."""
    names = data.full_names(maker.words.language)
    waxed = ["beeswax", *rng.sample(list(maker.fats), 2)]
    heading: list[object] = [maker.words.word("recipe"), *(names[s].replace(data.JOINT, "") for s in waxed)]
    rows: Rows = [[maker.words.word("salves")], heading]
    for number in range(1, 4):
        rows.append([f"{maker.words.word('salves')} {number}", *(5 * rng.randint(2, 30) for _ in waxed)])
    return rows


def candles(maker: Maker, rng: random.Random) -> Rows:
    """Candles of wax and tallow."""
    names = data.full_names(maker.words.language)
    rows: Rows = [[maker.words.word("candles")]]
    rows += [[names[s].replace(data.JOINT, ""), 10 * rng.randint(10, 60)] for s in ("beeswax", "tallow")]
    return rows


def diary(maker: Maker, rng: random.Random) -> Rows:
    """What happened when."""
    chatter = data.words(maker.words.language)["chatter"]
    return [[f"{rng.randint(1, 28)}.{rng.randint(1, 12)}.2022", rng.choice(chatter)] for _ in range(7)]


OTHERS: dict[str, Callable[[Maker, random.Random], Rows]] = {
    "prices": prices, "stock": stock, "sales": sales, "salves": salves, "candles": candles, "diary": diary,
}  # fmt: skip


def key(maker: Maker) -> Rows:
    """Short forms with what they stand for."""
    return [[maker.words.word("key")], *([short, full] for short, full in maker.words.key)]


def written(name: str, kind: str, rows: Sequence[Sequence[object]]) -> Sheet:
    """A sheet that holds these rows and no recipe."""
    sheet = Sheet(name, kind)
    for row, cells in enumerate(rows):
        for col, value in enumerate(cells):
            sheet.put(row, col, value)
    return sheet
