"""Fats fitted to the lye: on a coarse scale each fat is rounded up or down so that lye's step loses little.

Rounded each to its nearest step, fats may call for a little less than a step of lye, and a whole step is lost. Of the
ways to round them the one is taken whose lye lies near a step, and which changes the recipe least.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import product

import numpy as np
import pandas as pd

from sheetcheck.model import Audit
from sheetcheck.rescaling.bench import Floats, grams_per
from sheetcheck.rescaling.per_gram import per_gram
from sheetcheck.rescaling.rows import Job, job_rows

_MOST_WAYS = 5_000  # to round the fats of one batch
_FURTHER = 0.05  # of a fat, that it may be moved by beyond the steps beside it; common practice, no source
_POINTS_FOR_CHANGE = 5.0  # points of superfat that changing a whole recipe is worth; common practice, no source
_SAME = 1e-9


def other_roundings(
    audit: Audit, jobs: pd.DataFrame, lines: pd.DataFrame, room: Mapping[int, tuple[float, float]], *, kept: float
) -> pd.DataFrame:
    """Return the lines with the exact amounts of their fats put on the steps that suit the lye.

    Parameters
    ----------
    jobs, lines
        Computed and rounded, as `rounding.rounded` returns them.
    room
        Least and most fats [g] of each job.
    kept
        Points of superfat above the recipe's own that count as none.
    """
    per = per_gram(audit, jobs.index, lines)
    exact = lines["exact_g"].to_numpy(dtype=np.float64).copy()
    recipe = lines["recipe"].to_numpy()
    is_fat = ((lines["role"] == "fat") & lines["weighed"]).to_numpy(dtype=bool)
    grams, step = (lines[column].to_numpy(dtype=np.float64) for column in ("grams", "step"))
    for job in job_rows(jobs):
        own = np.flatnonzero(recipe == job.Index)
        unit = grams_per(job.weigh_unit)
        fats, lye = own[is_fat[own]], own[per.brings[own] > 0]
        if not len(fats) or not len(lye):
            continue
        tried = _ways(exact[fats], step[fats] * unit)
        others = float((grams[own] * per.takes_up[own])[~np.isin(own, fats)].sum())
        above = _above(job, others + tried @ per.takes_up[fats], float((step[lye] * unit * per.brings[lye]).min()))
        least, most = room[job.Index]
        total = tried.sum(axis=1)
        fits = (total >= least - _SAME) & (total <= most + _SAME)
        if fits.any():
            change = np.abs(tried - exact[fats]).sum(axis=1) / exact[fats].sum()
            worth = np.where(above <= kept, 0.0, above) + _POINTS_FOR_CHANGE * change
            exact[fats] = tried[np.where(fits, worth, np.inf).argmin()]
    return lines.assign(exact_g=exact, grams=exact)


def _ways(exact: Floats, step: Floats) -> Floats:
    """Return the ways to round fats up and down, nearest first where they would be too many: ways by fats."""
    choices = [_steps_near(fat, own) for fat, own in zip(exact, step, strict=True)]
    while math.prod(len(own) for own in choices) > _MOST_WAYS:
        max(choices, key=len).pop()
    return np.array(list(product(*choices)))


def _steps_near(fat: float, step: float) -> list[float]:
    """Return the steps on both sides of a weight, nearest first, and further ones that hardly change its share."""
    below = math.floor(fat / step + _SAME)
    on_both_sides = {max(below, 1) * step, max(below + (below * step + _SAME < fat), 1) * step}
    further = {n * step for n in (below - 1, below + 2) if n > 0 and abs(n * step - fat) <= _FURTHER * fat}
    return sorted(on_both_sides | further, key=lambda weight: (abs(weight - fat), weight))


def _above(job: Job, needed: Floats, step: float) -> Floats:
    """Return the points of superfat above the recipe's own that each need of NaOH leaves, lye rounded down."""
    wanted = needed * (1 - job.superfat_before / 100)
    return 100 * (wanted - np.floor(wanted / step + _SAME) * step) / needed
