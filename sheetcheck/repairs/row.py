"""One recipe as the search sees it, with what its neighbours hold and what its lye and liquid probably aim at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import exp, log, log1p
from typing import TypeAlias

import numpy as np

from sheetcheck.model import RepairKind
from sheetcheck.reference import constants, substances
from sheetcheck.repairs.elsewhere import NOTHING, Others, others_of
from sheetcheck.repairs.entries import ALKALI, DEMAND, FAT, FATS, LIQUID, MASS, PURE, WET, Entries, Floats
from sheetcheck.repairs.fit import Context
from sheetcheck.repairs.habits import Habits
from sheetcheck.repairs.priors import Weights, weights
from sheetcheck.repairs.stated import Statements
from sheetcheck.repairs.told import named_in
from sheetcheck.repairs.view import View

_OUNCES = 16
_SELDOM = 0.015  # share of the rows of its book from which a superfat or a strength is tried
_FORMULA = 0.05  # a formula is seldom a slip of typing


@dataclass(frozen=True, slots=True)
class Edit:
    """One cell changed: entry number in its row, and what it should say."""

    entry: int
    value: float
    unit: str
    grams: float
    substance: str | None = None


@dataclass(frozen=True, slots=True)
class Slip:
    """A hypothesis on what went wrong in a row.

    Parameters
    ----------
    kind
        Kind of the repair.
    edits
        What would undo it.
    log_prior
        Logarithm of the probability that this slip was made and left what is written, if the repaired row is the truth.
    truth
        "exchanged": the repaired number is as probable as its roundness, and what is written follows from it; "exact":
        the same, but what is written is a number of its own; "solved": the number was worked out from the rest of the
        row and stands for all near it; "copied": solved, and what is written owes nothing to chance.
    aim
        For a solved number: the term of the fit that it was solved from, and the logarithm of that aim's own weight.
    statement
        For a wrong statement: the term that it takes part in.
    missing
        A fat that is not listed, and how much of it [g].
    """

    kind: RepairKind
    edits: tuple[Edit, ...]
    log_prior: float
    truth: str = "exchanged"
    aim: tuple[str, float] | None = None
    statement: str | None = None
    missing: tuple[str, float] | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """Many hypotheses on one cell at once: that its number, in its own unit, is one of these; each is "exchanged"."""

    kind: RepairKind
    entry: int
    values: Floats
    log_priors: Floats

    def slip(self, place: int, cell: Cell) -> Slip:
        """Return one of them as a slip of its own."""
        return Slip(self.kind, (changed(cell, float(self.values[place])),), float(self.log_priors[place]))


@dataclass(frozen=True, slots=True)
class Cell:
    """An amount of a row."""

    entry: int
    role: int
    value: float
    unit: str
    grams: float
    factor: float  # g for each unit
    step: float  # g
    decimals: int
    text: str | None  # as written, where it is text
    unit_from: str
    said: tuple[str, ...]  # units that two sources contradict each other about
    substance: str | None
    other_grams: float
    chance: float  # factor on the chance of a slip: small for a formula
    neighbours: tuple[tuple[float, str], ...]  # value and unit of the same amount in the recipes before and after


@dataclass(frozen=True)
class Row:
    """A recipe that is searched. `totals` and `per_gram` are those of `Entries`, with the maker's own demand."""

    position: int
    number: int
    cells: tuple[Cell, ...]
    per_gram: Floats
    totals: Floats
    context: Context
    habits: Habits
    best: float = 0.0  # fit of superfat and water of a row that is as usual
    care: float = 1.0  # how many times as many slips as usual its book seems to have
    weights: Weights = field(default_factory=lambda: weights({}))
    stated_shares: tuple[tuple[int, float, float], ...] = ()  # place among the fats, percent, step
    others: Others = NOTHING  # recipes that this one may be, made again
    beside: Mapping[str, frozenset[str]] = field(default_factory=dict)  # by fat, those of the columns beside it
    titled: frozenset[str] = frozenset()  # fats that its title names
    fats: tuple[Cell, ...] = field(init=False)
    lye: tuple[Cell, ...] = field(init=False)
    liquids: tuple[Cell, ...] = field(init=False)
    ounces: Mapping[int, Cell] = field(init=False)  # by the entry of a cell in pounds, the cell beside it in ounces

    def __post_init__(self) -> None:
        for name, role in (("fats", FAT), ("lye", ALKALI), ("liquids", LIQUID)):
            object.__setattr__(self, name, tuple(cell for cell in self.cells if cell.role == role))
        object.__setattr__(
            self, "ounces", {one.entry: two for one, two in pairwise(self.cells) if _one_amount(one, two)}
        )

    def whole(self, cells: Sequence[Cell]) -> list[Cell]:
        """Return amounts as they are meant: pounds and the ounces beside them as one amount in pounds."""
        ounces = {cell.entry for cell in self.ounces.values()}
        return [self._whole(cell) for cell in cells if cell.entry not in ounces]

    def _whole(self, cell: Cell) -> Cell:
        more = self.ounces.get(cell.entry)
        if more is None:
            return cell
        grams = cell.grams + more.grams
        return replace(cell, value=grams / cell.factor, unit="lb oz", grams=grams, text=None, neighbours=())

    def edits(self, cell: Cell, value: float) -> tuple[Edit, ...]:
        """Return what gives an amount another value: one edit, or two where its pounds and its ounces both change."""
        more = self.ounces.get(cell.entry)
        if more is None or cell.unit != "lb oz":
            return (changed(cell, value),)
        pounds, ounces = divmod(round(value * _OUNCES, max(more.decimals, 1)), _OUNCES)
        own = self.cells[[other.entry for other in self.cells].index(cell.entry)]
        edits = [changed(part, new) for part, new in ((own, pounds), (more, ounces)) if new != part.value]
        return tuple(edits) or (changed(more, ounces),)

    def chance(self, slip: str, cell: Cell | None = None) -> float:
        """Logarithm of the chance of a slip in one cell, or anywhere in the row where no cell is given."""
        weight = cell.chance if cell is not None else float(len(self.cells))
        return log(self.weights.chance(slip) * weight * self.care)

    @property
    def demand(self) -> float:
        """Lye, as pure NaOH, that the row takes up completely [g]."""
        return float(self.totals[DEMAND])

    @property
    def pure(self) -> float:
        """Lye as pure NaOH [g]."""
        return float(self.totals[PURE])

    @property
    def mass_of_lye(self) -> float:
        """Pure lye by its own mass [g]."""
        return float(self.totals[MASS])

    @property
    def wet(self) -> float:
        """Liquid [g]."""
        return float(self.totals[WET])

    @property
    def fat(self) -> float:
        """Fats [g]."""
        return float(self.totals[FATS])

    def demand_of(self, fat: str) -> float:
        """Alkali (as NaOH) that one gram of any fat takes up, by the maker's value where the book has it; or NaN."""
        known = substances().get(fat)
        if known is None:
            return float("nan")
        return self.habits.values_by_fat.get(fat, 1.0) * known.sap_typical / 1000 * constants().naoh_per_koh

    def lye_aims(self) -> list[tuple[float, float]]:
        """Return what lye over demand probably aims at: logarithm and share."""
        stated = float(self.context.stated)
        if np.isfinite(stated) and stated < 60:
            return [(log1p(-stated / 100) + self.habits.offset, 0.9)]
        return [(at + float(self.context.shift), share) for at, share in self.habits.superfat.modes(6, _SELDOM)]

    def water_aims(self) -> list[tuple[float, float]]:
        """Return the liquid that the row probably aims at for its lye and fats [g], with share."""
        concentration = float(self.context.concentration)
        if np.isfinite(concentration) and 0 < concentration < 100:
            return [(self.mass_of_lye * (100 / concentration - 1), 0.9)]
        habits = self.habits
        aims = [(self.mass_of_lye * exp(at), share * habits.by_lye) for at, share in habits.water.modes(4, _SELDOM)]
        if habits.by_lye < 0.6:
            modes = habits.water_by_fat.modes(4, _SELDOM)
            aims += [(self.fat * exp(at), share * (1 - habits.by_lye)) for at, share in modes]
        return aims


def _one_amount(one: Cell, two: Cell) -> bool:
    """Whether two cells are the pounds and the ounces of one amount."""
    same = one.role == two.role and one.substance is not None and one.substance == two.substance
    return same and (one.unit, two.unit) == ("lb", "oz")


def round_like(cell: Cell, value: float) -> float:
    """Round a solved value as this cell is written, and not finer than a kitchen scale shows."""
    usual = {"g": 0, "mL": 0, "oz": 1, "floz": 1, "kg": 3, "lb": 2, "lb oz": 4}.get(cell.unit, 2)
    decimals = max(cell.decimals, usual)
    if 0 < value < 20 and cell.unit == "g":
        decimals = max(decimals, 1)
    return round(value, min(decimals, 4))


def changed(cell: Cell, value: float) -> Edit:
    """Return the edit that gives a cell another value in its own unit."""
    return Edit(cell.entry, value, cell.unit, value * cell.factor)


def read_row(seen: View, position: int) -> Row:
    """Gather one recipe from the arrays of its book."""
    entries = seen.entries
    where = entries.of(position)
    per_gram = entries.per_gram[where].copy()
    per_gram[:, DEMAND] = seen.demand[where]
    per_gram = np.nan_to_num(per_gram)
    around = [_amounts(entries, place) for place in _neighbours(entries, position)]
    return Row(
        position=position,
        number=int(entries.index[position]),
        cells=tuple(_cell(entries, at, at - where.start, around) for at in range(where.start, where.stop)),
        per_gram=per_gram,
        totals=entries.grams[where] @ per_gram,
        context=seen.context.at(position),
        habits=seen.habits,
        best=seen.best,
        care=seen.care,
        weights=seen.weights,
        stated_shares=_stated_shares(entries, seen.statements, position, where),
        others=others_of(seen.fats, position),
        beside=seen.beside,
        titled=named_in(entries.names[position], entries.fat_codes[1]) if len(entries.names) else frozenset(),
    )


Amounts: TypeAlias = dict[tuple[int, object], tuple[float, str]]  # value and unit of each fat, the lye, the liquid


def _cell(entries: Entries, at: int, number: int, around: list[Amounts]) -> Cell:
    seen = entries.seen
    role, unit = int(entries.role[at]), entries.unit[at]
    value, grams = float(entries.value[at]), float(entries.grams[at])
    said, written = seen.said[at], seen.written[at]
    key = _what(role, seen.substance[at])
    return Cell(
        entry=number,
        role=role,
        value=value,
        unit=unit if isinstance(unit, str) else "g",
        grams=grams,
        factor=grams / value if value > 0 else 1.0,
        step=float(entries.step[at]),
        decimals=int(entries.decimals[at]),
        text=written if isinstance(written, str) else None,
        unit_from=str(seen.unit_from[at]),
        said=tuple(other for _, other in said) if isinstance(said, tuple) else (),
        substance=seen.substance[at],
        other_grams=float(seen.other_grams[at]),
        chance=_FORMULA if entries.formula[at] else 1.0,
        neighbours=tuple(found[key] for found in around if key in found),
    )


def _stated_shares(
    entries: Entries, statements: Statements, position: int, where: slice
) -> tuple[tuple[int, float, float], ...]:
    """Shares that the sheet states, each with the place of its fat among the row's fats."""
    stated = statements.shares.get(position, ())
    if not stated:
        return ()
    seen = entries.seen
    fats = [at for at in range(where.start, where.stop) if entries.role[at] == FAT]
    cells = {(int(seen.row[at]), int(seen.column[at])): place for place, at in enumerate(fats)}
    return tuple((cells[row, column], percent, step) for row, column, percent, step in stated if (row, column) in cells)


def _neighbours(entries: Entries, position: int) -> list[int]:
    return [place for place in (position - 1, position + 1) if 0 <= place < len(entries.index)]


def _amounts(entries: Entries, position: int) -> Amounts:
    where = entries.of(position)
    found: Amounts = {}
    for at in range(where.start, where.stop):
        key = _what(int(entries.role[at]), entries.seen.substance[at])
        found.setdefault(key, (float(entries.value[at]), str(entries.unit[at])))
    return found


def _what(role: int, substance: object) -> tuple[int, object]:
    """Say what an amount is of, as far as copying goes: a fat by its name, lye and liquid by their role."""
    return role, substance if role == FAT else None
