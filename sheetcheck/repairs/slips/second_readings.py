"""An amount that can be read in two ways, such as `1.250 g`, read the other way."""

from __future__ import annotations

from collections.abc import Iterator
from math import log

import numpy as np

from sheetcheck.repairs.entries import OTHER
from sheetcheck.repairs.row import Edit, Row, Slip


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with the other reading of each ambiguous amount."""
    for cell in row.cells:
        if cell.role != OTHER and np.isfinite(cell.other_grams) and cell.other_grams > 0:
            value = cell.other_grams / cell.factor
            edit = Edit(cell.entry, value, cell.unit, cell.other_grams)
            odds = row.weights.chance("second reading")
            yield Slip("decimal", (edit,), log(min(odds * 100, 0.5)))
