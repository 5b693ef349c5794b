"""Layouts that are lists of lines: cards, lists, sheets of a recipe each."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from tests.benchmarks.unlike_books import fields, lines
from tests.benchmarks.unlike_books.layout import Layout, said_in
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Amount, Recipe, Sheet
from tests.benchmarks.unlike_books.table_layouts import with_batch_weight

Columns = Sequence[str]


def _usual(maker: Maker) -> Columns:
    """Label and amount in this maker's order, the unit in a column of its own where she says it in headings."""
    rng = maker.rng("columns")
    if maker.scribe.place == "heading" and rng.random() < 0.5:
        return rng.choice((("label", "amount", "unit"), ("amount", "unit", "label")))
    return ("label", "amount") if rng.random() < 0.75 else ("amount", "label")


def _card(
    sheet: Sheet, maker: Maker, recipe: Recipe, *, top: int, left: int, columns: Columns, rng: random.Random
) -> int:
    """Write a card; return how many rows it takes."""
    sheet.put(top, left, recipe.name)
    sheet.recipes.append(recipe)
    row = top + 1
    doubled = {"per cent", "other unit", "ounces over"} & set(columns)
    if doubled or (maker.scribe.place == "heading" and "unit" not in columns) or maker.rng("card").random() < 0.3:
        for col, heading in enumerate(lines.headings(maker, columns), start=left):
            sheet.put(row, col, heading)
        row += 1
    return row - top + lines.write(sheet, maker, recipe, top=row, left=left, columns=columns, rng=rng)


def _down(
    sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random, columns: Columns
) -> None:
    gap = maker.rng("gap").choice((1, 1, 2, 3))
    for recipe in recipes:
        top += gap + _card(sheet, maker, recipe, top=top, left=0, columns=columns, rng=rng)


def cards_down(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Cards one below the other."""
    _down(sheet, maker, recipes, top, rng, _usual(maker))


def cards_across(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Cards two or three abreast."""
    columns, abreast = _usual(maker), maker.rng("abreast").choice((2, 3))
    for first in range(0, len(recipes), abreast):
        heights = [
            _card(sheet, maker, recipe, top=top, left=place * (len(columns) + 1), columns=columns, rng=rng)
            for place, recipe in enumerate(recipes[first : first + abreast])
        ]
        top += max(heights) + 1


def two_units(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Cards with each amount in grams and in ounces."""
    _down(sheet, maker, recipes, top, rng, ("label", "amount", "other unit"))


def cards_with_shares(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Cards with the share of each fat beside its amount."""
    columns = (
        ("label", "amount", "per cent") if maker.rng("columns").random() < 0.6 else ("label", "per cent", "amount")
    )
    _down(sheet, maker, recipes, top, rng, columns)


def shares_of_a_batch(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """Cards of one column of figures: the weight of all fats, their shares, lye and liquid weighed."""
    hand = replace(maker.scribe, place="cell")
    apart = replace(maker, scribe=hand, extras=[extra for extra in maker.extras if extra != "total fats"], heads=False)
    for recipe in recipes:
        sheet.put(top, 0, recipe.name)
        sheet.recipes.append(recipe)
        sheet.put(top + 1, 0, maker.words.word("total fats"))
        sheet.put(top + 1, 1, hand.with_unit(Amount("total", "fats", fields.total(recipe, ("fat",)) or 0, hand.unit)))
        top += 2
        for line in lines.of(apart, recipe, rng):
            sheet.put(top, 0, line.label)
            if line.index is None:
                sheet.put(top, 1, line.value)
            else:
                amount = recipe.amounts[line.index]
                share = f"{hand.number(fields.share(recipe, line.index))} %" if amount.role == "fat" else None
                value = share or (None if amount.missing else hand.cell(amount))
                sheet.put_amount(top, 1, value, recipe, line.index)
            top += 1
        top += 1


def _list(
    sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random, *, repeated: bool
) -> None:
    columns = _usual(maker)
    for col, heading in enumerate([maker.words.word("recipe"), *lines.headings(maker, columns)]):
        sheet.put(top, col, heading)
    top += 1
    maker = replace(maker, heads=False)
    for recipe in recipes:
        height = lines.write(sheet, maker, recipe, top=top, left=1, columns=columns, rng=rng)
        for row in range(top, top + height if repeated else top + 1):
            sheet.put(row, 0, recipe.name)
        if not repeated:
            sheet.merge(top, 0, top + height - 1, 0)
        sheet.recipes.append(recipe)
        top += height + (1 if rng.random() < maker.blank_rows else 0)


def merged_list(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """One long list; the recipe's name in a merged cell beside its ingredients."""
    _list(sheet, maker, recipes, top, rng, repeated=False)


def repeated_list(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """One long list; the recipe's name on every line."""
    _list(sheet, maker, recipes, top, rng, repeated=True)


def one_to_a_sheet(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """A sheet for each recipe."""
    for recipe in recipes:
        _card(sheet, maker, recipe, top=top, left=0, columns=_usual(maker), rng=rng)


def _headed(maker: Maker) -> Maker:
    return said_in(maker, "heading", "cell", "note", "nowhere")


LAYOUTS = (
    Layout("cards down", cards_down),
    Layout("cards across", cards_across),
    Layout("list, names merged", merged_list),
    Layout("list, names repeated", repeated_list),
    Layout(
        "sheet for each recipe", one_to_a_sheet, lambda maker: said_in(maker, "cell", "heading"), per_sheet=1, most=8
    ),
    Layout("grams beside ounces", two_units, lambda maker: said_in(maker, "heading"), doubled=True),
    Layout("cards, per cent beside", cards_with_shares, _headed),
    Layout(
        "cards, per cent and batch weight", shares_of_a_batch, lambda maker: said_in(with_batch_weight(maker), "cell"),
        exact=True, can_slip=("alkali", "liquid"),
    ),
)  # fmt: skip
