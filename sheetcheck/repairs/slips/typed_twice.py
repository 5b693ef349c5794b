"""An amount that stands twice: a line typed again, or the number in the next column too. One of the two is too many."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import log

from sheetcheck.repairs.row import Cell, Edit, Row, Slip

_OF_ANOTHER = 0.3  # share of the numbers that were typed again in another fat's place


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row without one of two equal amounts: either of a line typed twice, the later of two fats."""
    for role in (row.fats, row.lye, row.liquids):
        for one, two in combinations(role, 2):
            if one.value != two.value or one.unit != two.unit:
                continue
            if one.substance == two.substance:
                yield _without(row, two, log(1 - _OF_ANOTHER))
            elif role is row.fats:
                for cell in (one, two):
                    yield _without(row, cell, log(_OF_ANOTHER / 2))


def _without(row: Row, cell: Cell, log_share: float) -> Slip:
    edit = Edit(cell.entry, 0.0, cell.unit, 0.0)
    return Slip("twice", (edit,), row.chance("line typed twice", cell) + log_share, "copied")
