"""There is much water for the lye.

Why it matters
--------------
A weak lye makes a soap that stays soft for long, shrinks and warps as it dries, and may separate in the mould. Below
20 % lye in water it is more likely that the liquid or its unit is wrong.

Example
-------
4.6 oz of lye in 300 oz of water: the water is in grams.

What to do
----------
Look at the liquid and its unit. Between 20 and 25 % it works, with patience; then nothing needs to be done.

Source
------
Common practice, no source: below 25 % notice, below 20 % caution. Both limits are settings. The share is lye over lye
plus water; the water in milk and the like is taken from the table of liquids.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.concentration import own_concentration
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import joined, mass, percent
from sheetcheck.words import later, tr

TITLE = later("Weak lye")
NEEDS = ("lye_concentration",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find lye concentrations below 25 % (NOTICE) and 20 % (CAUTION) that the lye alone is not to blame for."""
    concentration = own_concentration(evidence).round()  # 40.2 % is 40 %, as near as a scale allows
    weak, very_weak = evidence.limit("lye_weak_notice"), evidence.limit("lye_weak_caution")
    return [
        _weak(evidence, recipe, Signal.CAUTION if concentration[recipe.Index] < very_weak else Signal.NOTICE)
        for recipe in evidence.rows(concentration < weak)
    ]


def _weak(evidence: Evidence, recipe: RecipeRow, signal: Signal) -> Finding:
    liquid = evidence.place(recipe.Index, "liquid", "alkali")
    unit = liquid.unit or recipe.unit
    weak = evidence.limit("lye_weak_notice") / 100
    most = tr("at most about {amount} of water for this lye", amount=mass(recipe.alkali_g * (1 - weak) / weak, unit))
    return finding(
        __name__,
        signal,
        liquid,
        recipe.Index,
        joined(
            tr(
                "Weak lye: {share}, that is {lye} of lye in {water} of water.",
                share=percent(recipe.lye_concentration),
                lye=mass(recipe.alkali_g, unit),
                water=mass(recipe.water_g, unit),
            ),
            liquid.said(),
        ),
        expected=most if signal is Signal.CAUTION else "",
        look_at=tr("the liquid ({cell}) and its unit", cell=liquid.cell),
    )
