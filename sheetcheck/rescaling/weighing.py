"""What a weigh sheet says of each amount: in which order, how exactly, and what it does to the soap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sheetcheck.reference import limits
from sheetcheck.rescaling.amounts import ingredient_name
from sheetcheck.rescaling.bench import Floats, grams_per
from sheetcheck.rescaling.per_gram import per_gram
from sheetcheck.rescaling.rows import Line, line_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.words import later

FAT_POINTS = (
    0.25  # points of superfat that an error in one weight may cost; common practice, no source, as the next two
)
LIQUID_SHARE, OTHER_SHARE = 0.01, 0.02  # of the amount
STEP_SHARE = 0.05  # of the amount: a step above it changes the batch even where it does nothing to superfat

ORDER = ("liquid", "alkali", "fat", "acid", "additive", "unknown")
GROUPS = {
    "liquid": later("Liquid, into the jug for the lye"),
    "alkali": later("Lye, into a dry cup of its own"),
    "fat": later("Fats, into the pot"),
    "acid": later("Acids, as your recipe adds them"),
    "additive": later("Additions"),
    "unknown": later("Additions"),
}


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line of a weigh sheet. Weights are in ounces or grams, as the scale counts them.

    Parameters
    ----------
    weight
        What to weigh; NaN where the maker judges the amount herself, which `line` then says.
    above, below
        How far off the weight may be, upwards and downwards: whole steps of the scale, 0 where one step is too much.
    takes_up, brings
        NaOH that one unit of weight takes up, and that it brings (KOH as the NaOH that it stands for).
    pure, water
        Pure alkali of its own kind, and water, in one unit of weight.
    """

    line: Line
    name: str
    role: str
    weight: float
    step: float
    above: float
    below: float
    points_per_step: float  # of superfat
    takes_up: float
    brings: float
    pure: float
    water: float


def weighings(rescaled: Rescaled) -> dict[int, list[Weighing]]:
    """Return the lines of every weigh sheet, by job, in the order of weighing."""
    jobs, lines = rescaled.jobs, rescaled.lines
    per = per_gram(rescaled.audit, jobs.index, lines)
    roles = np.where(per.is_alkali, "alkali", lines["role"].to_numpy(dtype=object))
    points = _points_per_unit(jobs, lines, per.takes_up, per.brings)
    room = jobs["superfat_typical"] - max(limits()["superfat_warning_below"].value, 0.0)
    result: dict[int, list[Weighing]] = {int(job): [] for job in jobs.index}
    figures = zip(roles, points, per.takes_up, per.brings, per.pure, per.water, strict=True)
    for line, (role, point, takes, gives, pure, water) in zip(line_rows(lines), figures, strict=True):
        above, below = _tolerance(str(role), line.shown, line.step, float(point), float(room[line.recipe]))
        result[line.recipe].append(
            Weighing(
                line=line,
                name=ingredient_name(line),
                role=str(role),
                weight=line.shown,
                step=line.step,
                above=above,
                below=below,
                points_per_step=float(point) * line.step,
                takes_up=float(takes),
                brings=float(gives),
                pure=float(pure),
                water=float(water),
            )
        )
    return {job: sorted(own, key=_place) for job, own in result.items()}


def _points_per_unit(jobs: pd.DataFrame, lines: pd.DataFrame, takes_up: Floats, brings: Floats) -> Floats:
    """Return how many points of superfat one unit of weight more of each line makes up: minus for lye."""
    grams = np.nan_to_num(lines["grams"].to_numpy(dtype=np.float64))
    sums = pd.DataFrame({"needed": grams * takes_up, "lye": grams * brings}).groupby(lines["recipe"].to_numpy())
    needed, lye = (sums[column].transform("sum").to_numpy(dtype=np.float64) for column in ("needed", "lye"))
    per = np.array([grams_per(unit) for unit in jobs["weigh_unit"][lines["recipe"]]])
    return np.asarray(100 * per * (lye * takes_up / needed**2 - brings / needed), dtype=np.float64)


def _place(weighing: Weighing) -> tuple[int, bool]:
    return ORDER.index(weighing.role), not weighing.weight > 0


def _tolerance(role: str, weight: float, step: float, points: float, room: float) -> tuple[float, float]:
    """Return how far off a weight may be, upwards and downwards: in whole steps, none where a step costs too much.

    `points` of superfat are what one unit more makes up, and `room` is what there is above the least margin.
    """
    if not step > 0:
        return float("nan"), float("nan")
    share = {"alkali": np.inf, "liquid": LIQUID_SHARE * weight}.get(role, OTHER_SHARE * weight)
    reach = [
        _reach(points, FAT_POINTS if way * points > 0 else min(FAT_POINTS, max(room, 0.0)))
        for way in (1, -1)  # more of it, less of it
    ]
    above, below = (_steps(min(share, most), step, points, weight) for most in reach)
    return above, below


def _reach(points: float, allowed: float) -> float:
    """Return how much weight moves superfat by the points that are allowed."""
    return allowed / abs(points) if points else np.inf


def _steps(allowed: float, step: float, points: float, weight: float) -> float:
    """Return the whole steps in what is allowed; one at least where it hardly moves superfat and is little of it."""
    if not np.isfinite(allowed):
        return step
    least = 1 if abs(points) * step <= FAT_POINTS / 10 and step <= STEP_SHARE * weight else 0
    return float(max(np.floor(allowed / step + 1e-9), least) * step)


def superfat_of(lines: Sequence[Weighing]) -> float:
    """Return the superfat [%] that the weights to weigh give: what the live formula of the sheet gives."""
    needed = sum(w.takes_up * w.weight for w in lines if w.weight > 0)
    return 100 * (1 - sum(w.brings * w.weight for w in lines if w.weight > 0) / needed)
