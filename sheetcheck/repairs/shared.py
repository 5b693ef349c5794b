"""Findings on causes that many rows share: one for the whole book, however many stretches it was searched in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sheetcheck.model import Finding, Signal, address
from sheetcheck.repairs.entries import Entries
from sheetcheck.repairs.reckoning import Cause
from sheetcheck.repairs.systematic import Group
from sheetcheck.rules.support.evidence import Place
from sheetcheck.rules.systematic_slip import systematic_slip
from sheetcheck.words import later, number, tr

_IN_OTHER_UNIT = {
    "the lye": later(
        "In {count} recipes, {first} to {last}, the lye seems to be in {meant} where the sheet says {unit}."
    ),
    "the liquid": later(
        "In {count} recipes, {first} to {last}, the liquid seems to be in {meant} where the sheet says {unit}."
    ),
    "the fats": later(
        "In {count} recipes, {first} to {last}, the fats seem to be in {meant} where the sheet says {unit}."
    ),
    "lye and liquid": later(
        "In {count} recipes, {first} to {last}, lye and liquid seem to be in {meant} where the sheet says {unit}."
    ),
}
_FAT_IN_OTHER_UNIT = later(
    "In {count} recipes, {first} to {last}, the amount of {name} seems to be in {meant} where the sheet says {unit}."
)


@dataclass(frozen=True)
class Shared:
    """A cause with the recipes that share it; `sentence` gets their count and their first and last cell."""

    sentence: str
    parts: Mapping[str, str]
    key: tuple[str, ...]  # what tells it from other causes
    recipes: tuple[int, ...]
    first: Place
    last: Place
    signal: Signal
    look_at: str

    def finding(self) -> Finding:
        """Say it."""
        where = {"count": number(len(self.recipes), 0), "first": self.first.cell, "last": self.last.cell}
        message = tr(self.sentence, **where, **self.parts).strip()
        return systematic_slip(self.first, self.recipes, message, signal=self.signal, look_at=self.look_at)


def shared_causes(groups: Sequence[Group], causes: Sequence[Cause], entries: Entries) -> Iterator[Shared]:
    """Yield what the rows of one stretch share."""
    for group in groups:
        yield Shared(
            _IN_OTHER_UNIT.get(group.name, _FAT_IN_OTHER_UNIT),
            {"name": group.name, "meant": group.meant, "unit": group.unit},
            (group.name, group.meant, group.unit),
            _numbers(entries, group.recipes.tolist()),
            _place(entries, int(group.entries[0])),
            _place(entries, int(group.entries[-1])),
            Signal.WARNING,
            tr("the unit in the heading, and since when you weigh in the other one"),
        )
    for cause in causes:
        first, last = (_place(entries, int(entries.start[int(cause.rows[end])])) for end in (0, -1))
        signal = Signal.CAUTION if cause.less_margin else Signal.NOTICE
        numbers = _numbers(entries, cause.rows.tolist())
        key = (cause.sentence, cause.about)
        yield Shared(cause.sentence, cause.parts, key, numbers, first, last, signal, cause.look_at)


def findings_of(shared: Iterable[Shared]) -> list[Finding]:
    """Make one finding of each cause, whichever stretches it was found in."""
    found: dict[tuple[str, ...], Shared] = {}
    for one in shared:
        before = found.get(one.key)
        together = (*before.recipes, *one.recipes) if before else one.recipes
        found[one.key] = replace(before or one, recipes=together, last=one.last)
    return [one.finding() for one in found.values()]


def _numbers(entries: Entries, positions: list[int]) -> tuple[int, ...]:
    return tuple(int(entries.index[position]) for position in positions)


def _place(entries: Entries, entry: int) -> Place:
    line = entries.frame.iloc[entry]
    return Place(str(line["sheet"]), address(int(line["row"]), int(line["column"])), str(line["name"] or ""))
