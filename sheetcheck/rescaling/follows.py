"""What follows from a batch: how it goes into the moulds, bars and their weight, when it is cured, what it costs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sheetcheck.rescaling.moulds import Pour, pours
from sheetcheck.rescaling.prices import Cost, cost_of
from sheetcheck.rescaling.rows import Job
from sheetcheck.rescaling.scaling import Rescaled

UNMOULD_DAYS = (1, 3)  # common practice, no source
CURE_DAYS = (28, 42)  # four to six weeks; common practice, no source

_ALIKE = 0.01  # share of a bar's weight by which bars of one set may differ


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars cut from all batches of a job: how many, what one weighs when cut, and once it is cured [g].

    Bars of moulds that are cut differently have no one weight: `fresh`, `least` and `most` are NaN.
    `least` and `most` are the maker's own figure for what a bar loses; where she says none they are what cannot be
    passed: all of its water lost, and none.
    """

    count: int
    fresh: float
    least: float
    most: float
    said: bool  # whether the loss is the maker's own figure


def made(rescaled: Rescaled) -> float:
    """Return the share of a batch that leaves the pot."""
    return 1 - rescaled.bench.left_in_pot / 100


def pours_of(job: Job, rescaled: Rescaled) -> tuple[Pour, ...]:
    """Return what goes into each mould of a job's size, all batches together; nothing where it has no moulds."""
    moulds = rescaled.targets[job.target].moulds
    if moulds is None:
        return ()
    n = job.batches
    return pours(moulds, job.batch_g * n, job.batter_ml * n, job.fat_g * n, made(rescaled))


def bars_of(job: Job, rescaled: Rescaled) -> Bars | None:
    """Return the bars of a job; None where nothing says how many are cut."""
    count = rescaled.targets[job.target].bars
    if not count:
        return None
    fresh = job.batch_g * job.batches * made(rescaled) / count
    each = [pour.grams / pour.mould.bars for pour in pours_of(job, rescaled)]
    if each and max(each) - min(each) > _ALIKE * max(each):
        fresh = math.nan
    loss = rescaled.bench.cure_loss
    if loss is not None:
        return Bars(count, fresh, fresh * (1 - loss[1] / 100), fresh * (1 - loss[0] / 100), said=True)
    least = fresh * job.cured_least_g / job.batch_g if not math.isnan(job.cured_least_g) else math.nan
    return Bars(count, fresh, least, fresh, said=False)


def cost(job: Job, rescaled: Rescaled) -> Cost | None:
    """Return what one batch of a job costs; None where her book has no price of anything in it."""
    if not rescaled.prices:
        return None
    return cost_of(rescaled.lines[rescaled.lines["recipe"] == job.Index], rescaled.prices)
