"""What a repair says to the maker: what is written, what the rest of the row needs, which slip lies between."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sheetcheck.model import Change, Repair, RepairKind, address
from sheetcheck.repairs.entries import ALKALI, ALL, DEMAND, FAT, FATS, LIQUID, MASS_UNITS, PURE, Entries, Seen
from sheetcheck.repairs.habits import quantities
from sheetcheck.repairs.row import Cell, Edit, Row, Slip
from sheetcheck.repairs.row_search import Reading, Searched
from sheetcheck.repairs.stated import Statements
from sheetcheck.repairs.systematic import Group
from sheetcheck.repairs.view import View
from sheetcheck.rules.support.wording import mass, percent, plain

_SHOWN = 5
_LEAST = 0.02  # a reading less probable than this is not shown
_SPREADS = 2.0
_SHARED = 0.99  # probability of a cause that three rows or more share

_KINDS: Mapping[RepairKind, str] = {
    "unit": "would fit: the numbers are right and in another unit",
    "decimal": "is the same number with its decimal point or zeros elsewhere",
    "digit": "differs from it by one slip of a digit",
    "swap": "would fit: the two are in each other's place",
    "stale": "would fit the fats as they are now: what is written seems left from before a change",
    "alkali": "does the same work: what is written is an amount of the other alkali",
    "substance": "would fit: the amounts seem crossed",
    "copied": "would fit this recipe: what is written is the amount of the recipe beside it",
    "other": "would fit the rest of the row",
}


def repairs_of(searched: Searched, entries: Entries, statements: Statements, superfat: float) -> tuple[Repair, ...]:
    """Return the repairs worth showing, most probable first."""
    shown = [r for r in searched.readings if r.probability >= _LEAST][:_SHOWN]
    lines = lines_of(entries, searched.row)
    return tuple(
        _of_total(searched, reading, statements, superfat)
        if reading.slip.statement is not None
        else _repair(searched, reading, lines, place, superfat)
        for place, reading in enumerate(shown)
    )


def _of_total(searched: Searched, reading: Reading, statements: Statements, superfat: float) -> Repair:
    """Say that a total is wrong: the amounts add up to something else."""
    row = searched.row
    kind, term = ("fats total", FATS) if reading.slip.statement == "fats_total" else ("batch total", ALL)
    line = statements.frame.iloc[int(statements.lines[kind][row.position])]
    unit = line["unit"] if line["unit"] in MASS_UNITS else "g"
    each = MASS_UNITS[unit]
    text = line["written"] if isinstance(line["written"], str) else f"{line['value'] / each:.10g}"
    cell = address(int(line["row"]), int(line["column"]))
    summed = round(float(row.totals[term]) / each, 4)
    return Repair(
        kind="other",
        changes=(Change(str(line["sheet"]), cell, text, summed, unit),),
        probability=round(min(reading.probability, 0.9999), 4),
        superfat_percent=None if np.isnan(superfat) else round(superfat, 2),
        why=f"{cell} says {text}.\nThe amounts add up to {plain(summed, 2)} {unit}, and they fit each other.",
    )


def cells_of(reading: Reading, lines: Lines) -> list[str]:
    """Addresses of the cells that a reading changes."""
    return [lines.cell(edit.entry) for edit in reading.slip.edits]


@dataclass(frozen=True, slots=True)
class Lines:
    """Where the cells of a row stand."""

    seen: Seen
    start: int

    def sheet(self, entry: int) -> str:
        """Sheet of an amount."""
        return str(self.seen.sheet[self.start + entry])

    def cell(self, entry: int) -> str:
        """Address of an amount."""
        at = self.start + entry
        return address(int(self.seen.row[at]), int(self.seen.column[at]))


def lines_of(entries: Entries, row: Row) -> Lines:
    """Return where the cells of a row stand."""
    return Lines(entries.seen, entries.of(row.position).start)


def _repair(searched: Searched, reading: Reading, lines: Lines, place: int, superfat: float) -> Repair:
    row = searched.row
    after = _superfat(row, reading, superfat)
    return Repair(
        kind=reading.slip.kind,
        changes=tuple(_change(row.cells[edit.entry], edit, lines) for edit in reading.slip.edits),
        probability=round(min(reading.probability, 0.9999), 4),
        superfat_percent=None if np.isnan(after) else round(after, 2),
        why=_why(searched, reading, lines, place, after),
        only=place == 0 and reading.probability > 0.5 and _alone(searched, reading),
    )


def _alone(searched: Searched, reading: Reading) -> bool:
    """Whether no other single slip comes within a hundredth of this one."""
    others = [r.probability for r in searched.readings if r is not reading]
    return max(others, default=0.0) < 0.01 * reading.probability


def _superfat(row: Row, reading: Reading, superfat: float) -> float:
    """Superfat after the repair, by the tool's own values: demand and lye change by the same factors."""
    before, after = row.totals, reading.totals
    if not (before[DEMAND] > 0 and before[PURE] > 0 and after[DEMAND] > 0):
        return float("nan")
    left = (1 - superfat / 100) * (after[PURE] / before[PURE]) * (before[DEMAND] / after[DEMAND])
    return float(100 * (1 - left))


def _change(cell: Cell, edit: Edit, lines: Lines) -> Change:
    return Change(
        sheet=lines.sheet(cell.entry),
        cell=lines.cell(cell.entry),
        written=written(cell),
        value=edit.value,
        unit=edit.unit,
        substance=edit.substance,
    )


def written(cell: Cell) -> str:
    """Say what a cell holds, with its unit where its text does not have one."""
    if cell.text is not None and cell.unit_from == "cell text":
        return cell.text
    return f"{cell.text or f'{cell.value:.10g}'} {cell.unit}"


def _why(searched: Searched, reading: Reading, lines: Lines, place: int, superfat: float) -> str:
    row, edits = searched.row, reading.slip.edits
    here = "; ".join(f"{lines.cell(edit.entry)} says {written(row.cells[edit.entry])}" for edit in edits)
    needs = needed(row, row.cells[edits[0].entry]) if len(edits) == 1 else ""
    left = "" if np.isnan(superfat) else f", superfat {percent(superfat)}"
    return "\n".join(
        line
        for line in (f"{here}.", needs, f"{_meant(edits)} {_slip(row, reading.slip)}{left}{_odds(searched, place)}.")
        if line
    )


def _meant(edits: tuple[Edit, ...]) -> str:
    return " and ".join(
        edit.substance if edit.substance is not None else f"{plain(edit.value, 4)} {edit.unit}" for edit in edits
    )


def _slip(row: Row, slip: Slip) -> str:
    if slip.kind == "unit" and len(slip.edits) == 1:
        cell, edit = row.cells[slip.edits[0].entry], slip.edits[0]
        if cell.unit != edit.unit:
            return f"would be {mass(edit.grams, cell.unit)}"
    if slip.kind == "substance" and len(slip.edits) == 1:
        return "would fit in its place"
    return _KINDS[slip.kind]


def _odds(searched: Searched, place: int) -> str:
    """Odds of the first reading against the next, or against no slip at all."""
    if place > 0:
        return ""
    first = searched.readings[0].probability
    others = [
        (searched.sound, "no slip at all"),
        *((r.probability, "the next reading") for r in searched.readings[1:2]),
    ]
    chance, what = max(others)
    if chance <= first / 10000:
        return f"; more than 10,000 to 1 against {what}"
    return f"; {plain(first / chance, 0 if first > 10 * chance else 1)} to 1 against {what}"


def needed(row: Row, cell: Cell) -> str:
    """Say what the rest of the row asks for in this cell, as a range in its own unit; empty where it cannot be told."""
    span = _needed_grams(row, cell)
    if span is None or not 0 < span[0] < span[1]:
        return ""
    return f"The rest of the row asks for {mass(span[0], cell.unit)} to {mass(span[1], cell.unit)}."


def _needed_grams(row: Row, cell: Cell) -> tuple[float, float] | None:
    width = _SPREADS * float(np.hypot(row.habits.spread, row.context.lye_rounding)) + 0.01
    aims = row.lye_aims()
    if not aims:
        return None
    least, most = min(aim for aim, _ in aims) - width, max(aim for aim, _ in aims) + width
    if cell.role == ALKALI and row.demand > 0 and row.pure > 0:
        each = cell.grams / row.pure
        return row.demand * float(np.exp(least)) * each, row.demand * float(np.exp(most)) * each
    if cell.role == LIQUID and row.mass_of_lye > 0:
        rest = row.wet - cell.grams
        wanted = [grams for grams, _ in row.water_aims()]
        return (min(wanted) * 0.97 - rest, max(wanted) * 1.03 - rest) if wanted else None
    each = float(row.per_gram[cell.entry, DEMAND])
    if cell.role == FAT and each > 0 and row.pure > 0:
        low, high = (row.pure / float(np.exp(aim)) - row.demand for aim in (most, least))
        return cell.grams + low / each, cell.grams + high / each
    return None


def shared_repairs(groups: Sequence[Group], entries: Entries, seen: View) -> dict[int, Repair]:
    """Repairs of the rows that a cause for many rows explains, by recipe; `entries` are as meant."""
    edits: dict[int, list[tuple[int, Group]]] = {}
    for group in groups:
        for entry in group.entries:
            edits.setdefault(int(entries.recipe[entry]), []).append((int(entry), group))
    left = 100 * (1 - np.exp(quantities(seen.totals).superfat))
    result = {}
    for position, changed in edits.items():
        others = max(len(group.recipes) for _, group in changed) - 1
        result[int(entries.index[position])] = Repair(
            kind="unit",
            changes=tuple(_shared_change(entries, entry, group) for entry, group in changed),
            probability=_SHARED,
            superfat_percent=None if np.isnan(left[position]) else round(float(left[position]), 2),
            why=f"As in {others} other recipes, the number is right and its unit is {changed[0][1].meant}.",
        )
    return result


def _shared_change(entries: Entries, entry: int, group: Group) -> Change:
    line = entries.frame.iloc[entry]
    value = float(entries.value[entry])
    text = line["written"] if isinstance(line["written"], str) else f"{value:.10g}"
    return Change(
        sheet=str(line["sheet"]),
        cell=address(int(line["row"]), int(line["column"])),
        written=text if line["unit_from"] == "cell text" else f"{text} {group.unit}",
        value=value,
        unit=group.meant,
    )
