"""The strength of a lye where its name says it on a hydrometer's scale: degrees Baumé or Twaddell, specific gravity."""

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, lru_cache

import numpy as np
import pandas as pd

from sheetcheck.chemistry.ranges import RANGES, Floats, why_not
from sheetcheck.chemistry.solution import (
    SCALE_TEMPERATURE,
    baume_by_specific_gravity,
    percent_by_specific_gravity,
    specific_gravity_by_baume,
    specific_gravity_by_twaddell,
)
from sheetcheck.reading.names.identify import identify
from sheetcheck.reference import substances
from sheetcheck.words import number, tr

_NUMBER = r"(\d{1,3}(?:[.,]\d+)?)"
_SIGN = r"\s*(?:°|º|degrees?|deg\.?|grad)\s*"
_DEGREES = rf"(?:{_SIGN}|\s*)"
_SPECIFIC_GRAVITY = (
    r"(?:sp(?:ecific|\.)?\s*gr(?:avity|\.)?|s\.?g\.?|relative density|"
    r"dichte|densité|densidad|densità|densidade|dichtheid)"
)
_BAUME = re.compile(rf"\b{_NUMBER}{_DEGREES}(?:baum[eé]|b[eé])\b", re.IGNORECASE)
_TWADDELL = re.compile(rf"\b{_NUMBER}{_DEGREES}(?:twaddell?|tw)\b", re.IGNORECASE)
_GRAVITY = re.compile(rf"\b{_SPECIFIC_GRAVITY}\s*(?:=|:|of|von|de|di)?\s*{_NUMBER}", re.IGNORECASE)
_GRAVITY_BEFORE = re.compile(rf"\b(1[.,]\d+)\s*{_SPECIFIC_GRAVITY}", re.IGNORECASE)
_SCALES: tuple[tuple[re.Pattern[str], str, Callable[[float], Floats]], ...] = (  # second: its name in `RANGES`
    (_BAUME, "baume", specific_gravity_by_baume),
    (_TWADDELL, "twaddell", specific_gravity_by_twaddell),
    (_GRAVITY, "specific_gravity", np.asarray),
    (_GRAVITY_BEFORE, "specific_gravity", np.asarray),
)
# Of a lye that may as well be dry, only what can be nothing else: in "lye, 12 be careful" there are no degrees.
_SURELY = re.compile(
    rf"{_NUMBER}(?:{_SIGN}(?:baum[eé]|b[eé]|twaddell?|tw)|\s*(?:baum[eé]|bé|twaddell?|tw))\b|"
    rf"{_NUMBER}\s*be\s*(?:$|[(),;])|{_GRAVITY.pattern}|{_GRAVITY_BEFORE.pattern}",
    re.IGNORECASE,
)
_TEMPERATURE = re.compile(rf"{_NUMBER}\s*(?:°|º|deg\.?)?\s*([CF])\b")
_AT_TEMPERATURE = re.compile(rf"(?:\b(?:at|bei|à|a)\s*)?{_TEMPERATURE.pattern}")
_LEFT_OVER = re.compile(r"(?:[\s(),;:/-]|\b(?:or|of|oder|von|ou|de|o|di)\b)+$", re.IGNORECASE)
_AGREE = 0.02  # two scales in one name may differ by so much specific gravity, and mean the same


def with_strengths(components: pd.DataFrame) -> pd.DataFrame:
    """Read the strength of every lye whose name, or whose own cell, tells it on a hydrometer's scale.

    Parameters
    ----------
    components
        Columns of `model.COMPONENT_COLUMNS`; used: name, role, substance, strength, and written where it is there.

    Returns
    -------
    DataFrame
        The same where there is nothing to read; else a copy in which such a line is sodium or potassium hydroxide of
        the strength that is told, and its name tells it too: it is what a weigh sheet shows. Where that strength is
        outside the published tables, or two contradict each other, the line is a solution of unknown strength, with
        which nothing can be computed.
    """
    components = _understood(components)
    inside, solutions = _solutions()
    asked = components["substance"].isin([*inside, *solutions]) & components["strength"].isna()
    lines = components.loc[asked, [c for c in ("name", "written", "substance") if c in components]]
    lines = lines[_telling(lines["name"]) | _telling(lines.get("written", lines["name"]))].astype(object)
    told = [_reading(*line) for line in lines.itertuples(index=False, name=None)]
    found = pd.Series(told, index=lines.index, dtype=object).dropna()
    if found.empty:
        return components
    return as_alkali(components, found.index, *zip(*found, strict=True))


def as_alkali(
    components: pd.DataFrame, lines: pd.Index, keys: Sequence[str], strengths: Sequence[float], names: Sequence[str]
) -> pd.DataFrame:
    """Return a copy in which some lines are alkali of these strengths, by these names."""
    words = ["substance", "role", "name"]
    result = components.astype(dict.fromkeys(words, object))
    result.loc[lines, "strength"] = list(strengths)
    result.loc[lines, "substance"] = list(keys)
    result.loc[lines, "name"] = list(names)
    result.loc[lines, "role"] = "alkali"
    return result.astype(dict.fromkeys(words, "category"))


def _understood(components: pd.DataFrame) -> pd.DataFrame:
    """Understand names that are not known only because of the degrees and the temperature in them."""
    if "name_certainty" not in components:
        return components
    unknown = components["substance"].isna() & _telling(components["name"])
    lye = components.loc[unknown, "name"].astype(object).map(_lye_named).dropna()
    if lye.empty:
        return components
    changed = ["substance", "role", "name_certainty"]
    result = components.astype(dict.fromkeys(changed, object))
    result.loc[lye.index, "substance"] = lye
    result.loc[lye.index, "role"] = "alkali"
    result.loc[lye.index, "name_certainty"] = "read as"
    return result.astype(dict.fromkeys(changed, "category"))


def _lye_named(name: str) -> str | None:
    """Return the lye that a name means once degrees and temperature are taken off; None where it means none."""
    for pattern in (*(pattern for pattern, *_ in _SCALES), _AT_TEMPERATURE):
        name = pattern.sub(" ", name)
    substance = identify(_LEFT_OVER.sub("", name)).substance
    inside, solutions = _solutions()
    return substance if substance in inside or substance in solutions else None


def _telling(texts: pd.Series) -> pd.Series:
    """Tell which texts have a number on a hydrometer's scale."""
    return texts.isin([text for text in texts.unique() if isinstance(text, str) and tells_strength(text)])


@cache
def _solutions() -> tuple[Mapping[str, str], Mapping[str, str]]:
    """Return what is dissolved in each solution, and the solution of each of those."""
    inside = {key: s.solution_of for key, s in substances().items() if s.solution_of}
    return inside, {alkali: solution for solution, alkali in inside.items()}


def _reading(name: object, *more: object) -> tuple[str, float, str] | None:
    """Return substance, strength and name of a lye whose name or cell tells a strength; None where neither does."""
    *written, substance = more
    inside, solutions = _solutions()
    key = str(substance)
    dry = key in solutions
    alkali = key if dry else inside[key]
    kind = "KOH" if alkali == "potassium hydroxide" else "NaOH"
    for text in (name, *written):
        if isinstance(text, str) and (_SURELY.search(text) if dry else tells_strength(text)):
            strength = strength_said(text, kind)
            shown = str(name) if text is name else f"{name} {shown_strength(text)}"
            return (solutions[alkali] if math.isnan(strength) else alkali, strength, shown)
    return None


def shown_strength(text: str) -> str:
    """Write the strength that a text tells as a name of a lye has it.

    >>> shown_strength("395 g, 66 Tw at 20 C")
    '66 °Tw at 20 °C'
    """
    _, scale, degrees = next(_told(text))
    shown = {"baume": f"{degrees:g} °Bé", "twaddell": f"{degrees:g} °Tw"}.get(scale, f"sp. gr. {degrees:g}")
    return f"{shown} at {_temperature(text):g} °C" if _TEMPERATURE.search(text) else shown


def tells_strength(text: str) -> bool:
    """Tell whether a text has a number on a hydrometer's scale.

    >>> tells_strength("soda lye 36 °Bé"), tells_strength("soda lye, 400 g")
    (True, False)
    """
    return next(_gravities(text), None) is not None


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


def why_no_strength(name: str, alkali: str = "NaOH") -> tuple[str, ...]:
    """Say in words why a name that tells a strength gives none.

    Examples
    --------
    >>> why_no_strength("lye sp. gr. 1.33 at 60 °C")
    ('temperature: 60 °C is above 40: the published values end there',)
    >>> why_no_strength("lye 60 °Bé")
    ('baume: 60 °Bé is above 50: the printed table ends there',)
    """
    told = list(_told(name))
    if not told:
        return (tr("no strength is said"),)
    outside = [why for _, scale, degrees in told for why in why_not(**{scale: degrees})]
    outside += why_not(temperature=_temperature(name))
    if outside:
        return tuple(outside)
    gravities = list(_gravities(name))
    if max(gravities) - min(gravities) > _AGREE:
        shown = ", ".join(f"{number(float(baume_by_specific_gravity(gravity)), 1)} °Bé" for gravity in gravities)
        return (tr("it says two strengths: {strengths}", strengths=shown),)
    if math.isnan(strength_said(name, alkali)):
        low, high = (number(end, 0) for end in (RANGES["percent"].low, RANGES["percent"].high))
        return (
            tr("weaker than {low} % or stronger than {high} %: the published densities end there", low=low, high=high),
        )
    return ()


def _gravities(name: str) -> Iterator[float]:
    """Yield every specific gravity that a text tells, in whatever scale; NaN for degrees beyond the scale."""
    for to_gravity, _, degrees in _told(name):
        yield float(to_gravity(degrees))


def _told(name: str) -> Iterator[tuple[Callable[[float], Floats], str, float]]:
    for pattern, scale, to_gravity in _SCALES:
        for found in pattern.finditer(name):
            yield to_gravity, scale, float(found[1].replace(",", "."))


def _temperature(name: str) -> float:
    found = _TEMPERATURE.search(name)
    if not found:
        return SCALE_TEMPERATURE
    degrees = float(found[1].replace(",", "."))
    return degrees if found[2].upper() == "C" else (degrees - 32) / 1.8
