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
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, safe_side
from sheetcheck.rules.support.wording import mass, percent, times

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
    together = f" ({' and '.join(cells)} together)" if len(cells) > 1 else ""
    unit = lye.unit or recipe.unit
    if recipe.needed_typical_g == recipe.needed_typical_g:
        takes_up, all_that = mass(recipe.needed_typical_g, unit), "the fats as written take up about"
    else:  # something is not known: what it may take up at the most still leaves lye over
        takes_up = mass(recipe.alkali_least_g / (1 - superfat / 100), unit)
        all_that = "all that is written, the unknown too, takes up at most"
    return finding(
        __name__,
        Signal.DANGER,
        lye,
        recipe.Index,
        f"Free lye. {lye} holds {lye.holds}{together}; {all_that} {takes_up}. "
        f"That is {times(1 - superfat / 100)} (superfat {percent(superfat)}){_unsure(recipe, superfat)}. "
        "Do not make it as written: lye that stays free burns skin.",
        expected=f"less than {takes_up}, if the fats are right",
        look_at=_look_at(evidence, recipe.Index, cells),
    )


def _unsure(recipe: RecipeRow, superfat: float) -> str:
    """Say on what the figure rests where it is not simply the typical superfat."""
    if recipe.superfat_typical == superfat:
        return ""
    if recipe.superfat_typical != recipe.superfat_typical:
        if recipe.needed_typical_g != recipe.needed_typical_g:
            return ", whatever the unknown is"
        return ", even if the lye that is not known counts as little as it can"
    return ", by the published values of the fats"


def _look_at(evidence: Evidence, recipe: int, cells: list[str]) -> str:
    fats = evidence.place(recipe, "fat")
    return f"the lye ({', '.join(cells)}) and its unit; then the fats, the largest of which stands in {fats}"
