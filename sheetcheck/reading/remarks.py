"""Which recipe a remark is about that stands in a line of its own: the one above it, or those below.

A line like `salt bar, superfat 16 % on purpose` between two recipes may close the first or head the second. Its look
tells first (bold, filled, in capitals or with a colon it is a title), then how it begins (a title begins with a capital
letter), then the arithmetic: the superfat that it states is that of one of the two.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite, nan

from sheetcheck.reading.assemble import Component
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reference import constants, substances
from sheetcheck.workbook.grid import Cell, Kind

_NEAR = 2.0  # points between the superfat that is stated and the one that middle values give


def closes(cell: Cell, above: float, below: float, *, near: bool = True) -> bool:
    """Tell whether a line that states a superfat belongs to the recipe above it.

    Parameters
    ----------
    above, below
        Superfat in percent of the recipe above and of the next one below, NaN where unknown or where there is none.
    near
        Whether the line stands as near to the recipe above as its remarks do.
    """
    said = superfat_said(cell.text) if cell.kind is Kind.TEXT else None
    if said is None or _looks_like_title(cell):
        return False
    text = cell.text.strip()
    fits_above, fits_below = (abs(said[0] - value) <= _NEAR for value in (above, below))
    if fits_above != fits_below:
        return fits_above
    return near and (text[:1].islower() or text[:1] in "(*->")


def _looks_like_title(cell: Cell) -> bool:
    text = cell.text.strip()
    return cell.style.bold or cell.style.filled or text.isupper() or text.endswith(":")


def superfat_of(components: Iterable[Component]) -> float:
    """Return the superfat that typical values give for amounts of one recipe, NaN where one of them is not known."""
    demand = lye = 0.0
    for each in components:
        weight = each.grams if isfinite(each.grams) else each.value
        if each.role == "fat":
            known = substances().get(each.substance or "")
            demand += weight * known.sap_typical / 1000 * constants().naoh_per_koh if known else nan
        elif each.role == "alkali":
            lye += weight if each.substance == "sodium hydroxide" else nan
    return 100 * (1 - lye / demand) if demand > 0 else nan
