"""Layouts that are text: a recipe in one cell, in a sentence, in pasted lines."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from tests.benchmarks.unlike_books import lines
from tests.benchmarks.unlike_books.fields import remark
from tests.benchmarks.unlike_books.layout import Layout, said_in
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Recipe, Sheet


def one_cell(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """A whole recipe in one cell, its name beside it or on its first line."""
    apart = maker.rng("name").random() < 0.6
    joint = "\n" if not apart else maker.rng("joint").choice(("\n", ", ", "; "))
    for recipe in recipes:
        typed = [text for text, _ in lines.text(maker, recipe, rng)]
        if apart:
            sheet.put(top, 0, recipe.name)
        _held(sheet, top, int(apart), joint.join(typed if apart else [recipe.name, *typed]), recipe)
        top += 2 if rng.random() < maker.blank_rows else 1


def _held(sheet: Sheet, row: int, col: int, text: str, recipe: Recipe) -> None:
    """Write a cell that holds all amounts of a recipe."""
    sheet.put(row, col, text)
    sheet.recipes.append(recipe)
    for index in range(len(recipe.amounts)):
        sheet.stands(row, col, recipe, index)


def prose(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """A sentence that tells how much of what, its name before it or beside it."""
    apart = maker.rng("name").random() < 0.5
    for recipe in recipes:
        if apart:
            sheet.put(top, 0, recipe.name)
        text = _told(maker, recipe, rng)
        _held(sheet, top, int(apart), text if apart else f"{recipe.name}: {text}", recipe)
        top += 2 if rng.random() < maker.blank_rows else 1


def _told(maker: Maker, recipe: Recipe, rng: random.Random) -> str:
    hand, words = maker.scribe, maker.words

    def phrases(role: str) -> str:
        of_role = [
            words.typed(a.substance, rng) if a.missing else hand.phrase(words.typed(a.substance, rng), a)
            for a in recipe.of(role)
        ]
        return f" {words.word('and')} ".join(filter(None, (", ".join(of_role[:-1]), *of_role[-1:])))

    told = words.word("prose").format(fats=phrases("fat"), lye=phrases("alkali"), liquids=phrases("liquid"))
    parts = [told]
    if recipe.of("additive"):
        parts.append(phrases("additive") + ".")
    if recipe.superfat is not None and maker.superfat_place == "row":
        parts.append(f"{words.word('superfat').removesuffix(' %')} {maker.superfat_text(recipe.superfat)}.")
    return " ".join([*parts, *filter(None, [remark(maker, recipe)])])


def pasted_lines(sheet: Sheet, maker: Maker, recipes: Sequence[Recipe], top: int, rng: random.Random) -> None:
    """One column of lines as they were pasted in, `olive oil 500 g`."""
    for recipe in recipes:
        sheet.put(top, 0, recipe.name)
        sheet.recipes.append(recipe)
        for row, (text, index) in enumerate(lines.text(maker, recipe, rng), start=top + 1):
            sheet.put(row, 0, text)
            if index is not None:
                sheet.stands(row, 0, recipe, index)
        top = sheet.bottom + 1


def _in_words(maker: Maker) -> Maker:
    """Prose names its units, and says whole numbers of ounces and eighths, or decimals."""
    hand = replace(maker.scribe, phrase_form=maker.rng("prose").choice(("{amount} {label}", "{label} {amount}")))
    return said_in(replace(maker, scribe=hand), "cell")


def _typed(maker: Maker) -> Maker:
    return said_in(maker, "cell", "note", "nowhere")


LAYOUTS = (
    Layout("recipe in one cell", one_cell, _typed, most=10),
    Layout("prose", prose, _in_words, most=8),
    Layout("pasted lines", pasted_lines, _typed, most=10),
)
