"""Which searched rows are worth a finding of their own, and which cells are under suspicion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sheetcheck.model import Change, Finding, Repair, Signal
from sheetcheck.repairs.entries import DEMAND, MASS, PURE, WET, Entries, Ints, Mask
from sheetcheck.repairs.explain import cells_of, lines_of
from sheetcheck.repairs.row_search import Searched
from sheetcheck.rules import all_rules
from sheetcheck.rules.likely_slip import likely_slip
from sheetcheck.rules.support.evidence import Place
from sheetcheck.rules.support.wording import either, joined, mass, plain
from sheetcheck.words import later, tr

FLAGGED = 0.08  # probability of a slip from which it is worth a finding
SURE = 0.97
SHOWN = 0.1  # probability of a slip from which repairs are kept for a finding of a rule
NAMED = 0.5  # probability of one reading from which its cell is named alone
_HELD = 0.9  # share of the probability of a slip that a set of cells holds
_POINTS = 3.0  # superfat moved by more than this, or liquid to lye by more than a tenth, matters
_TENTH = 0.1
_OFFERED = 3  # choices that are offered where none stands out
_WORTH_SAYING = 0.1  # probability of a fat left out from which it is said
_STATED_SO = "no-margin"  # what this rule marks, the sheet itself explains


@dataclass(frozen=True)
class Judged:
    """A searched row with what is to be said about it."""

    recipe: int
    searched: Searched
    repairs: tuple[Repair, ...]
    suspected: tuple[str, ...]  # the fewest cells that hold nearly all of the probability of a slip
    shown: bool
    slip: float  # probability that there is a slip
    material: float  # probability that there is one that matters


def to_look_at(findings: Sequence[Finding], entries: Entries) -> Mask:
    """Tell which recipes rules have flagged at CAUTION or above, for what an amount can cause."""
    numbers = {
        number
        for finding in about_amounts(findings)
        if finding.signal.rank >= Signal.CAUTION.rank
        for number in (finding.recipes or (finding.recipe,))
        if number is not None
    }
    return np.isin(entries.index, list(numbers))


def worst_signals(findings: Sequence[Finding], entries: Entries) -> Ints:
    """Return the rank of the worst signal word that rules have for each recipe, 0 for none."""
    worst: dict[int, int] = {}
    for finding in about_amounts(findings):
        for recipe in finding.about():
            worst[recipe] = max(worst.get(recipe, 0), finding.signal.rank)
    return np.array([worst.get(recipe, 0) for recipe in entries.index.tolist()], dtype=np.int64)


def about_amounts(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings of rules whose cause an amount can be."""
    repairable = {rule.name for rule in all_rules() if rule.repairable} - {_STATED_SO}
    return [finding for finding in findings if finding.rule in repairable]


def judge(searched: Searched, repairs: tuple[Repair, ...], entries: Entries, *, flagged: bool) -> Judged:
    """Say what is to be said about a searched row."""
    slip = 1 - searched.sound
    lines = lines_of(entries, searched.row)
    held: dict[str, None] = {}
    mass = 0.0
    for reading in searched.readings:
        if slip < SHOWN or mass >= _HELD * slip:
            break
        mass += reading.probability
        held |= dict.fromkeys(cells_of(reading, lines))
    return Judged(
        recipe=searched.row.number,
        searched=searched,
        repairs=repairs,
        suspected=tuple(held),
        shown=bool(repairs) and (slip >= SHOWN if not flagged else slip >= 0.02),
        slip=slip,
        material=_material(searched),
    )


def _material(searched: Searched) -> float:
    """Return the probability of a slip that matters: one that moved superfat or strength by more than a little."""
    if not searched.readings:
        return 0.0
    before = searched.row.totals
    after = np.array([reading.totals for reading in searched.readings])
    with np.errstate(divide="ignore", invalid="ignore"):
        superfat = 100 * np.abs(after[:, PURE] / after[:, DEMAND] - before[PURE] / before[DEMAND])
        water = np.abs(np.log((after[:, WET] / after[:, MASS]) / (before[WET] / before[MASS])))
    matters = (np.nan_to_num(superfat) > _POINTS) | (np.nan_to_num(water) > np.log1p(_TENTH))
    return float(np.array([reading.probability for reading in searched.readings]) @ matters)


def slip_findings(judged: Sequence[Judged], findings: Sequence[Finding]) -> list[Finding]:
    """Make a finding for each slip that no rule has flagged as badly already."""
    spoken: dict[int, int] = {}
    for finding in about_amounts(findings):
        for recipe in finding.about():
            spoken[recipe] = max(spoken.get(recipe, 0), finding.signal.rank)
    found = []
    for item in judged:
        if item.material < FLAGGED or not item.repairs:
            continue
        unmistakable = item.repairs[0].probability >= SURE
        signal = Signal.WARNING if unmistakable else Signal.CAUTION
        if signal.rank > spoken.get(item.recipe, 0):
            found.append(_finding(item, unmistakable=unmistakable))
    return found


def _finding(item: Judged, *, unmistakable: bool) -> Finding:
    best = item.repairs[0]
    change = best.changes[0]
    if held(item.repairs) >= NAMED:
        message, expected = best.why, _expected(best)
    else:
        choices = either(
            list(dict.fromkeys(_choice(repair) for repair in _of_different_cells(item.repairs)[:_OFFERED]))
        )
        message = joined(tr(_PROBABLY if item.slip >= NAMED else _PERHAPS, choices=choices), _left_out(item))
        expected = either(list(dict.fromkeys(_expected(repair) for repair in item.repairs[:_OFFERED])))
    place = Place(change.sheet, change.cell, written=change.written, is_number=change.is_number)
    return likely_slip(place, item.recipe, message, expected=expected, unmistakable=unmistakable)


_PROBABLY = later("The row does not fit the rest of the book. Probably one slip: {choices}.")
_PERHAPS = later("The row is unlike the rest of the book, and one slip would explain it: {choices}.")
_LEFT_OUT = later("Or a fat was left out: the lye would be right for about {amount} more.")


def _of_different_cells(repairs: Sequence[Repair]) -> list[Repair]:
    """Return the likeliest repair of each set of cells, likeliest cells first."""
    best: dict[frozenset[str], Repair] = {}
    for repair in repairs:
        best.setdefault(frozenset(change.cell for change in repair.changes), repair)
    return list(best.values())


def _choice(repair: Repair) -> str:
    return ", ".join(
        tr("{cell}: {written} → {meant}", cell=change.cell, written=change.shown or tr("blank"), meant=_meant(change))
        for change in repair.changes
    )


def _left_out(item: Judged) -> str:
    """Say that a fat may be missing, where that is as likely as what is offered and no cell can be named for it."""
    unnamed = [reading for reading in item.searched.readings if reading.slip.missing]
    chance = sum(reading.probability for reading in unnamed)
    if chance < max(_WORTH_SAYING, held(item.repairs) / 2) or any(r.kind == "missing" for r in item.repairs):
        return ""
    grams = sum(r.probability * r.slip.missing[1] for r in unnamed if r.slip.missing) / chance
    return tr(_LEFT_OUT, amount=mass(grams, item.searched.row.fats[0].unit))


def held(repairs: Sequence[Repair]) -> float:
    """Return the probability of the cells that the first repair changes: that of all repairs of just these."""
    cells = [{change.cell for change in repair.changes} for repair in repairs]
    return sum(repair.probability for repair, own in zip(repairs, cells, strict=True) if own == cells[0])


def _expected(repair: Repair) -> str:
    return "; ".join(f"{change.cell}: {_meant(change)}" for change in repair.changes)


def _meant(change: Change) -> str:
    if change.substance is not None:
        return tr(change.substance)
    return f"{plain(change.value, 4)} {change.unit or ''}".rstrip() if change.value else tr("nothing")
