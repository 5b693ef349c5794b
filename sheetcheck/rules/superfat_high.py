"""There is much more fat than the lye can turn into soap.

Why it matters
--------------
Up to about 10 % a superfat makes a mild soap. Beyond that the soap is soft, lathers poorly and turns rancid. A superfat
above 20 % is rarely meant: an amount in the wrong unit, a misplaced decimal point, or lye left from a smaller batch.

Example
-------
48 oz of fats doubled to 96 oz, and the lye left at 6.6 oz: a superfat of 52 %.

What to do
----------
Meant so (a soap of coconut fat alone, say)? State the superfat on the sheet, and it becomes a remark. Otherwise look at
the lye and its unit, then for a fat that stands out, then whether the batch was rescaled and the lye was not.

Source
------
Common practice, no source: 10 % notice, 15 % caution, 20 % warning. The three limits are settings.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.lye_said import lye_said
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands, on_purpose
from sheetcheck.rules.support.wording import mass, percent
from sheetcheck.words import later, tr

TITLE = later("More fat than the lye takes up")
NEEDS = ("superfat_typical",)
REPAIRABLE = True

_SIGNALS = {Band.HIGH: Signal.NOTICE, Band.MUCH_TOO_HIGH: Signal.CAUTION, Band.FAR_TOO_HIGH: Signal.WARNING}


def check(evidence: Evidence) -> list[Finding]:
    """Find superfats above 10, 15 and 20 %; the stated one is a NOTICE whatever it is."""
    band, meant = bands(evidence), on_purpose(evidence)
    return [
        _high(evidence, recipe, signal, meant=bool(meant[recipe.Index]))
        for name, signal in _SIGNALS.items()
        for recipe in evidence.rows(band == name)
    ]


def _high(evidence: Evidence, recipe: RecipeRow, signal: Signal, *, meant: bool) -> Finding:
    superfat = percent(recipe.superfat_typical)
    lye = evidence.place(recipe.Index, "alkali")
    takes_up = mass(recipe.needed_typical_g, lye.unit or recipe.unit)
    if meant:
        return finding(
            __name__,
            signal,
            lye,
            recipe.Index,
            tr(
                "Superfat {superfat}, as stated ({stated}): a soft soap that does not keep long.",
                superfat=superfat,
                stated=percent(recipe.stated_superfat),
            ),
        )
    return finding(
        __name__,
        signal,
        lye,
        recipe.Index,
        tr(
            "Superfat {superfat}: {lye}; these fats can take {amount}.",
            superfat=superfat,
            lye=lye_said(evidence, recipe.Index, lye),
            amount=takes_up,
        ),
        expected=tr("lye and fats that fit each other") if signal is not Signal.NOTICE else "",
        look_at=tr(
            "the lye ({cell}) and its unit; the largest fat, in {fat}; whether the batch was rescaled and the lye "
            "was not",
            cell=lye.cell,
            fat=evidence.place(recipe.Index, "fat"),
        ),
    )
