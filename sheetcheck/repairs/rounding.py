"""What rounding to the decimals that are written leaves open: standard deviations, for each recipe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetcheck.repairs.entries import ALKALI, FAT, FATS, LIQUID, MASS, WET, Entries, Floats, Mask

ROUNDING = 0.29  # standard deviation of a rounding, in steps


@dataclass(frozen=True)
class Rounding:
    """Arrays over recipes."""

    lye: Floats  # of the logarithm of lye over demand; NaN where a part is missing
    water: Floats  # of the logarithm of liquid over lye
    fats: Floats  # of the sum of the fats, g
    everything: Floats  # of the sum of all amounts, g


def rounding(entries: Entries) -> Rounding:
    """Return what rounding leaves open in every recipe of a book."""
    rows = len(entries.index)
    each = (ROUNDING * entries.step) ** 2

    def spread(which: Mask) -> Floats:
        return np.sqrt(np.bincount(entries.recipe[which], each[which], rows)).astype(np.float64)

    fats, lye, wet = (spread(entries.role == role) for role in (FAT, ALKALI, LIQUID))
    with np.errstate(invalid="ignore", divide="ignore"):
        of_lye = lye / entries.totals[:, MASS]
        return Rounding(
            lye=np.hypot(of_lye, fats / entries.totals[:, FATS]),
            water=np.hypot(wet / entries.totals[:, WET], of_lye),
            fats=fats,
            everything=spread(np.ones(len(entries.role), dtype=bool)),
        )
