"""A workbook written afresh from grids: the .xlsx base for a copy of a book in another format."""

from __future__ import annotations

import math
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from sheetcheck.workbook.grid import Cell, CellStyle, Grid, Kind, Workbook

WIDEST_COLUMN, NARROWEST_COLUMN = 48, 9


def write_as_xlsx(workbook: Workbook, target: Path) -> None:
    """Write the cells of a workbook as .xlsx: values, formulas with their stored values, number formats, merges.

    Text is never taken for a formula, a number or a link.
    """
    options = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(str(target), options) as book:
        formats: dict[CellStyle, Format] = {}
        for grid in workbook.grids:
            sheet = book.add_worksheet(grid.name[:31])
            _write_grid(book, sheet, grid, formats)
            if grid.hidden:
                sheet.hide()


def _write_grid(book: xlsxwriter.Workbook, sheet: Worksheet, grid: Grid, formats: dict[CellStyle, Format]) -> None:
    widths: dict[int, int] = {}
    for index in range(len(grid.row)):
        cell = grid.at(index)
        if cell.style not in formats:
            formats[cell.style] = _format(book, cell.style)
        _write_cell(sheet, cell, formats[cell.style])
        widths[cell.column] = max(widths.get(cell.column, NARROWEST_COLUMN), len(cell.text or f"{cell.number:g}"))
    for column, width in widths.items():
        hidden = {"hidden": True} if column in grid.hidden_columns else {}
        sheet.set_column(column - 1, column - 1, min(width + 1, WIDEST_COLUMN), None, hidden)
    for row in grid.hidden_rows:
        sheet.set_row(row - 1, None, None, {"hidden": True})
    for first_row, first_column, last_row, last_column in grid.merges:
        anchor = grid.cell(first_row, first_column)
        sheet.merge_range(first_row - 1, first_column - 1, last_row - 1, last_column - 1, "")
        if anchor is not None:
            _write_cell(sheet, anchor, formats[anchor.style])


def _format(book: xlsxwriter.Workbook, style: CellStyle) -> Format:
    return book.add_format({"num_format": style.number_format, "bold": style.bold, "font_strikeout": style.struck})


def _write_cell(sheet: Worksheet, cell: Cell, style: Format) -> None:
    row, column = cell.row - 1, cell.column - 1
    value = cell.text if math.isnan(cell.number) else cell.number
    if cell.formula is not None:
        sheet.write_formula(row, column, f"={cell.formula}", style, value)
    elif cell.kind is Kind.BOOL:
        sheet.write_boolean(row, column, bool(cell.number), style)
    elif cell.kind in (Kind.NUMBER, Kind.DATE) and not math.isnan(cell.number):
        sheet.write_number(row, column, cell.number, style)
    else:
        sheet.write_string(row, column, cell.text, style)
