"""What may have gone wrong with a row, and how probable each answer is: single slips, and pairs where none suffices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from sheetcheck.repairs.entries import Floats
from sheetcheck.repairs.fit import FITS
from sheetcheck.repairs.likelihood import Scored, score
from sheetcheck.repairs.row import Row, Slip
from sheetcheck.repairs.slips import all_hypotheses

_PAIRS_BELOW = 0.5  # probability of the best single slip below which pairs are tried
_GROSS = 10.0  # logarithm by which liquid may be unlike the book where one slip restores total and superfat
_CANDIDATES = 5  # single slips of each cell that pairs are made of
_TRIED = 250
_NEGLIGIBLE = 1e-4
_CONFIDENT = 0.5  # probability above which one reading stands for the rest, and what is not thought of is left to it
_THOUGHT_OF = 0.8  # factor on its log odds: fitted on one half of the makers of tests/benchmarks/published_recipes.csv
_CERTAIN = 0.9999


Place: TypeAlias = tuple[frozenset[int], str | None]  # numbers of cells; the statement or the fat that it is about


@dataclass(frozen=True)
class Reading:
    """One way to read a row: what to change, and how probable it is that just this went wrong."""

    slip: Slip
    probability: float
    totals: Floats
    short: float  # logarithm by which the repaired row falls short of one that is as usual
    restores: bool  # the stated total and the superfat, both at once

    @property
    def place(self) -> Place:
        """Numbers of the cells that it changes, and the statement that it takes for wrong or the fat it misses."""
        about = self.slip.missing[0] if self.slip.missing else self.slip.statement
        return frozenset(edit.entry for edit in self.slip.edits), about


@dataclass(frozen=True)
class Searched:
    """A row that was searched; `readings` are ordered by probability, `sound` is that of no slip at all."""

    row: Row
    sound: float
    readings: tuple[Reading, ...]

    def of_place(self) -> dict[Place, float]:
        """Return the probability of each set of cells: that of all readings that change just these."""
        return _by_place(self.readings)


def search_row(row: Row) -> Searched:
    """Weigh everything that may have gone wrong with one row."""
    blocks, slips = all_hypotheses(row)
    scored = score(row, blocks, slips)
    searched = _normalised([scored])
    best = searched.readings[0] if searched.readings else None
    if not _explained(best) and 1 - searched.sound > _PAIRS_BELOW:
        pairs = _pairs(scored)
        if pairs:
            searched = _normalised([scored, score(row, (), pairs)])
    return searched


def _explained(best: Reading | None) -> bool:
    """Whether one slip is enough, so that no second one is looked for."""
    if best is None or best.probability < _PAIRS_BELOW:
        return False
    return best.short < (_GROSS if best.restores else FITS)


def _pairs(scored: Scored) -> list[Slip]:
    """Combine the most probable single slips of each cell with those of the others."""
    by_cell: dict[int, list[Slip]] = {}
    for place in np.argsort(-scored.joint, kind="stable")[:_TRIED]:
        slip = scored.slip(int(place))
        if len(slip.edits) == 1 and slip.truth == "exchanged" and slip.edits[0].substance is None:
            chosen = by_cell.setdefault(slip.edits[0].entry, [])
            if len(chosen) < _CANDIDATES:
                chosen.append(slip)
    cells = sorted(by_cell)
    return [
        Slip("other", a.edits + b.edits, a.log_prior + b.log_prior)
        for i, one in enumerate(cells)
        for two in cells[i + 1 :]
        for a in by_cell[one]
        for b in by_cell[two]
    ]


def _normalised(parts: Sequence[Scored]) -> Searched:
    """Turn joint probabilities into those of each reading, with near-equal readings of the same cells as one."""
    as_written = parts[0].as_written
    joint = np.concatenate([part.joint for part in parts])
    top = max(as_written, float(joint.max(initial=-np.inf)))
    weights = np.exp(joint - top)
    sound = float(np.exp(as_written - top))
    total = sound + float(weights.sum())
    merged: list[tuple[Slip, tuple[Floats, float, bool], list[float]]] = []
    of_cells: dict[Cells, list[tuple[Slip, list[float]]]] = {}  # only readings of the same cells can be the same
    for place in np.argsort(-weights, kind="stable"):
        weight = float(weights[place])
        if weight < _NEGLIGIBLE * total:
            break
        slip, seen = _at(parts, int(place))
        alike = of_cells.setdefault(_cells(slip), [])
        same = next((held for first, held in alike if _same(first, slip)), None)
        if same is None:
            alike.append((slip, held := [weight]))
            merged.append((slip, seen, held))
        else:
            same.append(weight)
    readings = [Reading(slip, _as_often_true(sum(held) / total), *seen) for slip, seen, held in merged]
    return Searched(parts[0].row, sound / total, tuple(_in_order(readings)))


def _as_often_true(probability: float) -> float:
    """Return a probability as often true as it says: real books go wrong in more ways than are thought of here."""
    if not _CONFIDENT < probability < 1:
        return min(probability, _CERTAIN)
    return float(1 / (1 + ((1 - probability) / probability) ** _THOUGHT_OF))


def _in_order(readings: list[Reading]) -> list[Reading]:
    """Put the best reading of the likeliest cells first, then all others by their probability."""
    if not readings:
        return []
    readings = sorted(readings, key=lambda reading: -reading.probability)
    of_place = _by_place(readings)
    likeliest = max(of_place, key=of_place.__getitem__)
    first = next(reading for reading in readings if reading.place == likeliest)
    return [first, *(reading for reading in readings if reading is not first)]


def _by_place(readings: Sequence[Reading]) -> dict[Place, float]:
    found: dict[Place, float] = {}
    for reading in readings:
        found[reading.place] = found.get(reading.place, 0.0) + reading.probability
    return found


def _at(parts: Sequence[Scored], place: int) -> tuple[Slip, tuple[Floats, float, bool]]:
    for part in parts:
        if place < len(part.joint):
            return part.slip(place), (part.totals[place], float(part.short[place]), bool(part.restores[place]))
        place -= len(part.joint)
    raise IndexError(place)


Cells: TypeAlias = tuple[str | None, tuple[tuple[int, str | None], ...]]


def _cells(slip: Slip) -> Cells:
    """Return what a slip is about: a statement or a fat left out, and each cell with the fat that it should name."""
    about = slip.missing[0] if slip.missing else slip.statement
    return about, tuple((edit.entry, edit.substance) for edit in slip.edits)


def _same(one: Slip, two: Slip) -> bool:
    """Whether two slips about the same cells ask for them to say nearly the same."""
    width = 0.015 if "exchanged" not in (one.truth, two.truth) or one.truth != two.truth else 0.004
    return all(abs(a.grams - b.grams) <= width * abs(a.grams) for a, b in zip(one.edits, two.edits, strict=True))
