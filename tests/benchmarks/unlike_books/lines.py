"""A recipe line by line: label and amount, and what stands beside them."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from tests.benchmarks.unlike_books.fields import divided, remark, share, total
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Amount, Recipe, Sheet
from tests.benchmarks.unlike_books.scribe import OTHER, other_unit
from tests.benchmarks.unlike_books.slips import beside

ROLES = ("fat", "alkali", "liquid", "additive")
HEADS = {"fat": "fats", "alkali": "lye mix", "additive": "additions"}


@dataclass(frozen=True)
class Line:
    """One line of a recipe."""

    label: str
    index: int | None = None  # which amount of the recipe
    value: object = None  # what stands beside the label where it is no amount
    head: bool = False


def of(maker: Maker, recipe: Recipe, rng: random.Random) -> list[Line]:
    """The lines of a recipe in this maker's order."""
    mix = ("alkali", "liquid") if maker.rng("order").random() < 0.6 else ("liquid", "alkali")
    order = (*mix, "fat", "additive") if maker.lye_first else ("fat", *mix, "additive")
    lines: list[Line] = []
    headed: set[str] = set()
    for role in order:
        indices = [i for i, amount in enumerate(recipe.amounts) if amount.role == role]
        head = HEADS["alkali"] if role in mix else HEADS.get(role)
        if maker.heads and indices and head and head not in headed:
            headed.add(head)
            lines.append(Line(maker.words.word(head), head=True))
        lines += [Line(maker.words.typed(recipe.amounts[i].substance, rng), i) for i in indices]
        if role == "fat" and "total fats" in maker.extras:
            lines.append(Line(maker.words.word("total fats"), value=_sum(maker, recipe)))
    if recipe.superfat is not None and maker.superfat_place == "row":
        lines.append(Line(maker.words.word("superfat"), value=maker.superfat_text(recipe.superfat)))
    if said := remark(maker, recipe):
        lines.append(Line(maker.words.word("note"), value=said))
    return lines


def _sum(maker: Maker, recipe: Recipe) -> object:
    value = total(recipe, ("fat",))
    return None if value is None else maker.scribe.cell(Amount("total", "fats", value, maker.scribe.unit))


def cells(maker: Maker, recipe: Recipe, line: Line, columns: Sequence[str]) -> list[tuple[object, bool]]:
    """What stands in each column of a line, and whether it is the amount (or a part of it)."""
    amount = None if line.index is None else recipe.amounts[line.index]
    return [_cell(maker, recipe, line, amount, column) for column in columns]


def _cell(maker: Maker, recipe: Recipe, line: Line, amount: Amount | None, column: str) -> tuple[object, bool]:  # noqa: PLR0911 - one answer a column
    hand = maker.scribe
    if column == "label":
        return line.label, False
    if amount is None:
        return (line.value if column in {"amount", "ounces over"} else None), False
    if amount.missing:
        return None, column in {"amount", "ounces over"}
    if column == "amount":
        return hand.cell(amount), True
    if column == "unit":
        return hand.spelt[amount.unit], False
    if column == "per cent":
        return (share(recipe, line.index or 0) if amount.role == "fat" else None), False
    if column in {"pounds", "ounces over"}:
        return divided(amount.value)[column != "pounds"], True
    shown = beside(recipe, amount)  # the other unit
    return other_unit(shown, OTHER[hand.unit]), False


def headings(maker: Maker, columns: Sequence[str]) -> list[str]:
    """Headings of the columns of lines."""
    hand, words = maker.scribe, maker.words
    named = {
        "label": words.word("ingredient"),
        "amount": hand.spelt[hand.unit] if hand.place == "heading" else words.word("amount"),
        "unit": words.word("unit"),
        "per cent": words.word("per cent"),
        "pounds": hand.spelt["lb"],
        "ounces over": hand.spelt["oz"],
        "other unit": hand.spelt[OTHER[hand.unit]],
    }
    return [named[column] for column in columns]


def write(
    sheet: Sheet,
    maker: Maker,
    recipe: Recipe,
    *,
    top: int,
    left: int,
    columns: Sequence[str],
    rng: random.Random,
) -> int:
    """Write the lines of a recipe from a cell down; return how many there are."""
    lines = of(maker, recipe, rng)
    shown = maker.scribe.number_format()
    for row, line in enumerate(lines, start=top):
        for col, (value, is_amount) in enumerate(cells(maker, recipe, line, columns), start=left):
            if is_amount and line.index is not None:
                sheet.put_amount(row, col, value, recipe, line.index)
                if shown and isinstance(value, int | float):
                    sheet.formats[row, col] = shown
            else:
                sheet.put(row, col, value)
    return len(lines)


def text(maker: Maker, recipe: Recipe, rng: random.Random) -> list[tuple[str, int | None]]:
    """The lines as typed text, `olive oil 500 g`, each with the amount that it holds."""
    typed: list[tuple[str, int | None]] = []
    for line in of(maker, recipe, rng):
        if line.index is None:
            said = line.label if line.head else f"{line.label}: {line.value}"
            typed.append((said + ":" if line.head else said, None))
        elif recipe.amounts[line.index].missing:
            typed.append((line.label, line.index))
        else:
            typed.append((maker.scribe.phrase(line.label, recipe.amounts[line.index]), line.index))
    return typed
