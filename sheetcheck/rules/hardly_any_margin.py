"""There is hardly any fat to spare for the lye.

Why it matters
--------------
The saponification value of a fat varies by harvest and maker, and scales and strengths have their own errors. With a
superfat between 0 and 1 % the next bucket of the same fat may leave lye free; between 1 and 2 % the margin is thin.

Example
-------
64 oz of lard with 9 oz of lye: the lard takes up about as much as there is.

What to do
----------
Between 0 and 1 %: weigh less lye or more fat. Between 1 and 2 %: no more than a remark, if you know your fats and your
scale. A laundry soap meant to have no superfat: say so on the sheet ("laundry, 0 %"), and it is judged as such.

Source
------
Common practice, no source, for the bands of 1 and 2 %. That fats vary by more than that: the ranges of the named-fat
standards (Codex Stan 210 and 211) in the table of fats.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, safe_side
from sheetcheck.rules.support.wording import mass, percent

NEEDS = ("superfat_typical",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find superfats from 0 up to 2 %: WARNING below 1 %, NOTICE from there on."""
    band, superfat = bands(evidence), safe_side(evidence)
    signals = {Band.HARDLY_ANY: Signal.WARNING, Band.LITTLE: Signal.NOTICE}
    return [
        _thin(evidence, recipe, signal, float(superfat[recipe.Index]))
        for name, signal in signals.items()
        for recipe in evidence.rows(band == name)
    ]


def _thin(evidence: Evidence, recipe: RecipeRow, signal: Signal, superfat: float) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    takes_up = mass(recipe.needed_typical_g, lye.unit or recipe.unit)
    how = "Hardly any margin" if signal is Signal.WARNING else "Little margin"
    stated = f" where {percent(recipe.stated_superfat)} is stated" if recipe.stated_superfat >= 2 else ""
    return finding(
        __name__,
        signal,
        lye,
        recipe.Index,
        f"{how}: superfat {percent(superfat)}{stated}. {lye} holds {lye.holds}; "
        f"the fats as written take up about {takes_up}, and as little as "
        f"{mass(recipe.needed_low_g, lye.unit or recipe.unit)} with their natural variation.",
        expected="somewhat less lye, if the fats are right" if signal is Signal.WARNING else "",
        look_at=f"the lye ({lye.cell}), then the fats' amounts",
    )
