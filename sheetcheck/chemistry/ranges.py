"""Where the formulas hold: outside it they give NaN, and this file says why."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sheetcheck.words import later, tr

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Range:
    """The values that a quantity can have, both ends included, and why it ends there."""

    low: float
    high: float
    unit: str
    below: str
    above: str

    def keep(self, values: ArrayLike) -> Floats:
        """Return the values, with NaN for those outside.

        >>> float(RANGES["purity"].keep(1.2))
        nan
        """
        given = np.asarray(values, dtype=np.float64)
        return np.where((given >= self.low) & (given <= self.high), given, np.nan)

    def why_not(self, value: float) -> str | None:
        """Say in words why a value gives NaN; None where it does not."""
        if math.isnan(value):
            return tr("is not known")
        shown = f"{value:g} {self.unit}".rstrip()
        if value < self.low:
            return tr("{value} is below {limit}: {why}", value=shown, limit=f"{self.low:g}", why=tr(self.below))
        if value > self.high:
            return tr("{value} is above {limit}: {why}", value=shown, limit=f"{self.high:g}", why=tr(self.above))
        return None


_NOT_NEGATIVE = later("an amount cannot be less than nothing")
_SHARE = later("a share lies between 0 and 1")

RANGES: Mapping[str, Range] = {
    # by the name that the argument has in every function of this package
    "mass": Range(0, math.inf, "g", _NOT_NEGATIVE, ""),
    "positive": Range(math.ulp(0.0), math.inf, "g", later("there has to be some"), ""),
    "acid_groups": Range(1, 6, "", later("an acid has at least one"), later("no acid in soap has so many")),
    "saponification_value": Range(0, 600, "mg KOH/g", _NOT_NEGATIVE, later("no fat or fatty acid takes up so much")),
    "molecular_weight": Range(60, 1500, "g/mol", later("no fat is so light"), later("no fat is so heavy")),
    "purity": Range(0, 1, "", _SHARE, _SHARE),
    "share": Range(0, 1, "", _SHARE, _SHARE),
    "superfat": Range(-100, 100, "%", later("more than twice the lye that the fats take up"), later("no lye is left")),
    "fat_surplus": Range(
        -50, 100, "%", later("more than twice the lye that the fats take up"), later("half of the fat is too much")
    ),
    "concentration": Range(0, 100, "%", _NOT_NEGATIVE, later("there is no more than all of it")),
    "percent": Range(
        5, 51.5, "%", later("the published densities begin there"), later("the published values end there")
    ),
    "temperature": Range(
        15, 40, "°C", later("the published densities begin there"), later("the published values end there")
    ),
    "baume": Range(0, 50, "°Bé", later("a lye is heavier than water"), later("the printed table ends there")),
    "twaddell": Range(0, 100, "°Tw", later("a lye is heavier than water"), later("the printed table ends there")),
    "specific_gravity": Range(1, 1.53, "", later("a lye is heavier than water"), later("the printed table ends there")),
    "heat_percent": Range(
        10, 42.5, "%", later("the published heat capacities begin there"), later("the published heats end there")
    ),
    "start_temperature": Range(0, 60, "°C", later("water is ice below that"), later("no one begins with water so hot")),
    "density": Range(0.5, 3, "g/mL", later("nothing in a batch is so light"), later("nothing in a batch is so heavy")),
}


def keep(name: str, values: ArrayLike) -> Floats:
    """Return `values` of the quantity `name`, with NaN where the formulas do not hold."""
    return RANGES[name].keep(values)


def why_not(**quantities: float) -> tuple[str, ...]:
    """Say in words which of these quantities makes a result NaN, and why; nothing where none does.

    Parameters
    ----------
    **quantities
        By the names of `RANGES`, which are those of the functions' arguments.

    Examples
    --------
    >>> why_not(percent=60.0, temperature=20.0)
    ('percent: 60 % is above 51.5: the published values end there',)
    """
    reasons = ((name, RANGES[name].why_not(value)) for name, value in quantities.items())
    return tuple(f"{tr(name.replace('_', ' '))}: {reason}" for name, reason in reasons if reason)
