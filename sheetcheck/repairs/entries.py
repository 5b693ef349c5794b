"""The amounts and statements of a book as arrays, in the order of the recipes: what the search computes with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.lines import Lines, read_lines
from sheetcheck.chemistry.table import table
from sheetcheck.reference import constants, substances
from sheetcheck.repairs.roundness import coarsest
from sheetcheck.rules import Evidence

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

FAT, ALKALI, LIQUID, OTHER = range(4)  # roles that the search tells apart
DEMAND, PURE, MASS, WET, FATS, ALL = range(6)  # columns of `per_gram`

MASS_UNITS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}  # exact by definition (NIST Handbook 44)
_MAY_BE_RIGHT = 0.1  # share by which a maker's value may lie off the published one: more is a slip of its own
PURE_KOH = 0.9  # share taken for KOH of unstated purity while its row is compared with others; never shown


@dataclass(frozen=True, slots=True)
class Seen:
    """What else a cell says, one entry for each amount."""

    sheet: npt.NDArray[np.object_]
    row: Ints
    column: Ints
    substance: npt.NDArray[np.object_]  # None where not known
    written: npt.NDArray[np.object_]
    unit_from: npt.NDArray[np.object_]
    said: npt.NDArray[np.object_]  # None, or the units that contradict each other
    other_grams: Floats


@dataclass(frozen=True)
class Entries:
    """One entry for each amount that was read, sorted by recipe; `start[i] : start[i + 1]` are those of recipe `i`.

    `per_gram` has for each entry what one gram of it adds: alkali that fats and acids take up (as NaOH, without the fat
    in liquids, which makers seldom count), pure alkali as NaOH, pure alkali by its own mass, liquid, fats, anything.
    """

    index: Ints  # recipe numbers
    start: Ints
    recipe: Ints  # position in `index`
    role: Ints
    value: Floats
    grams: Floats
    decimals: Ints  # as written, or as many as this unit and role mostly has: a sheet drops the zero of 2.0
    step: Floats  # least difference between two amounts as written, g; of lye and liquid what they are rounded to
    unit: npt.NDArray[np.object_]
    formula: Mask
    per_gram: Floats  # entries × 6
    frame: pd.DataFrame  # the components, in the same order
    totals: Floats  # recipes × 6
    grams_all: Floats  # recipes: everything, additives too
    liquid_demand: Floats  # recipes: alkali that the fat in milk and the like takes up (as NaOH), g
    names: npt.NDArray[np.object_] = field(default_factory=lambda: np.empty(0, dtype=object))  # recipes
    own_superfat: float = float("nan")  # percent, that the maker says she uses
    superfat_shift: Floats = field(default_factory=lambda: np.zeros(1))  # recipes: `_shifts`
    own_values: Mapping[str, float] = field(default_factory=dict)  # by fat: her stated value over the one reckoned with

    def of(self, position: int) -> slice:
        """Return where the entries of a recipe lie."""
        return slice(int(self.start[position]), int(self.start[position + 1]))

    @cached_property
    def seen(self) -> Seen:
        """What else the cells say."""
        frame = self.frame
        names = frame["substance"].astype(object).where(frame["substance"].notna(), None)
        return Seen(
            sheet=frame["sheet"].to_numpy(dtype=object),
            row=frame["row"].to_numpy(dtype=np.int64),
            column=frame["column"].to_numpy(dtype=np.int64),
            substance=names.to_numpy(dtype=object),
            written=frame["written"].to_numpy(dtype=object),
            unit_from=frame["unit_from"].to_numpy(dtype=object),
            said=frame["units_said"].to_numpy(dtype=object),
            other_grams=frame["other_grams"].to_numpy(dtype=np.float64),
        )

    @cached_property
    def fat_codes(self) -> tuple[Ints, tuple[str, ...]]:
        """Number of the fat of each entry (-1: no fat), and the fats by number."""
        names = self.frame["substance"].where(self.role == FAT)
        codes, keys = pd.factorize(names)
        return codes.astype(np.int64), tuple(keys)


def read_entries(evidence: Evidence) -> Entries:
    """Take from the frames what the search needs.

    Amounts that were not read are left out; a recipe with one that bears on its lye has NaN for its demand or alkali.
    """
    recipes = evidence.recipes
    components = evidence.components
    own = evidence.book.own_values if evidence.settings.use_own_values else ()
    own_superfat = _own_superfat(evidence)
    lines = read_lines(recipes.index, components, table(own), evidence.settings)
    order = np.argsort(lines.recipe, kind="stable")
    grams = components["grams"].to_numpy(dtype=np.float64)
    known = order[~np.isnan(grams[order]) & (lines.recipe[order] >= 0)]
    frame = components.iloc[known].reset_index(drop=True)
    recipe = lines.recipe[known].astype(np.int64)
    per_gram = _per_gram(lines)[known]
    grams = grams[known]
    totals = sums(recipe, grams[:, None] * np.nan_to_num(per_gram), len(recipes))
    totals[_incomplete(evidence, lines), :] = np.nan
    value = frame["value"].to_numpy(dtype=np.float64)
    unit, role = frame["unit"].to_numpy(dtype=object), _roles(lines)[known]
    decimals = _usual_decimals(np.clip(frame["decimals"].to_numpy(dtype=np.int64), 0, 6), unit, role)
    with np.errstate(divide="ignore", invalid="ignore"):
        factor = np.where(value > 0, grams / value, np.nan)
    return Entries(
        index=recipes.index.to_numpy(dtype=np.int64),
        start=np.searchsorted(recipe, np.arange(len(recipes) + 1)).astype(np.int64),
        recipe=recipe,
        role=role,
        value=value,
        grams=grams,
        decimals=decimals,
        step=np.nan_to_num(factor * _steps(value, decimals, unit, role), nan=1.0),
        unit=unit,
        formula=(frame["stored"] == "formula").to_numpy(dtype=bool),
        per_gram=per_gram,
        frame=frame,
        totals=totals,
        grams_all=sums(recipe, grams[:, None], len(recipes))[:, 0],
        liquid_demand=sums(recipe, (grams * _in_liquids(lines)[known])[:, None], len(recipes))[:, 0],
        names=recipes["name"].to_numpy(dtype=object),
        own_superfat=own_superfat,
        superfat_shift=_shifts(evidence, own_superfat),
        own_values={} if own else _stated_values(evidence),
    )


def _own_superfat(evidence: Evidence) -> float:
    """Return the superfat [%] that is said to be used in the most recipes; NaN where none is."""
    said = _superfats_said(evidence)
    values, counts = np.unique(said[np.isfinite(said)], return_counts=True)
    return float(values[np.argmax(counts)]) if len(values) else np.nan


def _superfats_said(evidence: Evidence) -> Floats:
    """Return the superfat [%] that is said to be used on the sheet of each recipe; NaN where none is."""
    sheets = evidence.recipes["sheet"]
    said = {sheet: evidence.settings.superfat_of(str(sheet)) for sheet in sheets.unique()}
    return np.asarray(sheets.map(said).astype(float), dtype=np.float64)


def _shifts(evidence: Evidence, own_superfat: float) -> Floats:
    """Return how far each recipe's lye over demand lies from that of the commonest keeper, as logarithm: 0 for hers.

    With it taken off, the recipes of keepers who use other superfats are one habit.
    """
    said = _superfats_said(evidence)
    return np.asarray(np.nan_to_num(np.log1p(-said / 100) - np.log1p(-own_superfat / 100)), dtype=np.float64)


def _stated_values(evidence: Evidence) -> dict[str, float]:
    """Return the factors by which the maker's stated values differ from the tables, where they may be right."""
    found = {}
    for own in evidence.book.own_values:
        fat = substances().get(own.substance)
        if fat is not None and abs(own.mg_koh_per_g / fat.sap_typical - 1) < _MAY_BE_RIGHT:
            found[own.substance] = own.mg_koh_per_g / fat.sap_typical
    return found


def sums(recipe: Ints, values: Floats, count: int) -> Floats:
    """Add up columns of values (entries × columns) by recipe."""
    columns = [np.bincount(recipe, column, count) for column in values.T]
    return np.stack(columns, axis=1).astype(np.float64)


def _usual_decimals(decimals: Ints, unit: npt.NDArray[np.object_], role: Ints) -> Ints:
    """Raise decimals to what at least a fifth of the amounts of the same unit and role have."""
    usual = decimals.copy()
    keys = pd.factorize(pd.factorize(unit)[0] * (OTHER + 1) + role)[0]
    for key in range(keys.max(initial=-1) + 1):
        same = keys == key
        usual[same] = np.maximum(decimals[same], int(np.quantile(decimals[same], 0.8)))
    return usual


def _steps(value: Floats, decimals: Ints, unit: npt.NDArray[np.object_], role: Ints) -> Floats:
    """Least difference of each amount, in its unit: by its decimals; of lye and liquid by what they are rounded to."""
    steps = np.asarray(10.0**-decimals, dtype=np.float64)
    for which in (ALKALI, LIQUID):
        for name in {one for one in unit[role == which] if isinstance(one, str)}:
            same = (role == which) & (unit == name) & (value > 0)
            steps[same] = np.maximum(steps[same], coarsest(value[same], name))
    return steps


def _roles(lines: Lines) -> Ints:
    role = np.full(len(lines.grams), OTHER, dtype=np.int64)
    role[lines.is_liquid] = LIQUID
    role[lines.is_fat] = FAT
    role[lines.is_alkali] = ALKALI
    return role


def _per_gram(lines: Lines) -> Floats:
    zero = np.zeros(len(lines.grams))
    ratio = constants().naoh_per_koh
    strength = np.where(lines.is_koh & np.isnan(lines.strength), PURE_KOH, lines.strength)
    pure = np.where(lines.is_alkali, strength, zero)
    columns = [zero] * 6
    columns[DEMAND] = np.where(lines.is_liquid, 0.0, lines.typical)
    columns[PURE] = np.where(lines.is_koh, pure * ratio, pure)
    columns[MASS] = pure
    columns[WET] = np.where(lines.is_liquid, 1.0, np.where(lines.is_alkali, lines.water, 0.0))
    columns[FATS] = np.where(lines.is_fat, 1.0, 0.0)
    columns[ALL] = np.where(lines.is_fat | lines.is_alkali | lines.is_liquid, 1.0, 0.0)
    return np.stack(columns, axis=1)


def _in_liquids(lines: Lines) -> Floats:
    """Alkali that the fat in one gram of a liquid takes up."""
    return np.where(lines.is_liquid, np.nan_to_num(lines.typical), 0.0)


def _incomplete(evidence: Evidence, lines: Lines) -> Mask:
    """Recipes with an amount that bears on lye and was not read, or a substance that is not known."""
    bears = evidence.components["bears"].to_numpy(dtype=bool)
    grams = evidence.components["grams"].to_numpy(dtype=np.float64)
    demand = np.where(lines.is_alkali, 0.0, lines.typical)
    no_strength = lines.is_alkali & ~lines.is_koh & np.isnan(lines.strength)
    missing = (bears & (np.isnan(grams) | np.isnan(demand) | no_strength)) | lines.is_silent
    return np.bincount(lines.recipe[missing & (lines.recipe >= 0)], minlength=lines.recipes) > 0
