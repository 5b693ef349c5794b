"""Where the formulas hold: outside it they give NaN, and this file says why."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

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
            return "is not known"
        if value < self.low:
            return f"{value:g} {self.unit}".rstrip() + f" is below {self.low:g}: {self.below}"
        if value > self.high:
            return f"{value:g} {self.unit}".rstrip() + f" is above {self.high:g}: {self.above}"
        return None


_NOT_NEGATIVE = "an amount cannot be less than nothing"
_SHARE = "a share lies between 0 and 1"

RANGES: Mapping[str, Range] = {
    # by the name that the argument has in every function of this package
    "mass": Range(0, math.inf, "g", _NOT_NEGATIVE, ""),
    "positive": Range(math.ulp(0.0), math.inf, "g", "there has to be some", ""),
    "acid_groups": Range(1, 6, "", "an acid has at least one", "no acid in soap has so many"),
    "saponification_value": Range(0, 600, "mg KOH/g", _NOT_NEGATIVE, "no fat or fatty acid takes up so much"),
    "molecular_weight": Range(60, 1500, "g/mol", "no fat is so light", "no fat is so heavy"),
    "purity": Range(0, 1, "", _SHARE, _SHARE),
    "share": Range(0, 1, "", _SHARE, _SHARE),
    "superfat": Range(-100, 100, "%", "more than twice the lye that the fats take up", "no lye is left"),
    "fat_surplus": Range(-50, 100, "%", "more than twice the lye that the fats take up", "half of the fat is too much"),
    "concentration": Range(0, 100, "%", _NOT_NEGATIVE, "there is no more than all of it"),
    "percent": Range(5, 50, "%", "the published densities begin there", "the published values end there"),
    "temperature": Range(15, 40, "°C", "the published densities begin there", "the published values end there"),
    "baume": Range(0, 50, "°Bé", "a lye is heavier than water", "the printed table ends there"),
    "twaddell": Range(0, 100, "°Tw", "a lye is heavier than water", "the printed table ends there"),
    "specific_gravity": Range(1, 1.5, "", "a lye is heavier than water", "the printed table ends there"),
    "heat_percent": Range(10, 42.5, "%", "the published heat capacities begin there", "the published heats end there"),
    "start_temperature": Range(0, 60, "°C", "water is ice below that", "no one begins with water so hot"),
    "density": Range(0.5, 3, "g/mL", "nothing in a batch is so light", "nothing in a batch is so heavy"),
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
    ('percent: 60 % is above 50: the published values end there',)
    """
    reasons = ((name, RANGES[name].why_not(value)) for name, value in quantities.items())
    return tuple(f"{name.replace('_', ' ')}: {reason}" for name, reason in reasons if reason)
