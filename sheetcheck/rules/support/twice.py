"""An amount that one cell states twice, in two units, and not alike: `10 oz (238 g)`."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from sheetcheck.reading.units.units import to_grams

_TENS = 1e-7  # two readings of one number (`1.250`) are a power of ten apart, and nothing else
_METRIC = ("g", "kg")


def differently_stated(grams: npt.ArrayLike, other_grams: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Tell where two readings of an amount are two amounts; those of one number are powers of ten apart.

    >>> differently_stated([283.5, 1.25], [238, 1250]).tolist()
    [True, False]
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        tens = np.log10(np.asarray(other_grams, dtype=np.float64) / np.asarray(grams, dtype=np.float64))
    return np.asarray(np.isfinite(tens) & (np.abs(tens - np.round(tens)) > _TENS))


def as_stated_again(grams: float, unit: str | None) -> tuple[float, str]:
    """Return the second amount as the cell has it, where the first is in `unit`: grams beside ounces, else ounces.

    >>> as_stated_again(238.0, "oz")
    (238.0, 'g')
    """
    return (round(grams / to_grams(1.0, "oz"), 2), "oz") if unit in _METRIC else (round(grams, 1), "g")
