"""Which searched rows are worth a finding of their own, and which cells are under suspicion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sheetcheck.model import Finding, Repair, Signal, address
from sheetcheck.repairs.entries import DEMAND, MASS, PURE, WET, Entries
from sheetcheck.repairs.explain import cells_of, lines_of
from sheetcheck.repairs.reckoning import Cause
from sheetcheck.repairs.row_search import Reading, Searched
from sheetcheck.repairs.systematic import Group
from sheetcheck.rules import all_rules
from sheetcheck.rules.likely_slip import likely_slip
from sheetcheck.rules.support.evidence import Place
from sheetcheck.rules.systematic_slip import systematic_slip

FLAGGED = 0.4  # probability of a slip from which it is worth a finding
SURE = 0.97
SHOWN = 0.2  # probability of a slip from which repairs are kept for a finding of a rule
NAMED = 0.5  # probability of one reading from which its cell is named alone
_HELD = 0.9  # share of the probability of a slip that a set of cells holds
_POINTS = 3.0  # superfat moved by more than this, or liquid to lye by more than a tenth, matters
_TENTH = 0.1
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


def to_look_at(findings: Sequence[Finding], entries: Entries) -> set[int]:
    """Positions of the recipes that rules have flagged at CAUTION or above, for what an amount can cause."""
    position = {int(number): place for place, number in enumerate(entries.index)}
    numbers = {
        number
        for finding in _about_amounts(findings)
        if finding.signal.rank >= Signal.CAUTION.rank
        for number in (finding.recipes or (finding.recipe,))
        if number is not None
    }
    return {position[number] for number in numbers if number in position}


def _about_amounts(findings: Sequence[Finding]) -> list[Finding]:
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
        material=sum(r.probability for r in searched.readings if _matters(searched, r)),
    )


def _matters(searched: Searched, reading: Reading) -> bool:
    before, after = searched.row.totals, reading.totals
    with np.errstate(divide="ignore", invalid="ignore"):
        superfat = 100 * abs(after[PURE] / after[DEMAND] - before[PURE] / before[DEMAND])
        water = abs((after[WET] / after[MASS]) / (before[WET] / before[MASS]) - 1)
    return bool(np.nan_to_num(superfat) > _POINTS or np.nan_to_num(water) > _TENTH)


def slip_findings(judged: Sequence[Judged], findings: Sequence[Finding]) -> list[Finding]:
    """Make a finding for each slip that no rule has flagged as badly already."""
    spoken: dict[int, int] = {}
    for finding in _about_amounts(findings):
        for number in finding.recipes or (finding.recipe,):
            if number is not None:
                spoken[number] = max(spoken.get(number, 0), finding.signal.rank)
    found = []
    for item in judged:
        if item.material < FLAGGED or not item.repairs:
            continue
        best = item.repairs[0]
        unmistakable = best.probability >= SURE
        signal = Signal.WARNING if unmistakable else Signal.CAUTION
        if signal.rank > spoken.get(item.recipe, 0):
            found.append(_finding(item, unmistakable=unmistakable))
    return found


def shared_findings(groups: Sequence[Group], causes: Sequence[Cause], entries: Entries) -> list[Finding]:
    """Make one finding for each cause that many rows share."""
    found = []
    for group in groups:
        place, last = _place(entries, int(group.entries[0])), _place(entries, int(group.entries[-1]))
        found.append(
            systematic_slip(
                place,
                [int(entries.index[p]) for p in group.recipes],
                f"In {len(group.recipes)} recipes, {place.cell} to {last.cell}, {_called(group.name)} "
                f"in {group.meant} where the sheet says {group.unit}.",
                signal=Signal.WARNING,
                look_at="the unit in the heading, and since when you weigh in the other one",
            )
        )
    for cause in causes:
        first = int(entries.start[int(cause.rows[0])])
        signal = Signal.CAUTION if cause.less_margin else Signal.NOTICE
        numbers = [int(entries.index[p]) for p in cause.rows]
        found.append(
            systematic_slip(_place(entries, first), numbers, cause.message, signal=signal, look_at=cause.look_at)
        )
    return found


def _called(name: str) -> str:
    if name in ("the fats", "lye and liquid"):
        return f"{name} seem to be"
    return f"{name if name.startswith('the ') else f'the amount of {name}'} seems to be"


def _place(entries: Entries, entry: int) -> Place:
    line = entries.frame.iloc[entry]
    return Place(str(line["sheet"]), address(int(line["row"]), int(line["column"])), str(line["name"] or ""))


def _finding(item: Judged, *, unmistakable: bool) -> Finding:
    best = item.repairs[0]
    change = best.changes[0]
    if best.probability >= NAMED:
        message, expected = best.why, _expected(best)
    else:
        cells = item.suspected or (change.cell,)
        which = f"One of {', '.join(cells)}" if len(cells) > 1 else cells[0]
        message = f"{which} is probably wrong: the row does not fit the rest of the book."
        expected = " or ".join(dict.fromkeys(_expected(r) for r in item.repairs[:3]))
    place = Place(change.sheet, change.cell, holds=change.written)
    return likely_slip(place, item.recipe, message, expected=expected, unmistakable=unmistakable)


def _expected(repair: Repair) -> str:
    parts = []
    for change in repair.changes:
        value = change.substance or f"{change.value:.10g} {change.unit or ''}".strip()
        parts.append(f"{change.cell}: {value}")
    return "; ".join(parts)
