"""What is true of a made book: grams as written, what each recipe should get, where the fault is."""

from __future__ import annotations

from typing import Any

from tests.benchmarks.unlike_books.model import Made, Recipe, Sheet

KEYS = (("fat_g", "fat"), ("alkali_g", "alkali"), ("liquid_g", "liquid"))


def of_book(made: Made, file_name: str) -> dict[str, Any]:
    """The truth in the form that the report is compared with; `layout` and `cells` are there besides."""
    return {
        "book": file_name,
        "author": made.author,
        "traits": made.traits,
        "sheets": {sheet.name: sheet.layout for sheet in made.sheets},
        "recipes": [_of_recipe(sheet, recipe) for sheet, recipe in made.recipes()],
    }


def _of_recipe(sheet: Sheet, recipe: Recipe) -> dict[str, Any]:
    known = {key: recipe.grams(role) for key, role in KEYS if (recipe.number, role) not in sheet.unmeasured}
    expect = "flagged" if recipe.slip else "fine"
    if any(amount.missing for amount in recipe.amounts):
        expect = "unjudgeable"
    return {
        "name": recipe.name,
        "sheet": sheet.name,
        "layout": sheet.layout,
        **{key: None if known.get(key) is None else round(known[key], 4) for key, _ in KEYS},
        "expect": expect,
        "at_least": "DANGER" if recipe.danger else "CAUTION",
        "why": f"{recipe.slip}: {recipe.material}" if recipe.slip else "",
        "faults": _faults(sheet, recipe),
        "cells": {
            cell: amount.substance
            for index, amount in enumerate(recipe.amounts)
            for cell in sheet.places.get((recipe.number, index), ())
        },
    }


def _faults(sheet: Sheet, recipe: Recipe) -> list[dict[str, Any]]:
    """One fault for a recipe: all the cells that are wrong, and what the first of them should say."""
    wrong = [index for index, amount in enumerate(recipe.amounts) if amount.right is not None]
    if not wrong:
        return []
    first = min(wrong, key=lambda index: recipe.amounts[index].role != "alkali")
    value, unit = recipe.amounts[first].right or (0.0, "g")
    cells = [cell for index in wrong for cell in sheet.places[recipe.number, index]]
    return [{"cells": cells, "right": {"value": value, "unit": unit}}]
