"""A saponification value in the book lies outside the published range of its fat.

Why it matters
--------------
Every lye computed with it is off by as much. A value of another fat, slipped by a line in the table, is off by up to a
quarter.

Example
-------
Palm oil with 245 mg KOH/g: that is the value of palm kernel oil.

What to do
----------
Compare it with the paper of your supplier. A value from there, for that very delivery, may be right even so; a value
copied from somewhere is best replaced.

Source
------
The published range of each fat, in the table of fats with its source. How far outside counts: table of limits.
"""

from __future__ import annotations

import re

from sheetcheck.model import Finding, OwnValue, Signal
from sheetcheck.reference import Substance, substances
from sheetcheck.rules.support.evidence import Evidence, Place
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.wording import joined, listed, plain
from sheetcheck.words import later, tr

TITLE = later("A value of yours looks unlikely")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find own values outside the range: CAUTION if far out, in use, or the value of a fat easily confused with it."""
    found = []
    for value in evidence.book.own_values:
        fat = substances().get(value.substance)
        if fat is None or fat.kind != "fat":
            continue
        lost = _lost_in_rounding(value)
        if not fat.sap_low - lost <= value.mg_koh_per_g <= fat.sap_high + lost:
            found.append(_outside(evidence, value, fat))
    return found


def _lost_in_rounding(value: OwnValue) -> float:
    """Return half of the last digit written, in mg KOH/g; a table that says 192 may have had 192.4."""
    number = re.search(r"\d+(?:[.,](\d+))?", value.written)
    if number is None:
        return 0.0
    shown = float(number[0].replace(",", "."))
    return 0.5 * 10.0 ** -len(number[1] or "") * value.mg_koh_per_g / shown if shown else 0.0


def _outside(evidence: Evidence, value: OwnValue, fat: Substance) -> Finding:
    margin = evidence.limit("own_value_far_outside_percent") / 100
    far = not fat.sap_low * (1 - margin) <= value.mg_koh_per_g <= fat.sap_high * (1 + margin)
    others = _whose_it_is(value.mg_koh_per_g, fat)
    serious = far or bool(others) or evidence.settings.use_own_values
    published = tr("{low} to {high} mg KOH/g", low=plain(fat.sap_low, 1), high=plain(fat.sap_high, 1))
    given = tr(
        "{cell} gives {fat} a saponification value of {text} ({value} mg KOH/g); published are {published}.",
        cell=value.cell,
        fat=tr(fat.name),
        text=value.written,
        value=plain(value.mg_koh_per_g, 1),
        published=published,
    )
    return finding(
        __name__,
        Signal.CAUTION if serious else Signal.NOTICE,
        Place(value.sheet, value.cell, tr(fat.name), value.written),
        (),
        joined(
            given,
            tr("It would suit {fats}.", fats=listed([tr(name) for name in others])) if others else "",
            tr("It is not used; the published value is.") if evidence.settings.use_own_values else "",
        ),
        expected=published,
        look_at=tr("the name beside it, and where the value comes from"),
    )


def _whose_it_is(value: float, fat: Substance) -> list[str]:
    """Return the fats easily confused with this one that the value would suit."""
    similar = (substances()[key] for key in fat.similar)
    return [other.name for other in similar if other.kind == "fat" and other.sap_low <= value <= other.sap_high]
