"""A right number in another unit: in one cell, in a group of cells, or pounds and ounces typed as a decimal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log

from sheetcheck.repairs.entries import MASS_UNITS, OTHER
from sheetcheck.repairs.row import Cell, Edit, Row, Slip

VOLUME = {"mL": 1.0, "L": 1000.0, "floz": 29.5735295625, "cup": 236.5882365}
_CONFUSED = {  # share of the confusions of a unit
    ("oz", "g"): 0.85,
    ("g", "oz"): 0.85,
    ("lb", "oz"): 0.5,
    ("oz", "lb"): 0.12,
    ("lb", "g"): 0.1,
    ("g", "lb"): 0.05,
    ("lb", "kg"): 0.2,
    ("kg", "lb"): 0.2,
    ("kg", "oz"): 0.1,
    ("mL", "floz"): 0.6,
    ("floz", "mL"): 0.6,
}
_SELDOM = {("g", "kg"), ("kg", "g"), ("mL", "L"), ("L", "mL"), ("floz", "cup"), ("cup", "floz")}
_SAID = 20.0  # times as likely where two sources on the sheet contradict each other about this unit
_OWN_TEXT = 2.0  # times as likely where the cell says a unit of its own
_OUNCES = 16


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with one cell, or one group of cells, read in another unit."""
    for cell in row.cells:
        if cell.role != OTHER and cell.value > 0:
            yield from _one_cell(row, cell)
            yield from _pounds_and_ounces(row, cell)
    yield from _groups(row)


def in_unit(cell: Cell, unit: str) -> Edit | None:
    """Return the edit that keeps a cell's number and reads it in another unit, None where that has no sense."""
    own = "lb" if cell.unit == "lb oz" else cell.unit
    for family in (MASS_UNITS, VOLUME):
        if own in family and unit in family and own != unit:
            return Edit(cell.entry, cell.value, unit, cell.value * cell.factor * family[unit] / family[own])
    return None


def _one_cell(row: Row, cell: Cell) -> Iterator[Slip]:
    own = "lb" if cell.unit == "lb oz" else cell.unit
    for unit in (*MASS_UNITS, *VOLUME):
        edit = in_unit(cell, unit)
        if edit is None:
            continue
        seldom = (own, unit) in _SELDOM
        share = 1.0 if seldom else _CONFUSED.get((own, unit), 0.01)
        log_prior = row.chance("unit seldom confused" if seldom else "unit of one cell", cell) + log(share)
        if unit in cell.said:
            log_prior += log(_SAID)
        elif cell.unit_from in ("cell text", "number format"):
            log_prior += log(_OWN_TEXT)
        yield Slip("unit", (edit,), log_prior)


def _pounds_and_ounces(row: Row, cell: Cell) -> Iterator[Slip]:
    """2.4 for 2 lb 4 oz, in a column of ounces or of pounds."""
    if cell.unit not in ("oz", "lb") or cell.decimals not in (1, 2) or cell.value >= 40:
        return
    pounds, _, rest = f"{cell.value:.{cell.decimals}f}".partition(".")
    ounces = int(rest)
    if not int(pounds) or not 0 < ounces < _OUNCES:
        return
    total = int(pounds) * _OUNCES + ounces
    value = float(total) if cell.unit == "oz" else total / _OUNCES
    edit = Edit(cell.entry, value, cell.unit, total * MASS_UNITS["oz"])
    yield Slip("unit", (edit,), row.chance("pounds and ounces as a decimal", cell))


def _groups(row: Row) -> Iterator[Slip]:
    """All fats, lye and liquid, or the whole row in another unit."""
    groups: list[Sequence[Cell]] = [row.fats, (*row.lye, *row.liquids), (*row.fats, *row.lye, *row.liquids)]
    shares = (0.4, 0.3, 0.3)
    for group, part in zip(groups, shares, strict=True):
        units = {cell.unit for cell in group}
        if len(group) < 2 or len(units) != 1:
            continue
        own = units.pop()
        for unit in MASS_UNITS:
            edits = [edit for cell in group if (edit := in_unit(cell, unit)) is not None]
            if len(edits) != len(group):
                continue
            share = part * (0.3 if (own, unit) in _SELDOM else _CONFUSED.get((own, unit), 0.01))
            yield Slip("unit", tuple(edits), row.chance("unit of a group") + log(share))
