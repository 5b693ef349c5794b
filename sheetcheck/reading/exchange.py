"""Rows and columns exchanged: a table that runs across is a table with one recipe per row, looked at sideways."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sheetcheck.reading.assemble import Columns, Findings
from sheetcheck.workbook.grid import Grid

_PAIRS = (("row", "column"), ("name_row", "name_column"), ("about_row", "about_column"),
          ("first_row", "first_column"), ("last_row", "last_column"))  # fmt: skip


def exchanged(grid: Grid, first_row: int, last_row: int, columns: Sequence[int]) -> Grid:
    """Return some columns of some rows of a grid with rows and columns exchanged, places as on the sheet."""
    inside = (grid.row >= first_row) & (grid.row <= last_row) & np.isin(grid.column, columns)
    at = np.flatnonzero(inside)
    at = at[np.lexsort((grid.row[at], grid.column[at]))]
    return Grid(
        name=grid.name,
        row=grid.column[at],
        column=grid.row[at],
        kind=grid.kind[at],
        number=grid.number[at],
        text=grid.text[at],
        style=grid.style[at],
        styles=grid.styles,
        formulas={(c, r): text for (r, c), text in grid.formulas.items() if first_row <= r <= last_row},
        merges=tuple((b, a, d, c) for a, b, c, d in grid.merges if first_row <= a <= last_row),
        hidden_rows=grid.hidden_columns,
        hidden_columns=grid.hidden_rows,
    )


def give_back(part: Findings, whole: Findings) -> None:
    """Move what was found in an exchanged grid to the findings of the book, places as on the sheet."""
    offset = len(whole.drafts)
    for line in (*part.drafts, *part.components, *part.statements):
        for a, b in _PAIRS:
            if hasattr(line, a) and hasattr(line, b):
                first, second = getattr(line, a), getattr(line, b)
                setattr(line, a, second)
                setattr(line, b, first)
    for amount in part.components:
        amount.recipe += offset
    for stated in part.statements:
        stated.recipe += offset
    whole.drafts.extend(part.drafts)
    whole.components.extend(part.components)
    whole.statements.extend(part.statements)
    whole.component_blocks.extend(_block(block, offset) for block in part.component_blocks)
    whole.statement_blocks.extend(_block(block, offset) for block in part.statement_blocks)
    whole.not_understood.extend(part.not_understood)


def _block(block: Columns, offset: int) -> dict[str, Any]:
    swapped = dict(block)
    for a, b in _PAIRS:
        if a in block and b in block:
            swapped[a], swapped[b] = block[b], block[a]
    swapped["recipe"] = block["recipe"] + offset
    return swapped
