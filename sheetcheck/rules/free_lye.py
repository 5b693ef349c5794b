"""There is more lye than the fats take up.

Why it matters
--------------
Lye that finds no fat stays in the soap as lye. It burns skin and eyes, and no curing takes it away. The superfat is
then below zero. It is judged on the typical saponification values of the fats; no setting, statement or remark turns
this finding off.

Example
-------
64 oz of lard take up about 9 oz of sodium hydroxide. With 13 oz on the sheet, about 4 oz stay free.

What to do
----------
Do not make it as written. Look first at the cell of the lye and its unit (grams in an ounce column?), then at the
fats: one left out, or an amount from before the recipe was made smaller. Compute the lye anew before you weigh.
Soap already made this way: gloves on, keep it away from skin, and do not sell or give it away.

Source
------
Definition of the saponification value, ISO 3657. Toilet soap standards allow 0.05 % of free caustic alkali (IS 2888,
second hand). Where the sheet itself says 0 to 1 % superfat, a superfat down to -1 % counts as "no margin": the fats'
own values vary by more than that (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

from sheetcheck.model import Finding, Signal
from sheetcheck.reference import limits
from sheetcheck.rules.support.evidence import Evidence, Place
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, safe_side
from sheetcheck.rules.support.wording import joined, listed, mass, percent, plain, times
from sheetcheck.words import later, tr

TITLE = later("Too much lye")
NEEDS = ("needed_typical_g",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with a superfat below zero; below -1 % where the sheet says that there is no margin."""
    superfat = safe_side(evidence)
    free = bands(evidence) == Band.FREE_LYE
    return [_free(evidence, recipe, float(superfat[recipe.Index])) for recipe in evidence.rows(free)]


def _free(evidence: Evidence, recipe: RecipeRow, superfat: float) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    cells = evidence.cells(recipe.Index, "alkali")
    unit = lye.unit or recipe.unit
    if recipe.needed_typical_g == recipe.needed_typical_g:
        most = mass(recipe.needed_typical_g, unit)
        takes_up = tr("The fats as written take up about {amount}.", amount=most)
    else:  # something is not known: what it may take up at the most still leaves lye over
        most = mass(recipe.alkali_least_g / (1 - superfat / 100), unit)
        takes_up = tr("All that is written, the unknown too, takes up at most {amount}.", amount=most)
    return finding(
        __name__,
        Signal.DANGER,
        lye,
        recipe.Index,
        joined(
            tr("Free lye."),
            _held(lye, cells),
            takes_up,
            tr(_how_much(recipe, superfat), more=times(1 - superfat / 100), superfat=percent(superfat)),
            _left_in_soap(recipe),
            tr("Do not make it as written: lye that stays free burns skin."),
        ),
        expected=tr("less than {amount}, if the fats are right", amount=most),
        look_at=tr(
            "the lye ({cells}) and its unit; then the fats, the largest of which stands in {fat}",
            cells=", ".join(cells),
            fat=evidence.place(recipe.Index, "fat"),
        ),
    )


def _left_in_soap(recipe: RecipeRow) -> str:
    """Say how much alkali stays free, against what toilet soap may hold; nothing where that is not known."""
    if not recipe.free_alkali_percent > 0:
        return ""
    allowed = limits()["free_alkali_toilet_soap"].value
    return tr(
        "About {free} % of the fresh soap would be free alkali; standards for toilet soap allow {allowed} %.",
        free=plain(recipe.free_alkali_percent, 1 if recipe.free_alkali_percent >= 1 else 2),
        allowed=plain(allowed, 2),
    )


def _held(lye: Place, cells: Sequence[str]) -> str:
    if len(cells) < 2:
        return lye.said()
    return tr("{place} holds {text} ({cells} together).", place=lye, text=lye.holds, cells=listed(cells))


def _how_much(recipe: RecipeRow, superfat: float) -> str:
    """Choose the sentence by what the figure rests on where it is not simply the typical superfat."""
    if recipe.superfat_typical == superfat:
        return later("That is {more} (superfat {superfat}).")
    if recipe.superfat_typical == recipe.superfat_typical:
        return later("That is {more} (superfat {superfat}), by the published values of the fats.")
    if recipe.needed_typical_g == recipe.needed_typical_g:
        return later(
            "That is {more} (superfat {superfat}), even if the lye that is not known counts as little as it can."
        )
    return later("That is {more} (superfat {superfat}), whatever the unknown is.")
