"""The sheet itself asks for no superfat, and there is none.

Why it matters
--------------
Laundry soap is often made with 0 to 1 % superfat, so that no fat is left on the cloth. The saponification values of
fats vary by a few per cent, so such a soap may hold a little free lye. That is harmless in a wash tub and not on skin.

Example
-------
A section headed "Laundry bars, 0 %" with 40 oz of coconut fat and 7.3 oz of lye.

What to do
----------
Keep this soap for laundry and cleaning, wear gloves, and label it "not for skin". For a soap to wash with, compute the
lye for a superfat of 5 % or so.

Source
------
Common practice, no source. The band from -1 to 1 % stands in the table of limits and cannot be set.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.superfat import Band, bands
from sheetcheck.rules.support.wording import percent, span
from sheetcheck.words import later, tr

TITLE = later("No fat to spare, as you say")
NEEDS = ("superfat_typical",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes whose sheet states 0 to 1 % superfat and which have -1 to 1 %."""
    return [_none(evidence, recipe) for recipe in evidence.rows(bands(evidence) == Band.NO_MARGIN)]


def _none(evidence: Evidence, recipe: RecipeRow) -> Finding:
    lye = evidence.place(recipe.Index, "alkali")
    return finding(
        __name__,
        Signal.CAUTION,
        lye,
        recipe.Index,
        tr(
            "No margin, as the sheet says: superfat {superfat} ({range} with the fats' natural variation). "
            "Not for skin.",
            superfat=percent(recipe.superfat_typical),
            range=span(recipe.superfat_low, recipe.superfat_high),
        ),
        look_at=tr("whether it is labelled as laundry or cleaning soap"),
    )
