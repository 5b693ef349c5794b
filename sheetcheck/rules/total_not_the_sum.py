"""A stated total is not the sum of the amounts.

Why it matters
--------------
Either the total is old, or an amount was changed or mistyped since: the total then helps to find which.

What a recipe is said to make ("makes 4 lb", "12 bars of 4 oz") is held against its amounts more loosely: soap loses
water as it dries.

Example
-------
Fats of 32, 10 and 6 oz, and a total of 38 oz: the 10 oz were once nothing, or the total was not brought up to date.

What to do
----------
Add the amounts up once more. If one of them looks strange, the total tells what it was.

Source
------
Common practice, no source; how much may be lost in rounding stands in the table of limits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.chemistry.ranges import Floats
from sheetcheck.model import Finding, Role, Signal, address
from sheetcheck.reading.units.units import to_grams
from sheetcheck.rules.support.evidence import Evidence, Place
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import StatementRow, statement_rows
from sheetcheck.rules.support.wording import mass
from sheetcheck.words import later, tr

TITLE = later("Total does not add up")
NEEDS = ("fat_g",)
REPAIRABLE = True

_PARTS: Mapping[str, tuple[tuple[Role, ...], ...]] = {
    # what a total may add up: makers count the additions in, or not; what is not known may be a fat
    "fats total": (("fat",), ("fat", "unknown")),
    "batch total": (
        ("fat", "alkali", "liquid", "acid", "unknown", "additive"),
        ("fat", "alkali", "liquid", "acid", "unknown"),
        ("fat", "alkali", "liquid"),
        ("fat",),
        ("fat", "unknown"),
    ),
}
_YIELD = "yield"
_SENTENCES = {  # by what the total is of, and whether its formula leaves something out
    ("fats total", False): later("The fats add up to {sum}; {cell} says {total}."),
    ("batch total", False): later("The amounts add up to {sum}; {cell} says {total}."),
    (_YIELD, False): later("The amounts add up to {sum}; {cell} says that they make {total}."),
    ("fats total", True): later(
        "The fats add up to {sum}; {cell} says {total}: its formula leaves out amounts that are text."
    ),
    ("batch total", True): later(
        "The amounts add up to {sum}; {cell} says {total}: its formula leaves out amounts that are text."
    ),
}


def check(evidence: Evidence) -> list[Finding]:
    """Find totals that no way of adding up gives: CAUTION; NOTICE where a formula leaves out what is text."""
    said = evidence.statements
    said = said[said["kind"].isin([*_PARTS, _YIELD]) & said["value"].notna()]
    if said.empty:
        return []
    sums = _sums(evidence, evidence.components["grams"])
    is_text = evidence.components["stored"] == "text"
    without_text = _sums(evidence, evidence.components["grams"].mask(is_text, 0.0)) if is_text.any() else sums
    found = []
    for kind, ways in _PARTS.items():
        stated = said[said["kind"] == kind]
        allowed = _allowed(evidence, stated)
        nearest, off = _compare(stated, sums, ways, allowed)
        _, off_without_text = _compare(stated, without_text, ways, allowed)
        left_out = (stated["stored"] == "formula").to_numpy() & ~off_without_text
        found += [
            _off(evidence, line, float(grams), left_out=bool(left))
            for line, grams, left in zip(statement_rows(stated[off]), nearest[off], left_out[off], strict=True)
        ]
    return [*found, *_yields(evidence, said[said["kind"] == _YIELD], sums)]


def _yields(evidence: Evidence, said: pd.DataFrame, sums: pd.DataFrame) -> list[Finding]:
    """Find yields that are less than the fats weigh, or more than all that goes in: CAUTION."""
    parts = sums.reindex(said["recipe"])
    least = evidence.limit("yield_least_of_fats") / 100 * parts["fat"].to_numpy(dtype=np.float64)
    everything = parts.sum(axis=1, skipna=False).to_numpy(dtype=np.float64)
    made = said["value"].to_numpy(dtype=np.float64)
    half = 0.5 * _grams_per(said["unit"].replace("lb oz", "oz")).to_numpy(dtype=np.float64)  # `makes 4 lb`
    off = (made + half < least) | (made - half > evidence.limit("yield_most_of_all") / 100 * everything)
    return [
        _off(evidence, line, float(grams), left_out=False)
        for line, grams in zip(statement_rows(said[off]), everything[off], strict=True)
    ]


def _compare(
    stated: pd.DataFrame, sums: pd.DataFrame, ways: Sequence[Sequence[str]], allowed: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return for each total the sum [g] that comes nearest to it, and whether even that is off."""
    if stated.empty:
        return np.empty(0), np.empty(0, dtype=np.bool_)
    candidates = pd.concat([sums[list(way)].sum(axis=1, skipna=False) for way in ways], axis=1)
    known = candidates.reindex(stated["recipe"]).to_numpy(dtype=np.float64)
    distance = np.abs(known - stated["value"].to_numpy()[:, None])
    nearest = known[np.arange(len(stated)), np.nan_to_num(distance, nan=np.inf).argmin(axis=1)]
    return nearest, ~np.isnan(known).any(axis=1) & ~(distance <= allowed[:, None]).any(axis=1)


def _sums(evidence: Evidence, grams: pd.Series[float]) -> pd.DataFrame:
    """Return the grams of each role in each recipe: 0 where there is none of it, unknown where an amount is unread."""
    roles: set[Role] = {role for ways in _PARTS.values() for way in ways for role in way}
    return pd.DataFrame({role: evidence.total(grams, role) for role in sorted(roles)})


def _allowed(evidence: Evidence, stated: pd.DataFrame) -> Floats:
    """Return how far a total may be off: a share of it, and what rounding every amount and the total can make."""
    lines = evidence.components
    half = (0.5 * _grams_per(lines["unit"]) * 10.0 ** -lines["decimals"]).fillna(0.0)
    rounding = evidence.total(half).reindex(stated["recipe"]).fillna(0.0).to_numpy()
    own_rounding = 0.5 * _grams_per(stated["unit"]).fillna(0.0).to_numpy()
    share = evidence.limit("total_tolerance_percent") / 100 * stated["value"].to_numpy()
    own = np.where(_is_whole(stated), own_rounding, 0.0)
    return np.asarray(np.maximum(share, rounding + own))


def _is_whole(stated: pd.DataFrame) -> NDArray[np.bool_]:
    """Tell which totals are whole numbers in their unit, so that they may have been rounded to one."""
    shown = stated["value"] / _grams_per(stated["unit"])
    return np.asarray(np.isclose(shown, shown.round()))


def _grams_per(units: pd.Series) -> pd.Series[float]:
    known = {unit: to_grams(1.0, unit) for unit in units.dropna().unique()}
    return units.map(known).astype(float)


def _off(evidence: Evidence, line: StatementRow, grams: float, *, left_out: bool) -> Finding:
    unit = line.unit if isinstance(line.unit, str) else evidence.recipe(line.recipe).unit
    stated, summed = mass(line.value, unit), mass(grams, unit)
    is_text = isinstance(line.written, str)
    held = str(line.written) if is_text else f"{line.value / to_grams(1.0, str(unit)):.10g} {unit}"
    place = Place(line.sheet, address(line.row, line.column), written=held, is_number=not is_text)
    return finding(
        __name__,
        Signal.NOTICE if left_out else Signal.CAUTION,
        place,
        int(line.recipe),
        tr(_SENTENCES[line.kind, left_out], sum=summed, cell=place.cell, total=stated),
        expected=tr("{sum}, or amounts that add up to {total}", sum=summed, total=stated),
        look_at=tr("the amounts that are text")
        if left_out
        else tr("each amount, and whether the total is older than them"),
    )
