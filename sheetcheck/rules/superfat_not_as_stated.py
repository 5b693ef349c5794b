"""The superfat that the sheet states is not the one its amounts give.

Why it matters
--------------
One of the two is wrong: the statement, the lye or a fat. If the statement was right once, an amount has changed since.

Example
-------
The sheet says 5 %; the fats and the lye give 13 %. One digit of the lye may be wrong (113 for 131).

What to do
----------
If you changed a fat or the size of the batch, compute the lye anew. If the amounts are right, correct the statement.

Source
------
The amounts' own range comes from the published ranges of the fats; the 1.5 points beyond it are common practice, no
source, and can be set.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands
from sheetcheck.rules.support.wording import mass, percent, span

NEEDS = ("superfat_typical", "stated_superfat")
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find stated superfats more than 1.5 points outside the row's range; WARNING where it is also far too high."""
    worst = evidence.limit("superfat_high_warning")
    return [_off(evidence, recipe, worst) for recipe in evidence.rows(bands(evidence) == Band.NOT_AS_STATED)]


def _off(evidence: Evidence, recipe: RecipeRow, worst: float) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    stated = percent(recipe.stated_superfat)
    if recipe.stated_superfat_other == recipe.stated_superfat_other:
        stated += f" (or {percent(recipe.stated_superfat_other)})"
    wanted = mass(recipe.needed_typical_g * (1 - recipe.stated_superfat / 100), lye.unit or recipe.unit)
    far = recipe.superfat_typical > worst  # then a fat may be wrong, and a lye reckoned from it must not be weighed
    return finding(
        __name__,
        Signal.WARNING if far else Signal.CAUTION,
        lye,
        recipe.Index,
        f"Superfat {stated} is stated; the amounts as written give {percent(recipe.superfat_typical)} "
        f"({span(recipe.superfat_low, recipe.superfat_high)} with the fats' natural variation). "
        f"{lye} holds {lye.holds}.",
        expected="lye and fats that fit each other"
        if far
        else f"about {wanted} for {percent(recipe.stated_superfat)}, if the fats are right",
        look_at=f"the lye ({lye.cell}), {evidence.place(recipe.Index, 'fat')}, and the stated superfat",
    )
