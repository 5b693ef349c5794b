"""Recipes made larger or smaller: amounts by the factor, rounded to the scale; lye and liquid computed anew for them.

The order keeps lye on the safe side: fats and all that takes up lye are rounded first, then the liquid, whose milk may
bring fat; lye is computed for what was rounded, at the recipe's own superfat, and rounded down.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import Audit, address
from sheetcheck.reading.units.units import dimension
from sheetcheck.rescaling.bench import Bench, Floats, grams_per
from sheetcheck.rescaling.choosing import LeftOut, choose
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.targets import Target
from sheetcheck.rules.support.rows import recipe_rows
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import later, tr

_PER_JOB = ("superfat_typical", "lye_concentration", "alkali_g", "batter_ml", "fat_g", "liquid_g", "batch_g")
_WHOLE = 1e-9  # of a batch: what is so little over a whole number is rounding
_NO_LYE = later("its lye would be less than one step of the scale: weigh on a finer one (--scale)")
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
        concentration_before, lye_step_points (what one step of the scale in the lye does to superfat), lye_scaled_g
        (the lye that scaling as written gives, rounded down) and lye_computed_g.
    lines
        One line for each amount: columns of the components with `recipe` the number of the job, `grams` as rounded,
        and: exact_g, step (of the scale, in the unit of weighing), shown (the amount in that unit), weighed (False for
        spoons, drops and what cannot be measured, whose amount the maker judges), scaled_value.
    left_out
        What was not rescaled, and why.
    """

    audit: Audit
    bench: Bench
    targets: tuple[Target, ...]
    jobs: pd.DataFrame
    lines: pd.DataFrame
    left_out: tuple[LeftOut, ...]
    keep_lye: bool = False


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
    jobs, no_size = _jobs(audit, recipes, tuple(targets), bench)
    if jobs.empty:
        return Rescaled(audit, bench, tuple(targets), jobs, audit.book.components.head(0), (*left_out, *no_size))
    lines = _lines(audit, jobs)
    jobs, lines = _rounded(audit, jobs, lines, bench, keep_lye=keep_lye)
    bad = np.where(~(jobs["alkali_g"] > 0), _NO_LYE, np.where(~(jobs["superfat_typical"] >= 0), _BELOW_ZERO, ""))
    refused = tuple(_left_out(job, why) for job, why in zip(job_rows(jobs), bad, strict=True) if why)
    jobs = jobs[bad == ""]
    lines = lines[lines["recipe"].isin(jobs.index)]
    return Rescaled(audit, bench, tuple(targets), jobs, lines, (*left_out, *no_size, *refused), keep_lye)


def _left_out(job: Job, why: str) -> LeftOut:
    return LeftOut(job.source, job.own_name, job.sheet, tr(why), job.label)


# --------------------------------------------------------------------------- recipes × sizes


def _jobs(
    audit: Audit, recipes: pd.DataFrame, targets: tuple[Target, ...], bench: Bench
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
    left_out = [_left_out(job, targets[job.target].why_not) for job in job_rows(unsized)]
    jobs = jobs[jobs["whole"].notna()]
    jobs.index = pd.RangeIndex(1, len(jobs) + 1)
    units = [bench.unit_for(unit) for unit in _written_units(audit, jobs)]
    jobs = jobs.assign(weigh_unit=pd.Series(units, index=jobs.index, dtype="object"))
    batches = _batches(jobs, bench)
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


def _written_units(audit: Audit, jobs: pd.DataFrame) -> list[object]:
    """Return the mass unit of each recipe; that of most recipes where it has none."""
    known = audit.recipes["unit"].dropna()
    usual = known.mode().iloc[0] if len(known) else "g"
    return [unit if isinstance(unit, str) else usual for unit in jobs["unit"]]


def _batches(jobs: pd.DataFrame, bench: Bench) -> npt.NDArray[np.int64]:
    """Return how many equal batches each job takes: by the pot, and by what the scale bears at once."""
    whole = jobs["whole"].to_numpy(dtype=np.float64)
    batter = jobs["batter_ml"].fillna(jobs["batch_g"]).to_numpy(dtype=np.float64)  # batter weighs about 1 g/mL
    capacity = np.array([bench.scale_for(u).capacity * grams_per(u) for u in jobs["weigh_unit"]], dtype=np.float64)
    heaviest = jobs[["fat_g", "liquid_g"]].max(axis="columns").to_numpy(dtype=np.float64)
    share: Floats = np.fmax(whole * batter / bench.pot_ml, whole * heaviest / capacity)
    batches: npt.NDArray[np.int64] = np.maximum(np.ceil(share - _WHOLE), 1).astype(np.int64)
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


def _lines(audit: Audit, jobs: pd.DataFrame) -> pd.DataFrame:
    """Return the amounts of every job, exact."""
    components = audit.book.components
    wanted = pd.DataFrame({"job": jobs.index, "recipe": jobs["source"].to_numpy(), "factor": jobs["factor"].to_numpy()})
    lines = wanted.merge(components, on="recipe", how="inner", sort=False)
    lines["recipe"] = lines.pop("job")
    exact = lines["grams"] * lines["factor"]
    return lines.assign(
        exact_g=exact,
        scaled_value=lines["value"] * lines["factor"],
        weighed=(lines["bears"] | _is_mass(lines["unit"])) & exact.notna() & (exact > 0),
    )


def _is_mass(units: pd.Series) -> pd.Series:
    return units.map(lambda unit: not isinstance(unit, str) or dimension(unit) == "mass").astype(bool)


# --------------------------------------------------------------------------- rounding


def _rounded(
    audit: Audit, jobs: pd.DataFrame, lines: pd.DataFrame, bench: Bench, *, keep_lye: bool
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Round every amount to the scale, and compute lye and liquid for what was rounded."""

    def computed(amounts: pd.DataFrame) -> pd.DataFrame:
        return compute(jobs, amounts, audit.settings, audit.book.own_values)

    def times_share(amounts: pd.DataFrame) -> Floats:
        """Multiply lye and liquid so that the recipe's own superfat comes out again."""
        return exact * _lye_share(computed(amounts), jobs)[lines["recipe"]].to_numpy(dtype=np.float64)

    nearest, down = _rounders(jobs, lines, bench)
    exact = lines["exact_g"].to_numpy(dtype=np.float64)
    is_lye = _is_lye(lines).to_numpy(dtype=bool)
    is_liquid = (lines["role"] == "liquid").to_numpy(dtype=bool) & ~is_lye
    weighed = lines["weighed"].to_numpy(dtype=bool)

    lines = lines.assign(grams=np.where(weighed & ~is_lye & ~is_liquid, nearest(exact), exact))
    liquid = exact if keep_lye else times_share(lines)
    lines = lines.assign(grams=np.where(is_liquid & weighed, nearest(liquid), lines["grams"]))
    lye = times_share(lines)
    chosen = exact if keep_lye else lye
    lines = lines.assign(
        exact_g=np.where(is_lye, chosen, np.where(is_liquid, liquid, exact)),
        grams=np.where(is_lye, down(chosen), lines["grams"]),
    )
    lines = _shown(lines, jobs, bench)
    done = computed(lines)
    return (
        done.assign(
            lye_step_points=_lye_step_points(done, lines[is_lye]),
            lye_scaled_g=_total(down(exact), is_lye, lines, jobs),
            lye_computed_g=_total(down(lye), is_lye, lines, jobs),
        ),
        lines,
    )


def _is_lye(lines: pd.DataFrame) -> pd.Series:
    return (lines["role"] == "alkali") | lines["substance"].isin(["sodium hydroxide", "potassium hydroxide"])


def _lye_share(computed: pd.DataFrame, jobs: pd.DataFrame) -> pd.Series[float]:
    """Return what the lye of each job has to be multiplied with to give the recipe's own superfat again."""
    wanted = computed["needed_typical_g"] * (1 - jobs["superfat_before"] / 100)
    return wanted / computed["alkali_g"]


Rounder = Callable[[Floats], Floats]


def _rounders(jobs: pd.DataFrame, lines: pd.DataFrame, bench: Bench) -> tuple[Rounder, Rounder]:
    """Return functions that round grams, line by line, to the nearest step and down."""
    units = jobs["weigh_unit"][lines["recipe"]].to_numpy()

    def by_unit(grams: Floats, way: str) -> Floats:
        result = grams.copy()
        for unit in set(units):
            rows = (units == unit) & np.isfinite(grams)
            per = grams_per(unit)
            result[rows] = getattr(bench.scale_for(unit), way)(grams[rows] / per) * per
        return result

    return lambda grams: by_unit(grams, "nearest"), lambda grams: by_unit(grams, "down")


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


def _total(grams: Floats, which: npt.NDArray[np.bool_], lines: pd.DataFrame, jobs: pd.DataFrame) -> pd.Series[float]:
    recipe = lines["recipe"].to_numpy(dtype=np.int64)[which]
    return pd.Series(grams[which]).groupby(recipe).sum().reindex(jobs.index)
