"""The batch is far larger than this book's usual ones.

Why it matters
--------------
A large batch gives off its heat more slowly: it may boil over in the pot or crack in the mould. Lye and water in such
amounts also need a vessel with room to spare.

Example
-------
A book of 3 lb batches, and one of 12 lb.

What to do
----------
Nothing, if it is meant. Use a vessel at most half full for the lye, keep the batch cool, and stay with it.

Source
------
Common practice, no source; how much larger counts stands in the table of limits.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.balance import balances
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.habit import habit
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import mass, plain
from sheetcheck.words import later, tr

TITLE = later("A large batch")
NEEDS = ("batch_g", "superfat_typical")


def check(evidence: Evidence) -> list[Finding]:
    """Find sound recipes several times as large as the median of the book."""
    batch = evidence.recipes["batch_g"].where(balances(evidence))
    usual = habit(batch, evidence)
    if usual is None:
        return []
    least = max(evidence.limit("batch_large_least"), evidence.limit("batch_large_factor") * usual.median)
    return [_large(evidence, recipe, usual.median) for recipe in evidence.rows(batch > least)]


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
