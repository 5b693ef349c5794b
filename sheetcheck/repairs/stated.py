"""What the sheets state about their recipes and a person typed: formulas follow the amounts and prove nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.repairs.entries import MASS_UNITS, Entries, Floats, Ints, Mask
from sheetcheck.rules import Evidence

Share = tuple[int, int, float, float]  # row and column of the amount it is about, percent, least difference as written

_FINEST = 4  # decimals


@dataclass(frozen=True)
class Statements:
    """Arrays over recipes, NaN where nothing is stated; a step is the least difference as written."""

    superfat: Floats  # percent
    superfat_other: Floats
    fats_total: Floats  # g
    fats_step: Floats
    batch_total: Floats
    batch_step: Floats
    makes: Floats  # g
    concentration: Floats  # percent
    liquid_to_lye: Floats
    no_margin: Mask
    shares: Mapping[int, tuple[Share, ...]]  # by position
    lines: Mapping[str, Ints]  # by kind: place of each recipe's statement in `frame`, -1 for none
    frame: pd.DataFrame


def read_statements(evidence: Evidence, entries: Entries) -> Statements:
    """Take the statements that were typed, of each kind the first."""
    recipes = evidence.recipes
    frame = evidence.statements
    typed = (frame["stored"] != "formula") & frame["value"].notna() & frame["recipe"].isin(entries.index)
    computed = frame.loc[(frame["kind"] == "superfat") & (frame["stored"] == "formula"), "recipe"]
    frame = frame[typed].reset_index(drop=True)
    place = pd.Index(entries.index).get_indexer(pd.Index(frame["recipe"])).astype(np.int64)
    steps = _steps(frame)
    lines = {kind: _first(frame, kind, place, len(recipes)) for kind in _KINDS}

    def of(kind: str, values: Floats) -> Floats:
        at = lines[kind]
        return np.where(at >= 0, np.append(values, np.nan)[at], np.nan)

    value = frame["value"].to_numpy(dtype=np.float64)
    superfat = of("superfat", value)
    said = np.where(np.isin(entries.index, computed), np.nan, _column(recipes, "stated_superfat"))
    other = of("superfat", frame["other_value"].to_numpy(dtype=np.float64))
    return Statements(
        superfat=np.where(np.isnan(superfat), said, superfat),
        superfat_other=np.where(np.isnan(superfat), _column(recipes, "stated_superfat_other"), other),
        fats_total=of("fats total", value),
        fats_step=of("fats total", steps),
        batch_total=of("batch total", value),
        batch_step=of("batch total", steps),
        makes=of("yield", value),
        concentration=of("lye concentration", value),
        liquid_to_lye=of("liquid to lye", value),
        no_margin=recipes["no_margin_stated"].to_numpy(dtype=bool),
        shares=_shares(frame, place, steps),
        lines=lines,
        frame=frame,
    )


_KINDS = ("superfat", "fats total", "batch total", "yield", "lye concentration", "liquid to lye")


def _column(recipes: pd.DataFrame, name: str) -> Floats:
    return recipes[name].to_numpy(dtype=np.float64)


def _first(frame: pd.DataFrame, kind: str, place: Ints, count: int) -> Ints:
    at = np.flatnonzero((frame["kind"] == kind).to_numpy())
    found = np.full(count, -1, dtype=np.int64)
    found[place[at[::-1]]] = at[::-1]
    return found


def _shares(frame: pd.DataFrame, place: Ints, steps: Floats) -> dict[int, tuple[Share, ...]]:
    at = np.flatnonzero(((frame["kind"] == "share of fats") & (frame["about_row"] > 0)).to_numpy())
    rows, columns = (frame[name].to_numpy(dtype=np.int64) for name in ("about_row", "about_column"))
    value = frame["value"].to_numpy(dtype=np.float64)
    found: dict[int, list[Share]] = {}
    for i in at:
        share = (int(rows[i]), int(columns[i]), float(value[i]), float(steps[i]))
        found.setdefault(int(place[i]), []).append(share)
    return {position: tuple(shares) for position, shares in found.items()}


def _steps(frame: pd.DataFrame) -> Floats:
    """Least difference of each statement, in its own measure, from the decimals that its number has."""
    each = frame["unit"].map(MASS_UNITS).to_numpy(dtype=np.float64)
    each = np.where(np.isnan(each), 1.0, each)
    shown = frame["value"].to_numpy(dtype=np.float64) / each
    return np.asarray(each * 10.0 ** -_decimals(shown))


def _decimals(values: Floats) -> npt.NDArray[np.float64]:
    """Decimals that a number needs, four at most."""
    needed = np.full(len(values), float(_FINEST))
    for decimals in range(_FINEST - 1, -1, -1):
        needed[np.abs(values - np.round(values, decimals)) < 1e-6 * np.maximum(np.abs(values), 1)] = decimals
    return needed
