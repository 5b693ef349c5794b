"""Many recipes are off in the same way: one cause for all of them.

Why it matters
--------------
A column kept in another unit than its heading says, a superfat taken off twice, lye reckoned with another value for one
fat: each makes many recipes wrong at once, and putting one right leaves the others.

Example
-------
From row 41 down the lye is in grams, in a column headed "Lye (oz)".

What to do
----------
Look at the cause first, then at the recipes one by one.

Source
------
Di Zio, Guarnera & Rocci 2007 (systematic unit errors as a mixture); the rest common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Place
from sheetcheck.rules.support.findings import finding, rule_name
from sheetcheck.words import later

TITLE = later("The same slip in many recipes")
NEEDS = ()
SHARED = rule_name(__name__)


def systematic_slip(place: Place, recipes: Sequence[int], message: str, *, signal: Signal, look_at: str) -> Finding:
    """Make one finding for all recipes that share a cause."""
    return finding(__name__, signal, place, recipes, message, look_at=look_at)
