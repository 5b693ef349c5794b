"""The recipe departs from this book's own habit.

Why it matters
--------------
A maker tends to one superfat and one strength of lye. A recipe far from them may be meant so, or an amount in it may
be wrong by so little that it still looks like a recipe: one digit, a fat exchanged, a liquid left from another batch.

Example
-------
Forty recipes with 5 to 7 % superfat, and one with 13 %: its lye reads 113 and was 131.

What to do
----------
Compare the lye, the fats and the liquid with what you had in mind. Meant so? State the superfat on the sheet, and the
recipe is judged by that.

Source
------
Median and median absolute deviation (Rousseeuw & Croux 1993). How far is far (limits of the table): common practice,
no source. Only books with eight or more sound recipes have a habit; a stated superfat counts before the habit.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.concentration import own_concentration
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.habit import habit
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, expected_superfat
from sheetcheck.rules.support.wording import mass, percent

NEEDS = ("superfat_typical", "lye_concentration")
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find superfats (CAUTION outside 2 to 12 %, else NOTICE) and lye concentrations (NOTICE) far from the habit."""
    return [*_superfat(evidence), *_concentration(evidence)]


def _superfat(evidence: Evidence) -> list[Finding]:
    low, high = evidence.limit("superfat_notice_below"), evidence.limit("outlier_superfat_caution_above")
    expected = expected_superfat(evidence)
    return [
        _odd_superfat(
            evidence,
            recipe,
            Signal.NOTICE if low <= recipe.superfat_typical <= high else Signal.CAUTION,
            float(expected[recipe.Index]),
        )
        for recipe in evidence.rows(bands(evidence) == Band.UNUSUAL)
    ]


def _odd_superfat(evidence: Evidence, recipe: RecipeRow, signal: Signal, usual: float) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    wanted = mass(recipe.needed_typical_g * (1 - usual / 100), lye.unit or recipe.unit)
    whose = "the sheet states" if recipe.stated_superfat == usual else "this book's recipes have about"
    return finding(
        __name__,
        signal,
        lye,
        recipe.Index,
        f"Superfat {percent(recipe.superfat_typical)}; {whose} {percent(usual)}. {lye} holds {lye.holds}.",
        expected=f"about {wanted}, if the fats are right and no other superfat is meant",
        look_at=f"the lye ({lye.cell}), then {evidence.place(recipe.Index, 'fat')} and the other fats",
    )


def _concentration(evidence: Evidence) -> list[Finding]:
    own = own_concentration(evidence)
    own = own[own.between(evidence.limit("lye_weak_notice"), evidence.limit("lye_strong_caution"))].reindex(own.index)
    usual = habit(own, evidence)
    if usual is None:
        return []
    far = usual.far(own, evidence.limit("outlier_lye_concentration_floor"))
    return [_odd_concentration(evidence, recipe, usual.median) for recipe in evidence.rows(far)]


def _odd_concentration(evidence: Evidence, recipe: RecipeRow, usual: float) -> Finding:
    liquid = evidence.place(recipe.Index, "liquid")
    return finding(
        __name__,
        Signal.NOTICE,
        liquid,
        recipe.Index,
        f"Lye concentration {percent(recipe.lye_concentration)}; this book's recipes have about {percent(usual)}. "
        f"{liquid} holds {liquid.holds}.",
        look_at=f"the liquid ({liquid.cell})",
    )
