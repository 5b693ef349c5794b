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

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.lye_said import lye_said
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, safe_side
from sheetcheck.rules.support.wording import joined, mass, percent, times
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
        most, takes_up = mass(recipe.needed_typical_g, unit), _FATS_TAKE
    else:  # something is not known: what it may take up at the most still leaves lye over
        most, takes_up = mass(recipe.alkali_least_g / (1 - superfat / 100), unit), _ALL_TAKES
    return finding(
        __name__,
        Signal.DANGER,
        lye,
        recipe.Index,
        joined(
            tr("Free lye: do not make it."),
            tr(takes_up, lye=lye_said(evidence, recipe.Index, lye), amount=most),
            tr(_how_much(recipe, superfat), more=times(1 - superfat / 100), superfat=percent(superfat)),
            tr("What is left over burns skin."),
        ),
        expected=tr("lye ({cells}): less than {amount}", cells=", ".join(cells), amount=most),
        look_at=tr(
            "the lye ({cells}) and its unit; then the fats, the largest of which stands in {fat}",
            cells=", ".join(cells),
            fat=evidence.place(recipe.Index, "fat"),
        ),
    )


_FATS_TAKE = later("{lye}; these fats can take {amount}.")
_ALL_TAKES = later("{lye}; all that is written, the unknown too, can take at most {amount}.")


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
