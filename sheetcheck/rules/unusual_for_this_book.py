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
from sheetcheck.words import later, tr

TITLE = later("Unlike your other recipes")
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
    said = _AS_STATED if recipe.stated_superfat == usual else _AS_USUAL
    return finding(
        __name__,
        signal,
        lye,
        recipe.Index,
        tr(said, superfat=percent(recipe.superfat_typical), usual=percent(usual), place=lye, amount=lye.holds),
        expected=tr("about {amount}, if the fats are right and no other superfat is meant", amount=wanted),
        look_at=tr(
            "the lye ({cell}), then {fat} and the other fats", cell=lye.cell, fat=evidence.place(recipe.Index, "fat")
        ),
    )


_AS_STATED = later("Superfat {superfat}; the sheet states {usual}. {place} holds {amount}.")
_AS_USUAL = later("Superfat {superfat}; this book's recipes have about {usual}. {place} holds {amount}.")


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
        tr(
            "Lye concentration {strength}; this book's recipes have about {usual}. {place} holds {amount}.",
            strength=percent(recipe.lye_concentration),
            usual=percent(usual),
            place=liquid,
            amount=liquid.holds,
        ),
        look_at=tr("the liquid ({cell})", cell=liquid.cell),
    )
