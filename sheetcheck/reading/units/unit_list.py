"""The list of units: spellings, systems, and what a unit comes to in grams or millilitres.

`reference/units.txt` is the one list, in pint syntax. Spellings are taken from it as text. What pint makes of the
definitions stands in `reference/unit_factors.csv`, which `python -m tests.reference.unit_factors` writes and the checks
compare: pint takes longer to load than a small book to read.
"""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, TypeAlias, cast

from sheetcheck.reading.text import fold_letters
from sheetcheck.reference import Substance
from sheetcheck.reference.tables import FOLDER, number, rows

Dimension: TypeAlias = Literal["mass", "volume", "share"]

ML_PER_CUP = 236.5882365  # a US cup, by which published weights are given (NIST Handbook 44, appendix C)
LB_OZ = "lb oz"

_SIGNS = {"%": "%", "#": "lb"}


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of the list: its symbol, its name in the list, the group it belongs to."""

    symbol: str
    name: str
    system: str


# --------------------------------------------------------------------------- the list


def unit_lines() -> Iterator[tuple[str, list[str]]]:
    """Yield (group, names and spellings) of every unit in the list."""
    system = ""
    for line in (FOLDER / "units.txt").read_text(encoding="utf-8").splitlines():
        text = line.partition("#")[0].strip()
        if text.startswith("@"):
            system = text.removeprefix("@group").strip() if text.startswith("@group") else ""
        elif text:
            name, _, symbol, *others = (part.strip() for part in text.split("="))
            yield system, [name, symbol, *others]


@cache
def _spellings() -> Mapping[str, Unit]:
    """Return the unit of every spelling, without spaces and dots; in lower case, except where case matters."""
    found: dict[str, Unit] = {}
    for system, (name, symbol, *others) in unit_lines():
        unit = Unit("%" if name == "percent" else symbol, name, system)
        for spelling in (name, symbol, *others):
            bare = spelling.replace("_", "")
            found[bare if bare in ("T", "t") else bare.lower()] = unit
    return found


@cache
def units() -> Mapping[str, Unit]:
    """Return every unit by its symbol."""
    return {unit.symbol: unit for unit in _spellings().values()}


@cache
def unit_pattern() -> str:
    """Return a regular expression, for folded text, of every spelling: longest first, whole words only."""
    spelled = {part for _, names in unit_lines() for part in names} - {"T"}
    longest_first = sorted((s.lower() for s in spelled), key=lambda s: (-len(s), s))
    words = "|".join(r"[\s.\-]*".join(map(re.escape, s.split("_"))) for s in longest_first)
    return rf"(?:(?:{words})(?![^\W\d_])\.?|[%#])"


@lru_cache(maxsize=4096)
def unit_of_spelling(written: str) -> str | None:
    """Return the symbol of a unit as written, case kept: `oz.` is `oz`, `T` is `tbsp`, `t` is `tsp`."""
    if written in _SIGNS:
        return _SIGNS[written]
    bare = re.sub(r"[\s.\-_]", "", written)
    unit = _spellings().get(bare if bare in ("T", "t") else fold_letters(bare))
    return unit.symbol if unit else None


# --------------------------------------------------------------------------- grams


@cache
def _factors() -> Mapping[str, tuple[Dimension, float]]:
    """Return what each unit measures and how many grams, millilitres or hundredths it comes to, by its symbol."""
    of_name = {row["unit"]: row for row in rows("unit_factors.csv")}
    return {
        symbol: (cast("Dimension", of_name[unit.name]["measures"]), number(of_name[unit.name]["per_unit"]))
        for symbol, unit in units().items()
    }


def dimension(unit: str) -> Dimension:
    """Return what a unit measures. `lb oz` is a mass.

    Raises
    ------
    KeyError
        Where `unit` is not a symbol of the list.
    """
    return "mass" if unit == LB_OZ else _factors()[unit][0]


def per_unit(unit: str) -> float:
    """Return the grams of one unit of mass or the millilitres of one of volume; an amount in `lb oz` counts in lb."""
    return _factors()["lb" if unit == LB_OZ else unit][1]


def to_grams(value: float, unit: str, substance: Substance | None = None) -> float:
    """Turn an amount into grams [g].

    Parameters
    ----------
    value
        The amount in `unit`; for `lb oz` in pounds.
    unit
        A symbol of the list.
    substance
        What is measured: a volume is turned into grams with its published weight per cup, else its density.

    Returns
    -------
    float
        Grams; NaN for a volume of something whose weight is not known, and for a share.

    Examples
    --------
    >>> round(to_grams(9.42, "oz"), 3)
    267.053
    """
    measured = dimension(unit)
    if measured == "mass":
        return value * per_unit(unit)
    if measured == "share" or substance is None:
        return math.nan
    millilitres = value * per_unit(unit)
    if math.isnan(substance.g_per_cup):
        return millilitres * substance.density
    return millilitres * substance.g_per_cup / ML_PER_CUP
