"""What a layout is: one way to set recipes out on a sheet."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Recipe, Sheet

Write = Callable[[Sheet, Maker, Sequence[Recipe], int, random.Random], None]  # the number: the first free row
WEIGHED = ("fat", "alkali", "liquid")


@dataclass(frozen=True)
class Layout:
    """One way to set recipes out, and what it asks of whoever keeps them so."""

    name: str
    write: Write
    adapt: Callable[[Maker], Maker] = lambda maker: maker
    exact: bool = False  # fats are per cents of the batch, not weighed amounts
    can_slip: Sequence[str] = WEIGHED  # roles whose amounts can be mistyped
    doubled: bool = False  # each amount stands twice, in two units
    per_sheet: int | None = None  # recipes on one sheet; None: all of them
    most: int = 14  # recipes that anybody keeps so


def said_in(maker: Maker, *allowed: str) -> Maker:
    """The same maker, with the unit said in one of these places: the first, unless hers is among them."""
    hand = maker.scribe
    return maker if hand.place in allowed else replace(maker, scribe=replace(hand, place=allowed[0]))


def in_ounces(maker: Maker) -> Maker:
    """The same maker with a scale in ounces, its units in the headings."""
    hand = replace(maker.scribe, unit="oz", place="heading", fractions=False)
    if maker.scribe.unit != "oz":
        hand = replace(hand, steps={"fat": 0.1, "alkali": 0.1, "liquid": 0.1, "additive": 0.1})
    return replace(maker, scribe=hand, sizes=[size if size < 100 else size / 25 for size in maker.sizes])
