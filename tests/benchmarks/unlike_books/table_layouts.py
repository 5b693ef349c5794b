"""Layouts that are tables: a recipe a row, or a recipe a column."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from tests.benchmarks.unlike_books import fields, tables
from tests.benchmarks.unlike_books.fields import EMPTY, Entry, Field
from tests.benchmarks.unlike_books.layout import Layout, in_ounces, said_in
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Recipe, Sheet, Slot


def _columns(maker: Maker, recipes: Sequence[Recipe], spread: fields.Spread = fields.plain) -> list[Field]:
    before = fields.extras(maker, "code")
    after = fields.extras(maker, "total batch", "date", "bars", "mould", "price", "page", "rating", "note")
    name, ingredients = fields.named(maker), fields.ingredients(maker, recipes, spread)
    return [*before, name, *ingredients, *fields.superfat(maker), *after]


def rows(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """A recipe a row under one heading line."""
    tables.set_out(sheet, maker, _columns(maker, recipes), recipes, top=top)


def two_headings(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """A recipe a row; what kind of thing above, the ingredient below."""
    tables.set_out(sheet, maker, _columns(maker, recipes), recipes, top=top, grouped=True)


def pounds_and_ounces(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """Two columns for each ingredient: pounds, and what is over in ounces."""
    columns = _columns(maker, recipes, fields.pounds_and_ounces)
    tables.set_out(sheet, maker, columns, recipes, top=top, grouped=True)


def per_cent_beside(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """A recipe a row; beside each fat its share."""
    tables.set_out(sheet, maker, _columns(maker, recipes, fields.with_per_cent), recipes, top=top)


def _per_cent_only(maker: Maker, slot: Slot, group: str) -> list[Field]:
    if slot[0] != "fat":
        return fields.plain(maker, slot, group)
    heading, per_cent = maker.words.labels[slot[1]], maker.words.word("per cent")

    def entry(recipe: Recipe) -> Entry:
        at = recipe.index(slot)
        return EMPTY if at is None else (fields.share(recipe, at), (at,))

    return [Field(f"{heading} {per_cent}", group, entry)]


def per_cent_of_batch(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """Fats in per cent with the weight of all fats; lye and liquid weighed."""
    tables.set_out(sheet, maker, _columns(maker, recipes, _per_cent_only), recipes, top=top)


def with_batch_weight(maker: Maker) -> Maker:
    """The same maker, who writes down what all the fats weigh."""
    return replace(maker, extras=[*(extra for extra in maker.extras if extra != "total fats"), "total fats"])


def turned(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """Ingredients down, recipes across."""
    columns = [fields.named(maker), *fields.ingredients(maker, recipes), *fields.superfat(maker)]
    columns += fields.extras(maker, "total batch", "bars", "note")
    tables.set_out(sheet, maker, columns, recipes, top=top, turned=True)


def abreast(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Two or three tables side by side, each with the columns that it needs."""
    parts = rng.choice((2, 3))
    left, maker = 0, replace(maker, sections=False)
    for part in range(parts):
        own = recipes[part * len(recipes) // parts : (part + 1) * len(recipes) // parts]
        columns = [fields.named(maker), *fields.ingredients(maker, own), *fields.superfat(maker)]
        columns += fields.extras(maker, "note")
        tables.set_out(sheet, maker, columns, own, top=top, left=left)
        left += len(columns) + rng.choice((1, 1, 2))


def batch_log(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """What was made when: date and code first."""
    maker = replace(maker, extras=[*maker.extras, "date", "code", "bars"], sections=False)
    columns = [*fields.extras(maker, "date", "code"), fields.named(maker)]
    columns += [*fields.ingredients(maker, recipes), *fields.superfat(maker)]
    columns += fields.extras(maker, "total batch", "bars", "mould", "rating", "note")
    tables.set_out(sheet, maker, columns, recipes, top=top)


def fats_in_a_cell(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """All fats of a recipe in one cell, lye and liquid in columns."""
    joint = rng.choice((", ", "; ", "\n", " + "))

    def entry(recipe: Recipe) -> Entry:
        held = tuple(i for i, amount in enumerate(recipe.amounts) if amount.role == "fat")
        fats = [recipe.amounts[i] for i in held]
        return joint.join(maker.scribe.phrase(maker.words.labels[a.substance], a) for a in fats), held

    columns = [fields.named(maker), Field(maker.words.word("fats"), "", entry), *_without_fats(maker, recipes)]
    tables.set_out(sheet, maker, columns, recipes, top=top)


def _without_fats(maker: Maker, recipes: Sequence[Recipe]) -> list[Field]:
    others = [replace(recipe, amounts=tuple(a for a in recipe.amounts if a.role != "fat")) for recipe in recipes]
    columns = fields.ingredients(maker, others)
    return [*columns, *fields.superfat(maker), *fields.extras(maker, "bars", "note")]


def name_and_amount(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """A recipe a row: a fat's name and its amount in turn, then lye and liquid in columns of their own."""
    most = max(len(recipe.of("fat")) for recipe in recipes)
    columns = [fields.named(maker)]
    for place in range(most):
        columns += _nth_fat(maker, place, rng)
    columns += _without_fats(maker, recipes)
    tables.set_out(sheet, maker, columns, recipes, top=top)


def _nth_fat(maker: Maker, place: int, rng: random.Random) -> list[Field]:
    def at(recipe: Recipe) -> int | None:
        found = [i for i, amount in enumerate(recipe.amounts) if amount.role == "fat"]
        return found[place] if place < len(found) else None

    def name(recipe: Recipe) -> Entry:
        index = at(recipe)
        return EMPTY if index is None else (maker.words.typed(recipe.amounts[index].substance, rng), ())

    def amount(recipe: Recipe) -> Entry:
        index = at(recipe)
        return EMPTY if index is None else (maker.scribe.cell(recipe.amounts[index]), (index,))

    hand, words = maker.scribe, maker.words
    unit = hand.spelt[hand.unit] if hand.place == "heading" else words.word("amount")
    return [Field(f"{words.word('ingredient')} {place + 1}", "", name), Field(unit, "", amount, hand.number_format())]


def strips(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, _rng: random.Random) -> None:
    """Each recipe with a heading line of its own above its amounts."""
    for recipe in recipes:
        columns = [fields.named(maker), *fields.ingredients(maker, [recipe]), *fields.superfat(maker)]
        tables.set_out(sheet, maker, columns, [recipe], top=top)
        top = sheet.bottom + 1


def _headed(maker: Maker) -> Maker:
    return said_in(maker, "heading", "cell", "note", "sheet name", "nowhere")


LAYOUTS = (
    Layout("rows", rows),
    Layout("rows, two heading lines", two_headings),
    Layout("tables abreast", abreast, most=12),
    Layout("ingredients down, recipes across", turned, most=8),
    Layout("pounds and ounces in two columns", pounds_and_ounces, in_ounces),
    Layout("rows, per cent beside", per_cent_beside, _headed),
    Layout(
        "rows, per cent and batch weight", per_cent_of_batch, lambda maker: _headed(with_batch_weight(maker)),
        exact=True, can_slip=("alkali", "liquid"),
    ),
    Layout("batch log", batch_log),
    Layout("fats in one cell", fats_in_a_cell, lambda maker: said_in(maker, "cell", "heading", "note", "nowhere")),
    Layout("name and amount in turn", name_and_amount),
    Layout("a heading line for each recipe", strips, most=8),
)  # fmt: skip
