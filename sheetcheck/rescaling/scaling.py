"""Recipes made larger or smaller: recipes by sizes, each with its factor, its equal batches and its amounts."""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.model import Audit, address
from sheetcheck.reading.units.units import dimension
from sheetcheck.rescaling.amounts import weight_text
from sheetcheck.rescaling.bench import Bench, Floats, grams_per
from sheetcheck.rescaling.choosing import LeftOut, choose
from sheetcheck.rescaling.fitting import fitted
from sheetcheck.rescaling.own_units import fractions, own_units
from sheetcheck.rescaling.prices import Prices
from sheetcheck.rescaling.rounding import rounded
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.targets import Target
from sheetcheck.rescaling.two_cells import in_one_cell
from sheetcheck.rules.support.rows import recipe_rows
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import later, tr

_WHOLE = 1e-9  # of a batch: what is so little over a whole number is rounding
_NO_LYE = later("its lye would be less than one step of the scale: weigh on a finer one (--scale)")
_NO_LYE_YET = later(
    "its lye would be less than one step of the scale: weigh on a finer one (--scale), or make {times} times as much "
    "({fats} of fats), which can be weighed"
)
_BELOW_ZERO = later("rounded to the scale it would have more lye than its fats take up: weigh on a finer one (--scale)")


@dataclass(frozen=True)
class Rescaled:
    """A book rescaled.

    Parameters
    ----------
    jobs
        One line for each recipe and size, index: number of the job. Columns of the recipes, computed anew for the
        rounded amounts of one batch, and: target (its position in `targets`), label, name (with the size), source
        (number of the recipe in the audit), batches, factor (of one batch), weigh_unit, superfat_before,
        concentration_before, own_superfat (as the book states it, else as before), lye_step_points (what one step of
        the scale in the lye does to superfat), lye_scaled_g (the lye that scaling as written gives, rounded down),
        lye_computed_g, table_unit (of the table in her shape), resized and weighable (see `fitting.fitted`).
    lines
        One line for each amount: columns of the components with `recipe` the number of the job, `grams` as rounded,
        and: exact_g, step (of the scale, in the unit of weighing), shown (the amount in that unit), weighed (False for
        spoons, drops and what cannot be measured, whose amount the maker judges), scaled_value, fraction (whether she
        writes it with one).
    left_out
        What was not rescaled, and why.
    prices
        Those that the book lists.
    date
        On which the batches are to be made; None where the maker did not say.
    """

    audit: Audit
    bench: Bench
    targets: tuple[Target, ...]
    jobs: pd.DataFrame
    lines: pd.DataFrame
    left_out: tuple[LeftOut, ...]
    keep_lye: bool = False
    prices: Prices = field(default_factory=Prices)
    date: dt.date | None = None

    @property
    def recipes(self) -> pd.DataFrame:
        """A line for each recipe and size, as `jobs` has them, index: number of the batch."""
        columns = [
            "name", "sheet", "label", "batches", "factor", "resized", "weigh_unit", "fat_g", "alkali", "alkali_g",
            "liquid_g", "batch_g", "batter_ml", "superfat_before", "superfat_low", "superfat_typical", "superfat_high",
            "lye_concentration", "weighable",
        ]  # fmt: skip
        return self.jobs.reindex(columns=columns).assign(name=self.jobs.get("own_name")).rename_axis("batch")

    @property
    def amounts(self) -> pd.DataFrame:
        """A line for each weight of a batch; `shown` is what the scale shows, in the batch's `weigh_unit`."""
        columns = ["recipe", "name", "role", "substance", "exact_g", "grams", "shown", "step", "weighed"]
        return self.lines.reindex(columns=columns).rename(columns={"recipe": "batch"})


def rescale(  # noqa: PLR0913 - what the command offers
    audit: Audit,
    targets: Sequence[Target],
    bench: Bench,
    *,
    also: Sequence[str] = (),
    only: Sequence[str] = (),
    keep_lye: bool = False,
) -> Rescaled:
    """Rescale every sound recipe of a book to every size that it is meant for.

    Parameters
    ----------
    also, only
        Names of recipes: see `choosing.choose`.
    keep_lye
        Scale lye and liquid as written instead of computing them for the rounded fats. Lye is rounded down all the
        same.

    Raises
    ------
    SettingError
        A name that no recipe has.
    """
    recipes, left_out = choose(audit, also, only)
    components = in_one_cell(audit.book.components)
    sizes = tuple(part for target in targets for part in target.parts(pot_for=bench.pot_for))
    jobs, no_size = _jobs(components, recipes, sizes, bench)
    if jobs.empty:
        return Rescaled(audit, bench, sizes, jobs, components.head(0), (*left_out, *no_size))
    lines = _lines(components, jobs)
    if keep_lye:
        jobs, lines = rounded(audit, jobs, lines, bench, keep_lye=True)
        jobs = jobs.assign(resized=1.0, weighable=np.nan)
    else:
        jobs, lines = fitted(audit, jobs, lines, sizes, bench)
    refused = tuple(_left_out(job, why, tr("scale too coarse")) for job in job_rows(jobs) if (why := _why_refused(job)))
    jobs = jobs.drop(index=[job.Index for job in job_rows(jobs) if _why_refused(job)])
    lines = lines[lines["recipe"].isin(jobs.index)]
    return Rescaled(audit, bench, sizes, jobs, lines, (*left_out, *no_size, *refused), keep_lye)


def _left_out(job: Job, why: str, because: str) -> LeftOut:
    return LeftOut(job.source, job.own_name, job.sheet, why, job.label, because)


def _why_refused(job: Job) -> str:
    """Say why a batch cannot be weighed; nothing where it can."""
    if job.alkali_g > 0:
        return "" if job.superfat_typical >= 0 else tr(_BELOW_ZERO)
    if math.isnan(job.weighable):
        return tr(_NO_LYE)
    fats = weight_text(round(job.fat_g * job.weighable / grams_per(job.weigh_unit), 1), job.weigh_unit)
    return tr(_NO_LYE_YET, times=plain(job.weighable, 1), fats=fats)


# --------------------------------------------------------------------------- recipes × sizes


def _jobs(
    components: pd.DataFrame, recipes: pd.DataFrame, targets: tuple[Target, ...], bench: Bench
) -> tuple[pd.DataFrame, list[LeftOut]]:
    """Return one line for each recipe and size, with its factor and the number of equal batches."""
    parts = []
    names = _names(recipes)
    for number, target in enumerate(targets):
        own = recipes[np.array([target.takes(str(name)) for name in recipes["name"]], dtype=bool)]
        parts.append(
            own.assign(
                source=own.index,
                own_name=names[own.index],
                target=number,
                label=target.label,
                whole=target.factors(own, bench),
            )
        )
    jobs = pd.concat(parts).sort_values(["source", "target"], kind="stable")
    unsized = jobs[jobs["whole"].isna()]
    left_out = [_left_out(job, targets[job.target].why_not, tr("no size known")) for job in job_rows(unsized)]
    jobs = jobs[jobs["whole"].notna()]
    jobs.index = pd.RangeIndex(1, len(jobs) + 1)
    written = _written_units(components, recipes, jobs)
    jobs = jobs.assign(
        weigh_unit=written.map(bench.unit_for).astype("object"),
        table_unit=written.map(bench.table_unit_for).astype("object"),
        own_superfat=_own_superfat(jobs),
    )
    batches = _batches(jobs, targets, bench)
    return (
        jobs.assign(
            batches=batches,
            factor=jobs["whole"] / batches,
            superfat_before=jobs["superfat_typical"],
            concentration_before=jobs["lye_concentration"],
            name=[_name(job, n) for job, n in zip(job_rows(jobs), batches, strict=True)],
        ),
        left_out,
    )


def _own_superfat(jobs: pd.DataFrame) -> pd.Series[float]:
    """Return the superfat that each recipe is meant to have: as the book states it clearly, else as it was."""
    clear = jobs["stated_superfat"].where(jobs["stated_superfat_other"].isna())
    return clear.fillna(jobs["superfat_typical"])


def _written_units(components: pd.DataFrame, recipes: pd.DataFrame, jobs: pd.DataFrame) -> pd.Series[str]:
    """Return the mass unit of each recipe; that of most recipes where it has none."""
    known = own_units(components, recipes.index)
    usual = known.dropna().mode()
    return known[jobs["source"]].set_axis(jobs.index).fillna(usual.iloc[0] if len(usual) else "g")


def _batches(jobs: pd.DataFrame, targets: tuple[Target, ...], bench: Bench) -> npt.NDArray[np.int64]:
    """Return how many equal batches each job takes: by the pots, and by what the scale bears at once."""
    pots = np.array([targets[target].pots for target in jobs["target"]], dtype=np.int64)
    whole = jobs["whole"].to_numpy(dtype=np.float64) / pots
    batter = jobs["batter_ml"].fillna(jobs["batch_g"]).to_numpy(dtype=np.float64)  # batter weighs about 1 g/mL
    capacity = np.array([bench.scale_for(u).capacity * grams_per(u) for u in jobs["weigh_unit"]], dtype=np.float64)
    heaviest = jobs[["fat_g", "liquid_g"]].max(axis="columns").to_numpy(dtype=np.float64)
    share: Floats = np.fmax(whole * batter / bench.pot_ml, whole * heaviest / capacity)
    batches: npt.NDArray[np.int64] = np.maximum(np.ceil(share - _WHOLE), 1).astype(np.int64) * pots
    return batches


def _names(recipes: pd.DataFrame) -> pd.Series[str]:
    """Return the names of the recipes, told apart where several have the same one, or none."""
    seen: Counter[str] = Counter()
    names = []
    for recipe in recipe_rows(recipes):
        name = str(recipe.name or "").strip() or tr("Recipe in {cell}", cell=address(recipe.row, recipe.column))
        seen[name] += 1
        names.append(name if seen[name] == 1 else tr("{recipe}, no. {number}", recipe=name, number=seen[name]))
    return pd.Series(names, index=recipes.index, dtype="object")


def _name(job: Job, batches: int) -> str:
    if batches > 1:
        count = plain(batches, 0)
        return tr("{recipe} ({size}, one of {count} equal batches)", recipe=job.own_name, size=job.label, count=count)
    return f"{job.own_name} ({job.label})"


def _lines(components: pd.DataFrame, jobs: pd.DataFrame) -> pd.DataFrame:
    """Return the amounts of every job, exact."""
    wanted = pd.DataFrame({"job": jobs.index, "recipe": jobs["source"].to_numpy(), "factor": jobs["factor"].to_numpy()})
    lines = wanted.merge(components, on="recipe", how="inner", sort=False)
    lines["recipe"] = lines.pop("job")
    exact = lines["grams"] * lines["factor"]
    return lines.assign(
        exact_g=exact,
        scaled_value=lines["value"] * lines["factor"],
        fraction=fractions(lines),
        weighed=(lines["bears"] | _is_mass(lines["unit"])) & exact.notna() & (exact > 0),
    )


def _is_mass(units: pd.Series) -> pd.Series:
    return units.map(lambda unit: not isinstance(unit, str) or dimension(unit) == "mass").astype(bool)
