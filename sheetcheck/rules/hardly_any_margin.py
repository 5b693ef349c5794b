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
from sheetcheck.rules.support.lye_said import lye_said
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, safe_side
from sheetcheck.rules.support.wording import joined, mass, percent
from sheetcheck.words import later, tr

TITLE = later("Hardly any fat to spare")
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
    unit = lye.unit or recipe.unit
    how = _SENTENCES[signal is Signal.WARNING, recipe.stated_superfat >= 2]
    return finding(
        __name__,
        signal,
        lye,
        recipe.Index,
        joined(
            tr(how, superfat=percent(superfat), stated=percent(recipe.stated_superfat)),
            tr(
                "{lye}; these fats can take {amount}, as they vary at least {least}.",
                lye=lye_said(evidence, recipe.Index, lye),
                amount=mass(recipe.needed_typical_g, unit),
                least=mass(recipe.needed_low_g, unit),
            ),
        ),
        expected=tr("lye ({cell}): somewhat less", cell=lye.cell) if signal is Signal.WARNING else "",
        look_at=tr("the lye ({cell}), then the fats' amounts", cell=lye.cell),
    )


_SENTENCES = {  # by whether it is hardly any, and whether another superfat is stated
    (True, False): later("Hardly any margin: superfat {superfat}."),
    (True, True): later("Hardly any margin: superfat {superfat} where {stated} is stated."),
    (False, False): later("Little margin: superfat {superfat}."),
    (False, True): later("Little margin: superfat {superfat} where {stated} is stated."),
}
