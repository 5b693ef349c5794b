"""An amount was probably mistyped: one slip of the pen explains why the recipe does not fit.

Why it matters
--------------
A mistyped lye can burn, a mistyped fat makes soft or greasy soap, and neither looks wrong in a column of numbers. The
rest of the recipe, its totals and what this book usually does often tell which cell it is and what was meant.

Example
-------
Fats of 60 oz, liquid of 18 oz and lye of 229.6 oz: 229.6 g is 8.1 oz, and with that the recipe is a usual one.

What to do
----------
Look at the cell that is named and at what you had in mind. Put it right yourself, or leave it: the amounts are yours,
and nothing is changed for you. Meant so? State the superfat on the sheet, and the recipe is judged by that.

Source
------
Fellegi & Holt 1976 (the fewest edits that make a record fit); Scholtus 2016 (slips as edit operations); Di Zio,
Guarnera & Rocci 2007 (units as a mixture). How often which slip is made: table of slips, with its sources.
"""

from __future__ import annotations

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Place
from sheetcheck.rules.support.findings import finding
from sheetcheck.words import later, tr

TITLE = later("Probably a slip")
NEEDS = ()
REPAIRABLE = True


def likely_slip(place: Place, recipe: int, message: str, *, expected: str, unmistakable: bool) -> Finding:
    """Make the finding that repairs/ has found: WARNING for an unmistakable slip, else CAUTION."""
    return finding(
        __name__,
        Signal.WARNING if unmistakable else Signal.CAUTION,
        place,
        recipe,
        message,
        expected=expected,
        look_at=tr("the cell named, then what you had in mind when you wrote it"),
    )
