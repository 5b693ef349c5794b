"""An amount that has two readings, as `1.250 g`, or is stated as two, as `10 oz (238 g)`: the other one."""

from __future__ import annotations

from collections.abc import Iterator
from math import log

import numpy as np

from sheetcheck.repairs.entries import OTHER
from sheetcheck.repairs.row import Cell, Edit, Row, Slip
from sheetcheck.rules.support.twice import as_stated_again, differently_stated

_EITHER = 0.5  # of two amounts that cannot both be right


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with the other reading of each ambiguous amount."""
    for cell in row.cells:
        if cell.role != OTHER and np.isfinite(cell.other_grams) and cell.other_grams > 0:
            yield _stated(cell) if differently_stated(cell.grams, cell.other_grams) else _read(row, cell)


def _stated(cell: Cell) -> Slip:
    """Return the other of two amounts; both are written, so that neither owes its number to chance."""
    edit = Edit(cell.entry, *as_stated_again(cell.other_grams, cell.unit), cell.other_grams)
    return Slip("other", (edit,), log(_EITHER), truth="solved")


def _read(row: Row, cell: Cell) -> Slip:
    edit = Edit(cell.entry, cell.other_grams / cell.factor, cell.unit, cell.other_grams)
    return Slip("decimal", (edit,), log(min(row.weights.chance("second reading") * 100, _EITHER)))
