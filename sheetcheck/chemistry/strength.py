"""The strength of a lye where its name says it on a hydrometer's scale: degrees Baumé or Twaddell, specific gravity."""

import math
import re
from collections.abc import Callable, Iterator
from functools import lru_cache

import numpy as np
import pandas as pd

from sheetcheck.chemistry.ranges import Floats, why_not
from sheetcheck.chemistry.solution import (
    SCALE_TEMPERATURE,
    baume_by_specific_gravity,
    percent_by_specific_gravity,
    specific_gravity_by_baume,
    specific_gravity_by_twaddell,
)
from sheetcheck.reference import substances

_NUMBER = r"(\d{1,3}(?:[.,]\d+)?)"
_DEGREES = r"\s*(?:°|º|degrees?|deg\.?|grad)?\s*"
_BAUME = re.compile(rf"\b{_NUMBER}{_DEGREES}(?:baum[eé]|b[eé])\b", re.IGNORECASE)
_TWADDELL = re.compile(rf"\b{_NUMBER}{_DEGREES}(?:twaddell?|tw)\b", re.IGNORECASE)
_GRAVITY = re.compile(
    rf"\b(?:sp(?:ecific|\.)?\s*gr(?:avity|\.)?|s\.?g\.?|relative density|dichte|densité|densidad|densità)"
    rf"\s*(?:=|:|of|von|de|di)?\s*{_NUMBER}",
    re.IGNORECASE,
)
_SCALES: tuple[tuple[re.Pattern[str], Callable[[float], Floats]], ...] = (
    (_BAUME, specific_gravity_by_baume),
    (_TWADDELL, specific_gravity_by_twaddell),
    (_GRAVITY, np.asarray),
)
_TEMPERATURE = re.compile(rf"{_NUMBER}\s*(?:°|º|deg\.?)?\s*([CF])\b")
_AGREE = 0.02  # two scales in one name may differ by so much specific gravity, and mean the same


def with_strengths(components: pd.DataFrame) -> pd.DataFrame:
    """Read the strength of every lye whose name tells it on a hydrometer's scale.

    Parameters
    ----------
    components
        Columns of `model.COMPONENT_COLUMNS`; used: name, role, substance, strength.

    Returns
    -------
    DataFrame
        The same where there is nothing to read; else a copy in which such a line is sodium or potassium hydroxide of
        the strength that its name tells.
    """
    solutions = {key: s.solution_of for key, s in substances().items() if s.solution_of}
    asked = components["substance"].isin(list(solutions)) & components["strength"].isna()
    if not asked.any():
        return components
    lines = components.loc[asked]
    inside = lines["substance"].astype(object).map(solutions)
    told = [
        strength_said(str(name), "KOH" if alkali == "potassium hydroxide" else "NaOH")
        for name, alkali in zip(lines["name"], inside, strict=True)
    ]
    strength = pd.Series(told, index=lines.index, dtype="float64").dropna()
    result = components.astype({"substance": object, "role": object})
    result.loc[strength.index, "strength"] = strength
    result.loc[strength.index, "substance"] = inside[strength.index]
    result.loc[strength.index, "role"] = "alkali"
    return result.astype({"substance": "category", "role": "category"})


@lru_cache(maxsize=4096)
def strength_said(name: str, alkali: str = "NaOH") -> float:
    """Return the share of alkali in a lye whose name tells its strength on a hydrometer's scale.

    Parameters
    ----------
    name
        As the sheet has it: `Soda lye 36 °Bé`, `lye, 72 Tw`, `lye sp. gr. 1.33 at 25 °C`.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    float
        0 to 1; NaN where the name says nothing of the kind, says two things that contradict each other, or a strength
        outside the published tables (`why_no_strength` tells).

    References
    ----------
    `solution.percent_by_specific_gravity`; 60 °F where the name states no temperature.

    Examples
    --------
    >>> round(strength_said("soda lye 36 °Bé"), 3)
    0.302
    >>> round(strength_said("caustic soda lye, 71.4 degTw (38 degBe)"), 3)
    0.326
    """
    gravities = list(_gravities(name))
    if not gravities or max(gravities) - min(gravities) > _AGREE:
        return math.nan
    return float(percent_by_specific_gravity(gravities[0], _temperature(name), alkali)) / 100


def why_no_strength(name: str) -> tuple[str, ...]:
    """Say in words why a name that tells a strength gives none.

    Examples
    --------
    >>> why_no_strength("lye sp. gr. 1.33 at 60 °C")
    ('temperature: 60 °C is above 40: the published values end there',)
    """
    gravities = list(_gravities(name))
    if not gravities:
        return ("no strength is said",)
    if max(gravities) - min(gravities) > _AGREE:
        shown = " and ".join(f"{float(baume_by_specific_gravity(gravity)):.1f} °Bé" for gravity in gravities)
        return (f"it says two strengths: {shown}",)
    return why_not(specific_gravity=gravities[0], temperature=_temperature(name))


def _gravities(name: str) -> Iterator[float]:
    for pattern, to_gravity in _SCALES:
        for found in pattern.finditer(name):
            yield float(to_gravity(float(found[1].replace(",", "."))))


def _temperature(name: str) -> float:
    found = _TEMPERATURE.search(name)
    if not found:
        return SCALE_TEMPERATURE
    degrees = float(found[1].replace(",", "."))
    return degrees if found[2].upper() == "C" else (degrees - 32) / 1.8
