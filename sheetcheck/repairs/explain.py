"""From readings of a row to repairs: which cells, what they should say, and the words for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sheetcheck.model import Change, Repair, address
from sheetcheck.repairs.entries import ALL, DEMAND, FATS, MASS_UNITS, PURE, Entries, Seen
from sheetcheck.repairs.habits import quantities
from sheetcheck.repairs.needs import needs
from sheetcheck.repairs.row import Cell, Edit, Row, round_like
from sheetcheck.repairs.row_search import Reading, Searched
from sheetcheck.repairs.sentences import odds, says, why
from sheetcheck.repairs.stated import Statements
from sheetcheck.repairs.systematic import Group
from sheetcheck.repairs.view import View
from sheetcheck.rules.support.wording import joined, percent, plain
from sheetcheck.words import tr, tr_count

_SHOWN = 5
_LEAST = 0.02  # a reading less probable than this is not shown
_VALUES_DIFFER = 1.0  # points of superfat by which makers' values for fats mostly differ from published ones
_SHARED = 0.99  # probability of a cause that three rows or more share


def repairs_of(searched: Searched, entries: Entries, statements: Statements, superfat: float) -> tuple[Repair, ...]:
    """Return the repairs worth showing, most probable first; none that would leave lye free."""
    probable = [r for r in _one_left_out(searched.readings) if r.probability >= _LEAST]
    shown = [r for r in probable if not _leaves_lye_free(searched.row, r, superfat)][:_SHOWN]
    lines = lines_of(entries, searched.row)
    found = []
    for place, reading in enumerate(shown):
        if reading.slip.statement is not None:
            found.append(_of_total(searched, reading, statements, superfat))
        elif reading.slip.missing is None:
            found.append(_repair(searched, reading, lines, place, superfat))
        elif (blank := blank_cell(entries, searched.row, reading.slip.missing[0])) is not None:
            found.append(_missing(searched, reading, blank, superfat))
    return tuple(found)


def blank_cell(entries: Entries, row: Row, fat: str) -> tuple[str, str] | None:
    """Return sheet and address of the blank cell in which a fat belongs: in a table, in its column; else None."""
    seen, own = entries.seen, entries.of(row.position)
    sheet = seen.sheet[own.start]
    of_fat = np.flatnonzero((seen.substance == fat) & (seen.sheet == sheet))
    for there, here, turned in ((seen.column, seen.row, False), (seen.row, seen.column, True)):
        lines, across = set(there[of_fat].tolist()), set(here[own].tolist())
        if len(lines) == 1 == len(across) and len(set(here[of_fat].tolist())) == len(of_fat) > 0:
            column, line = lines.pop(), across.pop()
            return str(sheet), address(column, line) if turned else address(line, column)
    return None


def _missing(searched: Searched, reading: Reading, blank: tuple[str, str], superfat: float) -> Repair:
    """Say that a fat was left out, where its cell stands blank."""
    fat, grams = reading.slip.missing or ("", 0.0)
    cell = replace(searched.row.fats[0], text=None, neighbours=())
    value = round_like(cell, grams / cell.factor)
    after = _superfat(searched.row, reading, superfat)
    lines = (
        tr("{cell} is blank.", cell=blank[1]),
        needs(searched.row, reading),
        joined(
            tr("{amount} of {fat} there would fit.", amount=f"{plain(value, 4)} {cell.unit}", fat=tr(fat)),
            "" if np.isnan(after) else tr("Superfat would then be {superfat}.", superfat=percent(after)),
            odds(searched, reading),
        ),
    )
    return Repair(
        kind="missing",
        changes=(Change(*blank, written="", value=value, unit=cell.unit),),
        probability=round(min(reading.probability, 0.9999), 4),
        superfat_percent=None if np.isnan(after) else round(after, 2),
        why="\n".join(line for line in lines if line),
    )


def _one_left_out(readings: Sequence[Reading]) -> Iterator[Reading]:
    """Yield the readings, of the fats that may have been left out only the likeliest: they are one choice."""
    said = False
    for reading in readings:
        if reading.slip.missing is None or not said:
            yield reading
        said = said or reading.slip.missing is not None


def _leaves_lye_free(row: Row, reading: Reading, superfat: float) -> bool:
    """Whether a row would be in danger after the repair; where hardly any margin is stated, values may differ."""
    least = -_VALUES_DIFFER if row.context.no_margin else 0.0
    return reading.slip.statement is None and _superfat(row, reading, superfat) < least


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
    held = text if not line["unit"] or isinstance(line["written"], str) else f"{text} {unit}"
    change = Change(str(line["sheet"]), cell, held, summed, unit, is_number=not isinstance(line["written"], str))
    adds_up = tr("The amounts add up to {total}.", total=f"{plain(summed, 2)} {unit}")
    fits = tr("They fit each other: the total seems mistyped, not an amount.")
    return Repair(
        kind="other",
        changes=(change,),
        probability=round(min(reading.probability, 0.9999), 4),
        superfat_percent=None if np.isnan(superfat) else round(superfat, 2),
        why="\n".join((says(cell, change.shown), adds_up, joined(fits, odds(searched, reading)))),
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
    changes = tuple(_change(row.cells[edit.entry], edit, lines) for edit in reading.slip.edits)
    return Repair(
        kind=reading.slip.kind,
        changes=changes,
        probability=round(min(reading.probability, 0.9999), 4),
        superfat_percent=None if np.isnan(after) else round(after, 2),
        why=why(searched, reading, changes, after),
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
        is_number=cell.text is None,
    )


def written(cell: Cell) -> str:
    """Say what a cell holds, with its unit where its text does not have one."""
    if cell.text is not None and cell.unit_from == "cell text":
        return cell.text
    return f"{cell.text or f'{cell.value:.10g}'} {cell.unit}"


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
        changes = tuple(_shared_change(entries, entry, group) for entry, group in changed)
        result[int(entries.index[position])] = Repair(
            kind="unit",
            changes=changes,
            probability=_SHARED,
            superfat_percent=None if np.isnan(left[position]) else round(float(left[position]), 2),
            why=_shared_why(changes, others, float(left[position])),
        )
    return result


def _shared_why(changes: Sequence[Change], others: int, superfat: float) -> str:
    lines = (
        joined(*(says(change.cell, change.shown) for change in changes)),
        tr_count(
            "As in {count} other recipe, the number is right and its unit is {unit}.",
            "As in {count} other recipes, the number is right and its unit is {unit}.",
            others,
            unit=changes[0].unit,
        ),
        "" if np.isnan(superfat) else tr("Superfat would then be {superfat}.", superfat=percent(superfat)),
    )
    return "\n".join(line for line in lines if line)


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
        is_number=not isinstance(line["written"], str),
    )
