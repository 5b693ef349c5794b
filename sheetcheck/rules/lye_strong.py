"""There is little water for the lye.

Why it matters
--------------
A strong lye heats up more, thickens the soap in a moment and leaves little time to pour. Above about 50 % sodium
hydroxide does not all dissolve at room temperature: grains of lye end up in the soap.

Example
-------
12 oz of lye in 8 oz of water is 60 %: it cannot dissolve.

What to do
----------
Look at the liquid, its unit, and for a second liquid that was left out. If part of the liquid is added to the fats
later, the lye alone must still dissolve: in at least its own weight of water.

Source
------
Above 40 % caution, above 45 % warning: common practice, no source. Solubility: 52 % of sodium hydroxide in the
solution at 20 °C (Great Soviet Encyclopedia, seen).
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.concentration import own_concentration
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import joined, mass, percent
from sheetcheck.words import later, tr

TITLE = later("Strong lye")
NEEDS = ("lye_concentration",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find lye concentrations above 40 % (CAUTION) and 45 % (WARNING) that the lye alone is not to blame for."""
    concentration = own_concentration(evidence).round()  # 40.2 % is 40 %, as near as a scale allows
    strong, very_strong = evidence.limit("lye_strong_caution"), evidence.limit("lye_strong_warning")
    return [
        _strong(evidence, recipe, Signal.WARNING if concentration[recipe.Index] > very_strong else Signal.CAUTION)
        for recipe in evidence.rows(concentration > strong)
    ]


def _strong(evidence: Evidence, recipe: RecipeRow, signal: Signal) -> Finding:
    liquid = evidence.place(recipe.Index, "liquid", "alkali")
    unit = liquid.unit or recipe.unit
    strong = evidence.limit("lye_strong_caution") / 100
    least = mass(recipe.alkali_g * (1 - strong) / strong, unit)
    undissolved = recipe.lye_concentration > evidence.limit("lye_insoluble")
    return finding(
        __name__,
        signal,
        liquid,
        recipe.Index,
        joined(
            tr(
                "Strong lye: {share}, that is {lye} of lye in {water} of water.",
                share=percent(recipe.lye_concentration),
                lye=mass(recipe.alkali_g, unit),
                water=mass(recipe.water_g, unit),
            ),
            tr("It does not all dissolve at room temperature.") if undissolved else "",
            liquid.said(),
        ),
        expected=tr("at least about {amount} of water for this lye", amount=least),
        look_at=tr("the liquid ({cell}) and its unit, and whether a liquid was left out", cell=liquid.cell),
    )
