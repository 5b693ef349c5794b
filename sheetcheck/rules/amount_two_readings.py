"""An amount can be read in two ways.

Why it matters
--------------
1.250 g is a kilogram and a quarter to one reader and a gram and a quarter to another. The likelier one was taken. Where
the recipe makes soap with it, and would not with the other, this is a NOTICE; else a CAUTION: it may be the wrong one.

Example
-------
"1.250 g" of olive oil on a sheet that uses the point for decimals elsewhere.

What to do
----------
Write the amount so that it has one reading: 1250 g, or 1.25 kg.

Source
------
Decimal and thousands signs differ by country: ISO 80000-1 allows comma and point, and neither between thousands.
"""

from __future__ import annotations

import math

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import ComponentRow, component_rows
from sheetcheck.rules.support.twice import differently_stated
from sheetcheck.rules.support.wording import mass
from sheetcheck.words import later, tr

TITLE = later("A number with two readings")
NEEDS = ()

# Superfat (percent) and lye (percent of lye and water) of any soap: common practice with some room, no source.
_SUPERFAT = (-1.0, 25.0)
_LYE_STRENGTH = (15.0, 50.0)


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts for which a second reading was kept."""
    lines = evidence.components
    two = lines["other_grams"].notna() & lines["bears"] & ~differently_stated(lines["grams"], lines["other_grams"])
    return [_two(evidence, line) for line in component_rows(lines[two])]


def _two(evidence: Evidence, line: ComponentRow) -> Finding:
    place = place_of(line)
    parts = {"place": place, "text": place.holds, "other": mass(line.other_grams, "g")}
    settled = _settled(evidence, line)
    if math.isnan(line.grams):
        message = tr(
            "{place} holds “{text}”, which can be read in two ways; it was not read, and may mean {other}.", **parts
        )
    elif settled:
        message = tr(
            "{place} holds “{text}”, which can be read in two ways: it was read as {read}, with which the recipe makes "
            "soap; with {other} it would not.",
            read=mass(line.grams, "g"),
            **parts,
        )
    else:
        message = tr(
            "{place} holds “{text}”, which can be read in two ways: it was read as {read}, and may mean {other}.",
            read=mass(line.grams, "g"),
            **parts,
        )
    return finding(
        __name__,
        Signal.NOTICE if settled else Signal.CAUTION,
        place,
        int(line.recipe),
        message,
        expected=tr("an amount with one reading"),
        look_at=tr("the decimal point or comma in the cell"),
    )


def _settled(evidence: Evidence, line: ComponentRow) -> bool:
    """Tell whether the recipe makes soap with the reading that was taken, and would not with the other one."""
    recipe = evidence.recipe(line.recipe)
    other = line.other_grams / line.grams if line.grams > 0 else math.nan
    if not _SUPERFAT[0] <= recipe.superfat_typical <= _SUPERFAT[1]:
        return False
    if line.role == "fat":
        share = line.grams / float(evidence.recipes["fat_g"][line.recipe])
        return _far_from_soap(1 / (1 + share * (other - 1)), recipe.superfat_typical)
    if line.role == "alkali":
        return _far_from_soap(1 + line.grams / recipe.alkali_g * (other - 1), recipe.superfat_typical)
    if line.role == "liquid" and recipe.liquid_g > 0:
        water = recipe.water_g * (1 + line.grams / recipe.liquid_g * (other - 1))
        taken, would_be = recipe.lye_concentration, 100 * recipe.alkali_g / (recipe.alkali_g + water)
        return _LYE_STRENGTH[0] <= taken <= _LYE_STRENGTH[1] and not _LYE_STRENGTH[0] <= would_be <= _LYE_STRENGTH[1]
    return False


def _far_from_soap(lye_ratio: float, superfat: float) -> bool:
    """Tell whether so many times the lye for the fats leaves no superfat that a soap has."""
    return not _SUPERFAT[0] <= 100 - (100 - superfat) * lye_ratio <= _SUPERFAT[1]
