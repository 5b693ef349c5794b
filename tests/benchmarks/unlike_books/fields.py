"""Columns of a table of recipes, each in one piece: a table is a list of them (its lines, where it is turned)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Amount, Recipe, Slot
from tests.benchmarks.unlike_books.slips import beside

Entry = tuple[object, tuple[int, ...]]  # what stands in the cell, and which amounts of the recipe it holds
EMPTY: Entry = (None, ())
GROUPS = {"fat": "fats", "alkali": "lye mix", "liquid": "lye mix", "additive": "additions"}


@dataclass(frozen=True)
class Field:
    """One column."""

    heading: str
    group: str  # what stands above it in a table of two heading lines
    entry: Callable[[Recipe], Entry]
    shown: str | None = None  # number format
    sums: bool = False  # the total of the fats


def plain(maker: Maker, slot: Slot, group: str) -> list[Field]:
    """An ingredient in a column."""

    def entry(recipe: Recipe) -> Entry:
        at = recipe.index(slot)
        if at is None:
            return maker.absent, ()
        amount = recipe.amounts[at]
        return (None if amount.missing else maker.scribe.cell(amount)), (at,)

    label = maker.words.labels[slot[1]]
    return [Field(maker.scribe.heading(label), group, entry, maker.scribe.number_format())]


def pounds_and_ounces(maker: Maker, slot: Slot, _group: str) -> list[Field]:
    """An ingredient in two columns, whole pounds and what is over in ounces."""

    def part(number: int) -> Callable[[Recipe], Entry]:
        def entry(recipe: Recipe) -> Entry:
            at = recipe.index(slot)
            if at is None or recipe.amounts[at].missing:
                return EMPTY
            return divided(recipe.amounts[at].value)[number], (at,)

        return entry

    label, spelt = maker.words.labels[slot[1]], maker.scribe.spelt
    return [Field(spelt["lb"], label, part(0)), Field(spelt["oz"], label, part(1))]


def divided(ounces: float) -> tuple[int, float]:
    """Ounces as whole pounds and ounces."""
    pounds = int(ounces // 16)
    over = round(ounces - 16 * pounds, 3)
    return pounds, int(over) if over == int(over) else over


def with_per_cent(maker: Maker, slot: Slot, group: str) -> list[Field]:
    """An ingredient's weight, and for a fat its share beside it."""
    if slot[0] != "fat":
        return plain(maker, slot, group)
    label, per_cent = maker.words.labels[slot[1]], maker.words.word("per cent")

    def entry(recipe: Recipe) -> Entry:
        at = recipe.index(slot)
        return EMPTY if at is None else (share(recipe, at), ())

    return [*plain(maker, slot, group), Field(f"{label} {per_cent}", group, entry)]


def share(recipe: Recipe, at: int) -> float:
    """Share of a fat in all fats [%], as meant, to a tenth."""
    fats = sum(beside(recipe, amount).grams for amount in recipe.of("fat"))
    value = round(100 * beside(recipe, recipe.amounts[at]).grams / fats, 1)
    return int(value) if value == int(value) else value


Spread = Callable[[Maker, Slot, str], list[Field]]


def ingredients(maker: Maker, recipes: Iterable[Recipe], spread: Spread = plain) -> list[Field]:
    """All ingredients that any of the recipes has, in this maker's order."""
    used = {amount.slot for recipe in recipes for amount in recipe.amounts}
    order = [("fat", s) for s in maker.fats], [("alkali", "sodium hydroxide")], [("liquid", s) for s in maker.liquids]
    fats, lye, liquids = ([slot for slot in part if slot in used] for part in order)
    mix = [*lye, *liquids] if maker.rng("order").random() < 0.6 else [*liquids, *lye]
    additives = [("additive", s) for s in maker.additives if ("additive", s) in used]
    fields: list[Field] = []
    for slot in [*mix, *fats, *additives] if maker.lye_first else [*fats, *mix, *additives]:
        fields += spread(maker, slot, maker.words.word(GROUPS[slot[0]]))
        if "total fats" in maker.extras and fats and slot == fats[-1]:
            fields.append(total_of_fats(maker))
    return fields


def total_of_fats(maker: Maker) -> Field:
    """The sum of the fats."""
    return _total(maker, "total fats", maker.words.word("fats"), ("fat",))


def _total(maker: Maker, concept: str, group: str, roles: Sequence[str]) -> Field:
    hand = maker.scribe

    def entry(recipe: Recipe) -> Entry:
        value = total(recipe, roles)
        return (None if value is None else hand.cell(Amount("total", concept, value, hand.unit))), ()

    return Field(hand.heading(maker.words.word(concept)), group, entry, hand.number_format(), sums=roles == ("fat",))


def total(recipe: Recipe, roles: Sequence[str]) -> float | None:
    """Sum of the amounts of some roles in the maker's unit, as she reckoned it: without a slip of typing."""
    amounts = [beside(recipe, amount) for amount in recipe.amounts if amount.role in roles]
    if any(amount.missing for amount in amounts):
        return None
    value = round(sum(amount.value for amount in amounts), 3)
    return int(value) if value == int(value) else value


def named(maker: Maker) -> Field:
    """The recipe's name."""
    return Field(maker.words.word("recipe"), "", lambda recipe: (recipe.name, ()))


def superfat(maker: Maker) -> list[Field]:
    """The superfat, for a maker who states it with each recipe."""
    if maker.superfat_place != "row":
        return []
    text = maker.rng("superfat").random() < 0.4

    def entry(recipe: Recipe) -> Entry:
        if recipe.superfat is None:
            return EMPTY
        return (maker.superfat_text(recipe.superfat) if text else recipe.superfat), ()

    return [Field(maker.words.word("superfat"), "", entry)]


def extras(maker: Maker, *wanted: str) -> list[Field]:
    """What else is noted of each recipe: those of `wanted` that this maker keeps."""
    fields = []
    for extra in wanted:
        if extra == "note":
            if extra in maker.extras or maker.superfat_place == "remark":
                fields.append(Field(maker.words.word(extra), "", lambda recipe: (remark(maker, recipe), ())))
        elif extra in maker.extras and extra == "total batch":
            fields.append(_total(maker, extra, "", ("fat", "alkali", "liquid", "additive")))
        elif extra in maker.extras:
            fields.append(Field(maker.words.word(extra), "", _extra(extra)))
    return fields


def _extra(name: str) -> Callable[[Recipe], Entry]:
    return lambda recipe: (recipe.extras.get(name), ())


def remark(maker: Maker, recipe: Recipe) -> str:
    """A recipe's note, with its superfat for a maker who mentions it there."""
    stated = recipe.superfat is not None and maker.superfat_place == "remark"
    word = maker.words.word("superfat").removesuffix(" %")
    said = f"{word} {maker.superfat_text(recipe.superfat or 0)}" if stated else ""
    return ", ".join(part for part in (said, recipe.note) if part)
