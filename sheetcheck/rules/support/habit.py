"""The habit of a book: median and median absolute deviation, which a few faulty rows do not move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sheetcheck.rules.support.evidence import Evidence

if TYPE_CHECKING:
    import pandas as pd

_SIGMA_PER_MAD = 1.4826  # of a normal distribution; Rousseeuw & Croux, J. Am. Stat. Assoc. 88 (1993) 1273


@dataclass(frozen=True, slots=True)
class Habit:
    """The usual value of a quantity in a book; `spread` is the distance beyond which a value is out of the ordinary."""

    median: float
    spread: float

    def far(self, values: pd.Series[float], material: float) -> pd.Series[bool]:
        """Tell which values are out of the ordinary and also off by more than what matters; unknown ones are not."""
        return (values - self.median).abs() > max(self.spread, material)


def habit(values: pd.Series[float], evidence: Evidence) -> Habit | None:
    """Return the habit of the known values; None where there are too few of them to speak of one."""
    known = values.dropna()
    if len(known) < evidence.limit("outlier_min_recipes"):
        return None
    median = float(known.median())
    deviation = float((known - median).abs().median())
    return Habit(median, evidence.limit("outlier_mads") * _SIGMA_PER_MAD * deviation)
