"""What rounding to the scale has moved, and the step of a scale that would do better."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sheetcheck.rescaling.amounts import weight_text
from sheetcheck.rescaling.bench import grams_per, scale_unit
from sheetcheck.rescaling.fitting import KEPT, TOO_FAR
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rules.support.wording import joined, percent, plain
from sheetcheck.words import later, tr

WORTH_TELLING = KEPT  # points of superfat or of lye concentration
_RESIZED = 0.005  # share of a size from which another one is told

_SUPERFAT = (
    later("Superfat {before} became {after}."),
    later("Superfat {before} became {after}; a scale that shows {step} would keep it."),
)
_CONCENTRATION = (
    later("Lye concentration {before} became {after}."),
    later("Lye concentration {before} became {after}; a scale that shows {step} would keep it."),
)


@dataclass(frozen=True, slots=True)
class Moved:
    """One figure of a rescaled recipe that rounding has moved by more than `WORTH_TELLING`."""

    job: int
    name: str
    sentence: str


def too_coarse(job: Job, rescaled: Rescaled) -> str:
    """Say that the scale is too coarse for a batch, and which batch it could weigh; nothing where it is not."""
    if rescaled.keep_lye or job.superfat_typical - job.superfat_before <= TOO_FAR:
        return ""
    moved_by = {"before": percent(job.superfat_before), "after": percent(job.superfat_typical)}
    coarse = tr("The scale is too coarse for this batch: superfat {before} became {after}.", **moved_by)
    per = grams_per(job.weigh_unit)
    finer, _ = _finer(job, rescaled, TOO_FAR)
    step = f"{plain(finer, 4)} {scale_unit(job.weigh_unit)}"
    finer_scale = tr("Weigh the lye on a finer scale.")
    if not math.isnan(finer):
        finer_scale = tr("A scale that shows {step} would keep it within a point.", step=step)
    if math.isnan(job.weighable):
        return joined(coarse, finer_scale)
    fats = job.fat_g / job.resized * job.weighable
    nearest = tr(
        "The nearest batch that it can weigh has {fats} of fats ({times} times what was asked for).",
        fats=weight_text(round(fats / per, 1), job.weigh_unit),
        times=plain(job.weighable, 3),
    )
    return joined(coarse, finer_scale, nearest)


def resized(job: Job) -> str:
    """Say that a batch is made a little larger or smaller than asked for; nothing where it is not."""
    share = abs(job.resized - 1)
    if share < _RESIZED:
        return ""
    if job.resized > 1:
        return tr("{share} larger than asked for, so that the scale can show its lye.", share=percent(100 * share))
    return tr("{share} smaller than asked for, so that the scale can show its lye.", share=percent(100 * share))


def moved(rescaled: Rescaled) -> list[Moved]:
    """List what moved, in the order of the jobs."""
    return [
        Moved(job.Index, job.name, " ".join(sentences))
        for job in job_rows(rescaled.jobs)
        if (sentences := [x for x in (too_coarse(job, rescaled), *_sentences(job, rescaled), resized(job)) if x])
    ]


def _sentences(job: Job, rescaled: Rescaled) -> list[str]:
    finer = _finer(job, rescaled, WORTH_TELLING)
    pairs = (
        (_SUPERFAT, job.superfat_before, job.superfat_typical, finer[0]),
        (_CONCENTRATION, job.concentration_before, job.lye_concentration, finer[1]),
    )
    told = pairs[1:] if too_coarse(job, rescaled) else pairs  # which has told of superfat
    return [
        _became(sentences, before, after, step, scale_unit(job.weigh_unit))
        for sentences, before, after, step in told
        if abs(after - before) > WORTH_TELLING
    ]


def _became(sentences: tuple[str, str], before: float, after: float, step: float, unit: str) -> str:
    """Say what moved, and the step of a scale that would keep it where there is one."""
    alone, with_step = sentences
    moved_by = {"before": percent(before), "after": percent(after)}
    if math.isnan(step):
        return tr(alone, **moved_by)
    return tr(with_step, step=f"{plain(step, 4)} {unit}", **moved_by)


def _finer(job: Job, rescaled: Rescaled, points: float) -> tuple[float, float]:
    """Return the steps that keep superfat, and concentration, within so many points."""
    scale, per = rescaled.bench.scale_for(job.weigh_unit), grams_per(job.weigh_unit)
    # One step of lye, and half a step of liquid, is the most that rounding takes from them.
    superfat_points = 100 * per / job.needed_typical_g * _strength(job, rescaled)
    lye = job.naoh_g + job.koh_g
    concentration_points = 100 * per * (job.water_g + lye / 2) / (lye + job.water_g) ** 2
    return scale.finer(points / superfat_points), scale.finer(points / concentration_points)


def _strength(job: Job, rescaled: Rescaled) -> float:
    """Return grams of pure alkali, in the recipe's own kind, in each gram of lye weighed."""
    own = rescaled.lines[(rescaled.lines["recipe"] == job.Index) & (rescaled.lines["role"] == "alkali")]
    weighed = float(own["grams"].sum())
    return float(job.alkali_g / weighed) if weighed else 1.0
