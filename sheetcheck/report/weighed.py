"""Lye as the maker weighs it: of a solution, the solution; the pure lye in it stands beside and is named."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sheetcheck.model import Audit


def alkali_weighed(audit: Audit) -> Mapping[int, float]:
    """Return the grams of lye that each recipe has on its sheet, as they are weighed; NaN where one was not read."""
    c = audit.book.components
    c = c[c["role"] == "alkali"]
    sums = c.groupby("recipe")["grams"].sum(min_count=1)
    unread = c.loc[c["grams"].isna(), "recipe"].unique()
    return {int(str(recipe)): float(grams) for recipe, grams in sums.drop(unread).items()}


def as_weighed(pure_g: float, recipe: Mapping[Any, Any], weighed_g: float) -> float:
    """Return grams of pure alkali, of the recipe's own kind, as grams of what the recipe weighs as lye."""
    pure = float(recipe["alkali_g"])
    return pure_g * weighed_g / pure if recipe["alkali"] != "mixed" and pure > 0 and weighed_g > 0 else pure_g
