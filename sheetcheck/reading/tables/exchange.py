"""Rows and columns exchanged: a table that runs across is a table with one recipe per row, looked at sideways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.assemble import Columns, Findings
from sheetcheck.workbook.grid import CellStyle, Grid

_NO_UNITS: Mapping[tuple[int, int], str] = {}
_PAIRS = (("row", "column"), ("name_row", "name_column"), ("about_row", "about_column"),
          ("first_row", "first_column"), ("last_row", "last_column"))  # fmt: skip


def exchanged(
    grid: Grid,
    rows: tuple[int, int],
    columns: Sequence[int],
    *,
    but: AbstractSet[tuple[int, int]] = frozenset(),
    units: Mapping[tuple[int, int], str] = _NO_UNITS,
) -> Grid:
    """Return some columns of a grid from one row to another, but for some cells, with rows and columns exchanged.

    `units` are those of single cells, which stand beside them: the cells show them, until the grid has been read.
    """
    first_row, last_row = rows
    inside = (grid.row >= first_row) & (grid.row <= last_row) & np.isin(grid.column, columns)
    at = np.flatnonzero(inside)
    if but:
        places = zip(grid.row[at].tolist(), grid.column[at].tolist(), strict=True)
        at = at[[place not in but for place in places]]
    at = at[np.lexsort((grid.row[at], grid.column[at]))]
    style, styles = _with_units(grid, at, units)
    return Grid(
        name=grid.name,
        row=grid.column[at],
        column=grid.row[at],
        kind=grid.kind[at],
        number=grid.number[at],
        text=grid.text[at],
        style=style,
        styles=styles,
        formulas={(c, r): text for (r, c), text in grid.formulas.items() if first_row <= r <= last_row},
        merges=tuple((b, a, d, c) for a, b, c, d in grid.merges if first_row <= a <= last_row),
        hidden_rows=grid.hidden_columns,
        hidden_columns=grid.hidden_rows,
    )


def _with_units(
    grid: Grid, at: NDArray[np.int64], units: Mapping[tuple[int, int], str]
) -> tuple[NDArray[np.int32], tuple[CellStyle, ...]]:
    """Return the formats of some cells, those with a unit beside them with that unit."""
    style, styles = grid.style[at], list(grid.styles)
    for place, (row, column) in enumerate(zip(grid.row[at].tolist(), grid.column[at].tolist(), strict=True)):
        if (row, column) in units:
            shown = replace(styles[style[place]], number_format=f'General" {units[row, column]}"')
            if shown not in styles:
                styles.append(shown)
            style[place] = styles.index(shown)
    return style, tuple(styles)


def give_back(part: Findings, whole: Findings, *, units_beside: bool = False) -> None:
    """Move what was found in an exchanged grid to the findings of the book, places as on the sheet.

    `units_beside` tells that the units that its cells show stand beside them in truth.
    """
    if units_beside:
        _from_beside(part)
    offset = len(whole.drafts)
    for line in (*part.drafts, *part.components, *part.statements):
        for a, b in _PAIRS:
            if hasattr(line, a) and hasattr(line, b):
                first, second = getattr(line, a), getattr(line, b)
                setattr(line, a, second)
                setattr(line, b, first)
    for draft in part.drafts:
        draft.said = [(column, row, text) for row, column, text in draft.said]
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


def _from_beside(part: Findings) -> None:
    for amount in part.components:
        amount.unit_from = "unit column" if amount.unit_from == "number format" else amount.unit_from
    for block in part.component_blocks:
        block["unit_from"] = "unit column" if block["unit_from"] == "number format" else block["unit_from"]


def _block(block: Columns, offset: int) -> dict[str, Any]:
    swapped = dict(block)
    for a, b in _PAIRS:
        if a in block and b in block:
            swapped[a], swapped[b] = block[b], block[a]
    swapped["recipe"] = block["recipe"] + offset
    return swapped
