"""A decimal point moved, a zero added or lost."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sheetcheck.repairs.entries import OTHER
from sheetcheck.repairs.row import Block, Row

_FACTORS = np.array([0.1, 10.0, 0.01, 100.0])
_SHARES = np.array([0.45, 0.45, 0.04, 0.04])  # to one side by one place, by two


def blocks(row: Row) -> Iterator[Block]:
    """Yield a tenth and ten times what is written, and a hundredth and a hundred times."""
    for cell in row.cells:
        if cell.role == OTHER or cell.value <= 0:
            continue
        values = np.round(cell.value * _FACTORS, 6)
        chances = row.weights.chance("decimal point moved") * _SHARES
        if cell.value == round(cell.value) and cell.value % 10 == 0:
            chances[0] += row.weights.chance("zero added")
        if values[1] == round(float(values[1])):
            chances[1] += row.weights.chance("zero lost")
        yield Block("decimal", cell.entry, values, np.log(chances * row.care * cell.chance))
