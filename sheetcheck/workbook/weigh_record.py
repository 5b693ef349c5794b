"""The record by which weigh sheets are known, so that an audit of a rescaled book leaves them out.

A sheet that no menu shows names them by formulas such as `ROWS('W1 Jib'!$A$1)`: spreadsheet programs keep these right
when a sheet is renamed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import xlsxwriter

from sheetcheck.workbook.grid import Grid, Workbook
from sheetcheck.workbook.ranges import quoted, unquoted

RECORD = "Record of weigh sheets, version 1"
_ADVICE = "Leave this sheet as it is: with it an audit knows the weigh sheets from your recipes."
_PLACE = re.compile(r"ROWS\((.+)!\$?A\$?1\)", re.IGNORECASE)


def write_record(book: xlsxwriter.Workbook, sheets: Sequence[str], *, taken: str) -> None:
    """Write the record into a workbook, on a hidden sheet called `taken`."""
    record = book.add_worksheet(taken)
    record.write_string(0, 0, RECORD)
    record.write_string(1, 0, _ADVICE)
    for row, name in enumerate(sheets, 2):
        record.write_formula(row, 0, f"=ROWS({quoted(name)}!$A$1)", None, 1)
        record.write_string(row, 1, name)
    record.very_hidden()


def without_weigh_sheets(workbook: Workbook) -> Workbook:
    """Leave out the sheets that a record in the workbook names, and the record itself; else the workbook as it is."""
    records = [grid for grid in workbook.grids if _is_record(grid)]
    if not records:
        return workbook
    left_out = {name for record in records for name in (record.name, *_named(record))}
    return replace(
        workbook,
        grids=tuple(grid for grid in workbook.grids if grid.name not in left_out),
        notices=tuple(n for n in workbook.notices if not any(f'"{record.name}"' in n for record in records)),
    )


def _is_record(grid: Grid) -> bool:
    first = grid.cell(1, 1)
    return first is not None and first.text == RECORD


def _named(record: Grid) -> list[str]:
    """Return the sheets that a record names: by its formulas, or as written where a program dropped these."""
    names = []
    for row in (r for r in record.rows() if r > 2):
        place = _PLACE.search(record.formulas.get((row, 1), ""))
        written = record.cell(row, 2)
        if place:
            names.append(unquoted(place[1]))
        elif written is not None:
            names.append(written.text)
    return names
