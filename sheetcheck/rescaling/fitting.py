"""Batch sizes fitted to the scale: lye first, so that a coarse step does not change the recipe.

Lye is the smallest of the great weights, and rounded down it may lose much of a step. A batch a little larger or
smaller has its lye on a step. So sizes near the one asked for are tried, and the nearest that keeps the recipe's own
superfat is taken; where none does, the nearest size that could be weighed is proposed.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from sheetcheck.model import Audit
from sheetcheck.rescaling.bench import Bench, Floats, grams_per
from sheetcheck.rescaling.fats_to_lye import other_roundings
from sheetcheck.rescaling.rounding import rounded
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.targets import Target

KEPT = 0.3  # points of superfat above the recipe's own that count as kept; common practice, no source, as the next ones
TOO_FAR = 1.0  # points from which the scale is too coarse for the batch
_ROOM = {"moulds": (0.994, 1.002), "bars": (0.994, 1.002)}  # how far a size may be moved: moulds run over
_OTHER_ROOM = (0.92, 1.08)
_ROUNDING = 0.003  # share of a size that rounding may add to its room, so that a mould stays within a hundredth
_OUT_OF_ROOM = 1000.0  # points of superfat that a batch of another size altogether beyond its room is worth
_POINTS_FOR_SIZE = 5.0  # points of superfat that a batch of another size altogether is worth: a twentieth, a quarter
_TRIED, _STRETCH = 61, 60  # sizes, and jobs at a time
_AFAR = np.geomspace(0.25, 6.0, 800)  # sizes, by the one asked for, that may be proposed

Jobs = pd.DataFrame


def fitted(
    audit: Audit, jobs: Jobs, lines: pd.DataFrame, targets: tuple[Target, ...], bench: Bench
) -> tuple[Jobs, pd.DataFrame]:
    """Round every amount, at the nearest size that keeps the recipe's own superfat.

    Parameters
    ----------
    jobs, lines
        As `scaling` makes them: what is to be made, and its exact amounts.

    Returns
    -------
    tuple
        The jobs computed for what is weighed, with `factor` and `whole` of the size taken, and besides: resized (the
        size taken, by the one asked for) and weighable (the nearest size that can be weighed, by the one asked for;
        NaN where it need not be told or is not known); and their lines.
    """
    done, amounts = rounded(audit, jobs, lines, bench, keep_lye=False)
    poor = done.index[~(_above(done) <= KEPT)]
    resized = pd.Series(1.0, index=jobs.index)
    for some in _stretches(poor):
        resized[some] = _nearest_kept(audit, jobs.loc[some], lines, targets, bench)
    moved = resized.index[resized != 1]
    if len(moved):
        sizes: Floats = np.asarray(resized[moved], dtype=np.float64)
        again, of_these = rounded(audit, *_resized(jobs, lines, moved, sizes), bench, keep_lye=False)
        again.index = moved  # in the order of `moved`
        of_these = of_these.assign(recipe=moved.to_numpy()[of_these["recipe"].to_numpy() - 1])
        done, amounts = _instead(done, amounts, again, of_these)
    done, amounts = _fats_to_lye(audit, done.assign(resized=resized), amounts, jobs, targets, bench)
    return done.assign(weighable=weighable(audit, jobs, done, lines, targets, bench)), amounts


def _instead(done: Jobs, amounts: pd.DataFrame, again: Jobs, of_these: pd.DataFrame) -> tuple[Jobs, pd.DataFrame]:
    """Put jobs and their lines in the place of those of the same numbers."""
    jobs = pd.concat([done.drop(index=again.index), again]).loc[done.index]
    lines = pd.concat([amounts[~amounts["recipe"].isin(again.index)], of_these]).sort_index(kind="stable")
    return jobs, lines.sort_values("recipe", kind="stable", ignore_index=True)


def _fats_to_lye(  # noqa: PLR0913, PLR0917 - all that a batch is judged by
    audit: Audit, done: Jobs, amounts: pd.DataFrame, asked: Jobs, targets: tuple[Target, ...], bench: Bench
) -> tuple[Jobs, pd.DataFrame]:
    """Round fats of what is still off the other way where that keeps superfat nearer, within the room of its size."""
    poor = done.index[_above(done) > KEPT]
    if poor.empty:
        return done, amounts
    before, room = amounts[amounts["recipe"].isin(poor)], {}
    for job in job_rows(asked.loc[poor]):
        low, high = _room(job, targets)
        most = max(_most(job, bench, high), low)
        whole = job.fat_g * job.factor
        room[job.Index] = whole * (low - _ROUNDING), whole * (most + _ROUNDING)
    otherwise = other_roundings(audit, done.loc[poor], before, room, kept=KEPT)
    again, after = rounded(audit, done.loc[poor], otherwise, bench, keep_lye=False)
    is_fat = (after["role"] == "fat").to_numpy()
    after = after.assign(exact_g=np.where(is_fat, before["exact_g"], after["exact_g"]))
    better = again.index[(_above(again) < _above(done.loc[poor]) - 0.01) & (again["alkali_g"] > 0)]
    if better.empty:
        return done, amounts
    again = again.loc[better]
    made = again["fat_g"] / (asked["fat_g"] * asked["factor"])[better] / again["resized"]
    again = again.assign(**{name: again[name] * made for name in ("factor", "whole", "resized")})
    return _instead(done, amounts, again, after[after["recipe"].isin(better)])


def weighable(  # noqa: PLR0913, PLR0917 - all that a batch is judged by
    audit: Audit, jobs: Jobs, done: Jobs, lines: pd.DataFrame, targets: tuple[Target, ...], bench: Bench
) -> pd.Series[float]:
    """Return the nearest size that can be weighed, where the scale is too coarse for the one asked for.

    It is none that the moulds, the pot or the scale could not take.
    """
    found = pd.Series(np.nan, index=jobs.index)
    for some in _stretches(done.index[~(_above(done) <= TOO_FAR)], 20):
        above, _ = _tried(audit, jobs.loc[some], lines, np.tile(_AFAR, (len(some), 1)), bench)
        most = np.array([_most(job, bench, _afar(job, targets)) for job in job_rows(jobs.loc[some])])[:, None]
        good = np.where((above >= 0) & (above <= TOO_FAR / 2) & (most >= _AFAR), np.abs(np.log(_AFAR)), np.inf)
        best = good.argmin(axis=1)
        found[some] = np.where(np.isfinite(good.min(axis=1)), _AFAR[best], np.nan)
    return found


def _above(done: Jobs) -> pd.Series[float]:
    """Return the points of superfat above the recipe's own; below it, where rounding has gone wrong, NaN."""
    above = done["superfat_typical"] - done["superfat_before"]
    return above.where(above > -1e-6)


def _stretches(jobs: pd.Index, length: int = _STRETCH) -> Iterator[pd.Index]:
    yield from (jobs[start : start + length] for start in range(0, len(jobs), length))


def _nearest_kept(audit: Audit, jobs: Jobs, lines: pd.DataFrame, targets: tuple[Target, ...], bench: Bench) -> Floats:
    """Return how many times its size each job is best made: as asked for where nothing is gained."""
    sizes = np.array([_sizes(job, targets, bench) for job in job_rows(jobs)])
    above, made = _tried(audit, jobs, lines, sizes, bench)
    above = np.where(above >= 0, above, np.inf)
    kept = np.where(above <= KEPT, 0.0, np.round(above, 1))  # what is kept is kept alike, and the nearest size wins
    room = np.array([_room(job, targets) for job in job_rows(jobs)])
    low, high = room[:, :1] - _ROUNDING, room[:, 1:] + _ROUNDING
    outside = np.maximum(np.maximum(low - made, made - high), 0)
    best = (kept + _POINTS_FOR_SIZE * np.abs(made - 1) + _OUT_OF_ROOM * outside).argmin(axis=1)
    return np.asarray(np.take_along_axis(sizes, best[:, None], axis=1)[:, 0])


def _room(job: Job, targets: tuple[Target, ...]) -> tuple[float, float]:
    """Return how far a size may be moved, by the one asked for."""
    return _ROOM.get(targets[job.target].kind, _OTHER_ROOM)


def _afar(job: Job, targets: tuple[Target, ...]) -> float:
    """Return the largest size that may be proposed: no more than its moulds take."""
    kind = targets[job.target].kind
    return _ROOM[kind][1] if kind in _ROOM else float(_AFAR[-1])


def _most(job: Job, bench: Bench, otherwise: float) -> float:
    """Return the largest size, by the one asked for, that the pot and the scale take."""
    volume = job.batter_ml * job.factor
    heaviest = np.nanmax([job.fat_g, job.liquid_g]) * job.factor / grams_per(job.weigh_unit)
    in_pot = bench.pot_ml / volume if volume > 0 else otherwise
    return float(min(otherwise, in_pot, bench.scale_for(job.weigh_unit).capacity / heaviest))


def _sizes(job: Job, targets: tuple[Target, ...], bench: Bench) -> Floats:
    """Return the sizes to try, by the one asked for: within its room, the pot's and the scale's."""
    low, high = _room(job, targets)
    return np.sort([1.0, *np.linspace(low, max(_most(job, bench, high), low), _TRIED - 1)])


def _tried(audit: Audit, jobs: Jobs, lines: pd.DataFrame, sizes: Floats, bench: Bench) -> tuple[Floats, Floats]:
    """Return what each job (row) has at each of its sizes.

    Points of superfat above the recipe's own, and how large the batch really is once it is rounded, by the size asked
    for.
    """
    repeated = jobs.index.repeat(sizes.shape[1])
    done, _ = rounded(audit, *_resized(jobs, lines, repeated, sizes.ravel()), bench, keep_lye=False)
    alive = np.where(done["alkali_g"] > 0, _above(done), np.nan)
    asked = (jobs["batch_g"] * jobs["factor"]).to_numpy(dtype=np.float64)[:, None]
    made = done["batch_g"].to_numpy(dtype=np.float64).reshape(sizes.shape) / asked
    return np.asarray(alive, dtype=np.float64).reshape(sizes.shape), np.where(np.isnan(made), sizes, made)


def _resized(jobs: Jobs, lines: pd.DataFrame, which: pd.Index, sizes: Floats) -> tuple[Jobs, pd.DataFrame]:
    """Return some jobs, each as often as it is named, in other sizes, with their exact amounts; numbered from 1."""
    made = jobs.loc[which]
    made.index = pd.RangeIndex(1, len(which) + 1)
    made = made.assign(factor=made["factor"] * sizes, whole=made["whole"] * sizes)
    wanted = pd.DataFrame({"recipe": which.to_numpy(), "job": made.index, "size": sizes})
    amounts = wanted.merge(lines, on="recipe", how="inner", sort=False)
    amounts["recipe"] = amounts.pop("job")
    size = amounts.pop("size")
    return made, amounts.assign(
        exact_g=amounts["exact_g"] * size,
        grams=amounts["grams"] * size,
        scaled_value=amounts["scaled_value"] * size,
    )
