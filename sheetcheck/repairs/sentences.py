"""What a repair says to the maker, in three lines: what is written, what the rest needs, which slip lies between."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from sheetcheck.model import Change, RepairKind
from sheetcheck.repairs.needs import needs
from sheetcheck.repairs.row import Edit, Row, Slip
from sheetcheck.repairs.row_search import Reading, Searched
from sheetcheck.repairs.slips.stale import scale_of
from sheetcheck.rules.support.wording import joined, listed, mass, percent, plain
from sheetcheck.words import later, tr

_KINDS: Mapping[RepairKind, str] = {
    "unit": later("{meant} would fit: the numbers are right, and their unit is another."),
    "decimal": later("{meant} is the same number with its decimal point or zeros elsewhere."),
    "digit": later("{meant} differs from it by one slip of a digit."),
    "swap": later("{meant} would fit: the two are in each other's place."),
    "stale": later("{meant} would fit the fats as they are now: what is written seems left from before a change."),
    "alkali": later("{meant} does the same work: what is written is an amount of the other alkali."),
    "substance": later("{meant} would fit: the amounts seem crossed."),
    "copied": later("{meant} would fit this recipe: what is written is the amount of the recipe beside it."),
    "twice": later("Without it the row fits: the amount seems typed twice."),
    "other": later("{meant} would fit the rest of the row."),
}
_SCALED = later(
    "{meant} would fit the fats as they are now: {times} times what is written, "
    "which seems left from before the batch was scaled."
)
_OTHER_FAT = later("{meant} would fit in its place.")
_OTHER_UNIT = later("{meant} would be {converted}: the number is right, and its unit is another.")
_MOST_ODDS = 10_000


def why(searched: Searched, reading: Reading, changes: Sequence[Change], superfat: float) -> str:
    """Explain a repair; `superfat` is what it would leave, NaN where that cannot be told."""
    row = searched.row
    lines = (
        joined(*(says(change.cell, change.shown) for change in changes)),
        needs(row, reading),
        joined(
            _slip(row, reading.slip),
            "" if np.isnan(superfat) else tr("Superfat would then be {superfat}.", superfat=percent(superfat)),
            odds(searched, reading),
        ),
    )
    return "\n".join(line for line in lines if line)


def says(cell: str, written: str) -> str:
    """Say what a cell holds."""
    return tr("{cell} says {written}.", cell=cell, written=written)


def _slip(row: Row, slip: Slip) -> str:
    meant = listed([_meant(edit) for edit in slip.edits], most=8)
    scale = _scale(row, slip)
    if scale is not None:
        return tr(_SCALED, meant=meant, times=plain(scale, 2))
    if len(slip.edits) == 1:
        edit = slip.edits[0]
        own = row.cells[edit.entry].unit
        if edit.substance is not None:
            return tr(_OTHER_FAT, meant=meant)
        if slip.kind == "unit" and own != edit.unit:
            return tr(_OTHER_UNIT, meant=meant, converted=mass(edit.grams, own))
    return tr(_KINDS[slip.kind], meant=meant)


def _scale(row: Row, slip: Slip) -> float | None:
    """Return the scale by which a batch seems to have changed since its lye was reckoned."""
    if slip.kind != "stale" or len(slip.edits) > 2:
        return None
    ratios = [edit.grams / row.cells[edit.entry].grams for edit in slip.edits]
    return scale_of(ratios[0]) if max(ratios) < 1.01 * min(ratios) else None


def _meant(edit: Edit) -> str:
    return tr(edit.substance) if edit.substance is not None else f"{plain(edit.value, 4)} {edit.unit}"


def odds(searched: Searched, reading: Reading) -> str:
    """Say how much likelier the cells of the first reading are than the next, or than no slip at all."""
    if not searched.readings or reading is not searched.readings[0]:
        return ""
    of_place = searched.of_place()
    here = of_place.pop(reading.place)
    other, sound = max(of_place.values(), default=0.0), searched.sound
    chance = max(other, sound, here / _MOST_ODDS / 2)
    ratio = here / chance
    said = plain(ratio, 0 if ratio > 10 else 1)
    if ratio < 1:
        return ""
    if ratio >= _MOST_ODDS:
        return tr("More than {odds} to 1 against anything else.", odds=plain(_MOST_ODDS, 0))
    if other >= sound:
        return tr("{odds} to 1 against the next reading.", odds=said)
    return tr("{odds} to 1 against no slip at all.", odds=said)
