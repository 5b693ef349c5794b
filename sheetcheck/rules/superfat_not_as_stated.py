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
from sheetcheck.rules.support.lye_said import lye_said
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands
from sheetcheck.rules.support.wording import joined, mass, percent, span
from sheetcheck.words import later, tr

TITLE = later("Superfat differs from what you wrote")
NEEDS = ("superfat_typical", "stated_superfat")
REPAIRABLE = True

_MUCH = 34.0  # percent superfat from which it is said in plain words


def check(evidence: Evidence) -> list[Finding]:
    """Find stated superfats more than 1.5 points outside the row's range; WARNING where it is also far too high."""
    worst = evidence.limit("superfat_high_warning")
    return [_off(evidence, recipe, worst) for recipe in evidence.rows(bands(evidence) == Band.NOT_AS_STATED)]


def _off(evidence: Evidence, recipe: RecipeRow, worst: float) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    stated = percent(recipe.stated_superfat)
    if recipe.stated_superfat_other == recipe.stated_superfat_other:
        stated = tr("{one} (or {other})", one=stated, other=percent(recipe.stated_superfat_other))
    far = recipe.superfat_typical > worst  # then a fat may be wrong, and a lye reckoned from it must not be weighed
    return finding(
        __name__,
        Signal.WARNING if far else Signal.CAUTION,
        lye,
        recipe.Index,
        joined(
            tr(
                "You wrote superfat {stated}; these amounts give {superfat} ({range} as fats vary).",
                stated=stated,
                superfat=percent(recipe.superfat_typical),
                range=span(recipe.superfat_low, recipe.superfat_high),
            ),
            tr("More than a third of the fat would stay fat.") if recipe.superfat_typical > _MUCH else "",
            tr("{lye}.", lye=lye_said(evidence, recipe.Index, lye)),
        ),
        expected=tr("lye and fats that fit each other") if far else _wanted(recipe, lye.unit or recipe.unit, lye.cell),
        look_at=tr(
            "the lye ({cell}), {fat}, and the stated superfat",
            cell=lye.cell,
            fat=evidence.place(recipe.Index, "fat"),
        ),
    )


def _wanted(recipe: RecipeRow, unit: str | None, cell: str) -> str:
    return tr(
        "lye ({cell}): about {amount} for {superfat}",
        cell=cell,
        amount=mass(recipe.needed_typical_g * (1 - recipe.stated_superfat / 100), unit),
        superfat=percent(recipe.stated_superfat),
    )
