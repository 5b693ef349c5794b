"""A batch size that stands once on a sheet, above a table of percentages: it is that of every recipe in the table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sheetcheck.reading.amounts.texts import is_amount, split_name_and_amount
from sheetcheck.reading.assemble import Statement
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, TOTALS, statement
from sheetcheck.reading.tables.table import Table
from sheetcheck.reading.units.evidence import Said
from sheetcheck.workbook.grid import Cell, Kind


def add_batch_size(sheet: Sheet, above: Iterable[Cell], tables: Iterable[Table], first: int) -> None:
    """State the batch size that texts above some tables give for all their recipes, the drafts from `first` on."""
    tables = list(tables)
    in_percent = any(c.unit == "%" for t in tables for c in t.of_role("fat"))
    if not in_percent or any(t.of_role(*TOTALS) for t in tables):
        return
    found = [made for cell in above if (made := _total_at(sheet, cell)) is not None]
    if len(found) != 1:
        return
    total = found[0]
    for number in range(first, len(sheet.found.drafts)):
        made = Statement(number, total.sheet, total.row, total.column, total.kind, place="sheet")
        made.written, made.stored, made.value, made.unit = total.written, total.stored, total.value, total.unit
        sheet.found.statements.append(made)


def _total_at(sheet: Sheet, label: Cell) -> Statement | None:
    """Return the total that a label names, in its cell or the next one: `Batch size: 1 kg`, `Batch size | 1000 g`."""
    split = split_name_and_amount(label.text)
    heading = sheet.words.heading(split[0] if split else label.text)
    kind = KIND_OF_ROLE.get(heading.role or "")
    if kind not in TOTALS:
        return None
    beside = next((c for c in sheet.grid.row_cells(label.row) if c.column > label.column), None)
    cell = replace(label, text=split[1]) if split else beside
    if cell is None or cell.kind not in (Kind.NUMBER, Kind.TEXT) or not (split or is_amount(cell)):
        return None
    said: Said = (("heading", heading.unit),) if heading.unit else ()
    return statement(sheet, cell, kind, said)
