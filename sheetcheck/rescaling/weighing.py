"""What a weigh sheet says of each amount: in which order, how exactly, and what it does to the soap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sheetcheck.chemistry.lines import read_lines
from sheetcheck.chemistry.table import table
from sheetcheck.reference import constants
from sheetcheck.rescaling.amounts import ingredient_name
from sheetcheck.rescaling.bench import Floats, grams_per
from sheetcheck.rescaling.rows import Line, line_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.words import later

FAT_POINTS = 0.25  # points of superfat that an error in one fat may cost; common practice, no source, as the next two
LIQUID_SHARE, OTHER_SHARE = 0.01, 0.02  # of the amount

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
    tolerance
        How far off the weight may be; of lye only downward.
    takes_up, brings
        NaOH that one unit of weight takes up, and that it brings (KOH as the NaOH that it stands for).
    water
        Water in one unit of weight.
    """

    line: Line
    name: str
    role: str
    weight: float
    step: float
    tolerance: float
    points_per_step: float  # of superfat
    takes_up: float
    brings: float
    water: float


def weighings(rescaled: Rescaled) -> dict[int, list[Weighing]]:
    """Return the lines of every weigh sheet, by job, in the order of weighing."""
    audit, lines = rescaled.audit, rescaled.lines
    values = table(tuple(audit.book.own_values) if audit.settings.use_own_values else ())
    known = read_lines(rescaled.jobs.index, lines, values, audit.settings)
    strength = np.where(known.is_alkali, np.nan_to_num(known.strength), 0.0)
    brings = strength * np.where(known.is_koh, constants().naoh_per_koh, 1.0)
    takes_up = np.where(known.is_alkali, 0.0, np.nan_to_num(known.typical))
    roles = np.where(known.is_alkali, "alkali", lines["role"].to_numpy(dtype=object))
    points = _points_per_unit(rescaled.jobs, lines, takes_up, brings)
    result: dict[int, list[Weighing]] = {int(job): [] for job in rescaled.jobs.index}
    figures = zip(roles, points, takes_up, brings, np.nan_to_num(known.water), strict=True)
    for line, (role, point, takes, gives, water) in zip(line_rows(lines), figures, strict=True):
        result[line.recipe].append(
            Weighing(
                line=line,
                name=ingredient_name(line),
                role=str(role),
                weight=line.shown,
                step=line.step,
                tolerance=_tolerance(str(role), line.shown, line.step, float(point)),
                points_per_step=float(point) * line.step,
                takes_up=float(takes),
                brings=float(gives),
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


def _tolerance(role: str, weight: float, step: float, points: float) -> float:
    """Return how far off a weight may be, in whole steps of the scale and at least one."""
    if role == "alkali":
        return step
    allowed = weight * (LIQUID_SHARE if role == "liquid" else OTHER_SHARE)
    if role == "fat" and points > 0:
        allowed = min(allowed, FAT_POINTS / points)
    return float(max(np.floor(allowed / step + 1e-9), 1) * step) if step > 0 else float("nan")


def superfat_of(lines: Sequence[Weighing]) -> float:
    """Return the superfat [%] that the weights to weigh give: what the live formula of the sheet gives."""
    needed = sum(w.takes_up * w.weight for w in lines if w.weight > 0)
    return 100 * (1 - sum(w.brings * w.weight for w in lines if w.weight > 0) / needed)
