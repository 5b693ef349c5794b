"""The batch is far larger than this book's usual ones.

Why it matters
--------------
A large batch gives off its heat more slowly: it may boil over in the pot or crack in the mould. Lye and water in such
amounts also need a vessel with room to spare.

Example
-------
A book of 3 lb batches, and one of 12 lb. Or one of 60 lb: that may be grams under a note that says ounces.

What to do
----------
Nothing, if it is meant. Use a vessel at most half full for the lye, keep the batch cool, and stay with it.

Source
------
Common practice, no source; how much larger counts stands in the table of limits.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.balance import balances
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.habit import habit
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import joined, mass, plain
from sheetcheck.words import later, tr, tr_count

TITLE = later("A large batch")
NEEDS = ("batch_g", "superfat_typical")

_SAID_BESIDE = ("cell text", "number format", "unit column", "heading")


def check(evidence: Evidence) -> list[Finding]:
    """Find sound recipes several times as large as the median of the book, and those unlike all the others."""
    batch = evidence.recipes["batch_g"].where(balances(evidence))
    unlike, others = _unlike_the_others(batch, evidence.limit("batch_unlike_factor"))
    found = [_unlike(evidence, group, others) for group in _together(evidence, unlike)]
    usual = habit(batch, evidence)
    if usual is None:
        return found
    least = max(evidence.limit("batch_large_least"), evidence.limit("batch_large_factor") * usual.median)
    return found + [_large(evidence, recipe, usual.median) for recipe in evidence.rows((batch > least) & ~unlike)]


def _unlike_the_others(batch: pd.Series[float], factor: float) -> tuple[pd.Series[bool], float]:
    """Tell which batches lie beyond a gap in the sizes of the book, the fewer side of it, and the nearest other size.

    Ounces taken for grams make a gap of 28; no workshop goes from one kettle to another in one such step.
    """
    sizes = np.sort(batch.dropna().to_numpy())
    steps = sizes[1:] / sizes[:-1]
    if not (steps >= factor).any():
        return batch < 0, 0.0
    gap = int(steps.argmax())
    if gap + 1 >= len(sizes) - gap - 1:
        return batch > sizes[gap], float(sizes[gap])
    return batch <= sizes[gap], float(sizes[gap + 1])


def _together(evidence: Evidence, unlike: pd.Series[bool]) -> Iterator[pd.DataFrame]:
    """Part recipes by sheet, by section, and by whether each of their amounts says its own unit."""
    recipes = evidence.recipes[unlike]
    lines = evidence.components
    own = lines["unit_from"].astype(object).isin(_SAID_BESIDE)
    said = own.groupby(lines["recipe"]).all().reindex(recipes.index, fill_value=True)
    for _, group in recipes.assign(unit_said=said).groupby(["sheet", "section", "unit_said"], sort=False):
        yield group


def _unlike(evidence: Evidence, group: pd.DataFrame, others: float) -> Finding:
    """Say so of recipes whose batches are as large as no other: in doubt where the unit does not stand beside them."""
    first, said = group.iloc[0], bool(group["unit_said"].iloc[0])
    large = float(first["batch_g"]) > others
    message = tr_count(
        "A batch of {batch}; the nearest of the others is {other}.",
        "{count} batches, the first of {batch}; the nearest of the others is {other}.",
        len(group),
        batch=mass(float(first["batch_g"]), first["unit"]),
        other=mass(others, first["unit"]),
    )
    doubt = tr("Their unit does not stand beside the amounts: is it meant for them?")
    return finding(
        __name__,
        Signal.CAUTION if large and not said else Signal.NOTICE,
        evidence.anchor(int(group.index[0])),
        list(group.index) if len(group) > 1 else int(group.index[0]),
        message if said else joined(message, doubt),
        look_at=tr("whether the amounts are in the unit that is meant"),
    )


def _large(evidence: Evidence, recipe: RecipeRow, usual: float) -> Finding:
    return finding(
        __name__,
        Signal.NOTICE,
        evidence.anchor(recipe.Index),
        recipe.Index,
        tr(
            "A batch of {batch}, {times} times this book's usual {usual}: its heat escapes more slowly.",
            batch=mass(recipe.batch_g, recipe.unit),
            times=plain(recipe.batch_g / usual, 1),
            usual=mass(usual, recipe.unit),
        ),
        look_at=tr("whether the amounts are in the unit that is meant"),
    )
