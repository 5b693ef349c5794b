"""Amounts rounded to the scale, lye and liquid computed anew for what was rounded.

The order keeps lye on the safe side: fats and all that takes up lye are rounded first, then the liquid, whose milk may
bring fat; lye is computed for what was rounded, at the recipe's own superfat, and rounded down.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import Audit
from sheetcheck.rescaling.bench import Bench, Floats, grams_per
from sheetcheck.rescaling.per_gram import per_gram

Mask = npt.NDArray[np.bool_]
Rounder = Callable[[Floats], Floats]

_FRACTION_SHARE = 0.005  # of an amount: how far an even fraction may lie from it; common practice, no source
_EVEN: Mapping[str, tuple[float, ...]] = {  # ounces: fractions that kitchens use, coarsest first
    "lb": (8, 4, 2, 1, 0.5, 0.25, 0.125),
    "oz": (0.5, 0.25, 0.125),
}
_SAME = 1e-9


def rounded(
    audit: Audit, jobs: pd.DataFrame, lines: pd.DataFrame, bench: Bench, *, keep_lye: bool
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Round every amount to the scale, and compute lye and liquid for what was rounded."""

    def computed(amounts: pd.DataFrame) -> pd.DataFrame:
        return compute(jobs, amounts, audit.settings, audit.book.own_values)

    def times_share(done: pd.DataFrame) -> Floats:
        """Multiply lye and liquid so that the recipe's own superfat comes out again."""
        return exact * _lye_share(done, jobs)[lines["recipe"]].to_numpy(dtype=np.float64)

    nearest, down = _rounders(jobs, lines, bench)
    exact = lines["exact_g"].to_numpy(dtype=np.float64)
    is_lye = _is_lye(lines).to_numpy(dtype=bool)
    is_liquid = (lines["role"] == "liquid").to_numpy(dtype=bool) & ~is_lye
    weighed = lines["weighed"].to_numpy(dtype=bool)

    lines = lines.assign(grams=np.where(weighed & ~is_lye & ~is_liquid, nearest(exact), exact))
    liquid = exact if keep_lye else times_share(computed(lines))
    lines = lines.assign(grams=np.where(is_liquid & weighed, nearest(liquid), lines["grams"]))
    lye = times_share(computed(lines))
    chosen = exact if keep_lye else lye
    lines = lines.assign(
        exact_g=np.where(is_lye, chosen, np.where(is_liquid, liquid, exact)),
        grams=np.where(is_lye, down(chosen), lines["grams"]),
    )
    lines = _shown(lines, jobs, bench)
    if not keep_lye:
        lines = _shown(_topped_up(audit, jobs, lines, is_lye), jobs, bench)
    done = computed(lines)
    return (
        done.assign(
            lye_step_points=_lye_step_points(done, lines[is_lye]),
            lye_scaled_g=_total(down(exact), is_lye, lines, jobs),
            lye_computed_g=_total(down(lye), is_lye, lines, jobs),
        ),
        lines,
    )


def _is_lye(lines: pd.DataFrame) -> pd.Series[bool]:
    return (lines["role"] == "alkali") | lines["substance"].isin(["sodium hydroxide", "potassium hydroxide"])


def _lye_share(computed: pd.DataFrame, jobs: pd.DataFrame) -> pd.Series[float]:
    """Return what the lye of each job has to be multiplied with to give the recipe's own superfat again."""
    wanted = computed["needed_typical_g"] * (1 - jobs["superfat_before"] / 100)
    return wanted / computed["alkali_g"]


def _topped_up(audit: Audit, jobs: pd.DataFrame, lines: pd.DataFrame, is_lye: Mask) -> pd.DataFrame:
    """Give a step back to one or more of several lyes that were each rounded down, where all fit below their sum."""
    count = lines["recipe"].map(lines.loc[is_lye, "recipe"].value_counts()).to_numpy(dtype=np.float64)
    several = is_lye & (count > 1) & (lines["shown"] > 0).to_numpy(dtype=bool)
    if not several.any():
        return lines
    grams, exact = (lines[column].to_numpy(dtype=np.float64).copy() for column in ("grams", "exact_g"))
    per_unit = np.array([grams_per(unit) for unit in jobs["weigh_unit"][lines["recipe"]]])
    step, brings = lines["step"].to_numpy(dtype=np.float64) * per_unit, per_gram(audit, jobs.index, lines).brings
    recipe = lines["recipe"].to_numpy()
    for job in dict.fromkeys(recipe[several].tolist()):
        own = np.flatnonzero(several & (recipe == job))
        room = float(((exact[own] - grams[own]) * brings[own]).sum())
        for at in own[np.argsort(-(exact[own] - grams[own]) / step[own], kind="stable")]:
            if brings[at] > 0 and step[at] * brings[at] <= room + _SAME:
                grams[at] += step[at]
                room -= step[at] * brings[at]
    return lines.assign(grams=grams)


def _rounders(jobs: pd.DataFrame, lines: pd.DataFrame, bench: Bench) -> tuple[Rounder, Rounder]:
    """Return functions that round grams, line by line, to the nearest step and down."""
    units = jobs["weigh_unit"][lines["recipe"]].to_numpy()
    written = np.where(lines["unit"].astype(object) == "lb", "lb", "oz")
    fraction = lines["fraction"].to_numpy(dtype=bool) & (units != "g")

    def by_unit(grams: Floats, way: str) -> Floats:
        result = grams.copy()
        for unit in set(units):
            rows = (units == unit) & np.isfinite(grams)
            per = grams_per(unit)
            result[rows] = getattr(bench.scale_for(unit), way)(grams[rows] / per) * per
        return result

    def nearest(grams: Floats) -> Floats:
        result = by_unit(grams, "nearest")
        for at in np.flatnonzero(fraction & np.isfinite(grams)):
            per, scale = grams_per(units[at]), bench.scale_for(units[at])
            step = float(scale.step_for(grams[at] / per))
            result[at] = _even(grams[at] / per, step, _EVEN[written[at]], result[at] / per) * per
        return result

    return nearest, lambda grams: by_unit(grams, "down")


def _even(weight: float, step: float, fractions: tuple[float, ...], otherwise: float) -> float:
    """Return the coarsest even fraction near a weight that the scale can show, else what was rounded to its step."""
    for fraction in fractions:
        on_scale = abs(fraction / step - round(fraction / step)) < _SAME
        near = round(weight / fraction) * fraction
        if on_scale and near > 0 and abs(near - weight) <= _FRACTION_SHARE * weight:
            return near
    return otherwise


def _shown(lines: pd.DataFrame, jobs: pd.DataFrame, bench: Bench) -> pd.DataFrame:
    """Add what the scale has to show, and its step there."""
    units = jobs["weigh_unit"][lines["recipe"]].to_numpy()
    per = np.array([grams_per(unit) for unit in units])
    shown = np.round(lines["grams"].to_numpy(dtype=np.float64) / per, 9)
    step = np.full(len(lines), math.nan)
    for unit in set(units):
        rows = (units == unit) & np.isfinite(shown)
        step[rows] = bench.scale_for(unit).step_for(shown[rows])
    return lines.assign(shown=np.where(lines["weighed"], shown, np.nan), step=np.where(lines["weighed"], step, np.nan))


def _lye_step_points(done: pd.DataFrame, lye: pd.DataFrame) -> pd.Series[float]:
    """Return how many points of superfat one step of the scale in the lye makes up; of several lyes, the most."""
    own = lye[lye["grams"] > 0]
    step_g = own["step"] * own["grams"] / own["shown"]
    lye_g = own.groupby("recipe")["grams"].transform("sum")
    share = (step_g / lye_g).groupby(own["recipe"]).max().reindex(done.index)
    return 100 * share * done["alkali_g"] / done["needed_typical_g"]


def _total(grams: Floats, which: Mask, lines: pd.DataFrame, jobs: pd.DataFrame) -> pd.Series[float]:
    recipe = lines["recipe"].to_numpy(dtype=np.int64)[which]
    return pd.Series(grams[which]).groupby(recipe).sum().reindex(jobs.index)
