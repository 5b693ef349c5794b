"""Office Open XML workbooks (.xlsx, .xlsm, .xltx, .xltm), Transitional and Strict, read into grids."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np
from lxml import etree

from sheetcheck.errors import DamagedBookError, HostileBookError
from sheetcheck.words import number, tr
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.cell_styles import cell_styles
from sheetcheck.workbook.cells import CellArrays
from sheetcheck.workbook.grid import CellStyle, Grid
from sheetcheck.workbook.grid_builder import show_dates
from sheetcheck.workbook.notes import notes
from sheetcheck.workbook.notices import on_package, on_sheet
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.places import LAST_COLUMN, PlaceError, split_range
from sheetcheck.workbook.sheet_xml import count_cells_first, read_sheet
from sheetcheck.workbook.texts import shared_strings

_TRUE = ("1", "true")


def read_package(package: Package, only: Collection[str] | None = None) -> tuple[tuple[Grid, ...], tuple[str, ...]]:
    """Return the grids of a package's worksheets in tab order, and what there is to say of the file as a whole.

    Of the worksheets those named in `only`, folded, are read, or all where it is None.

    Raises
    ------
    BookError
        Where it is damaged, or passes a limit.
    """
    sheets = [sheet for sheet in package.sheets if sheet.is_worksheet]
    if not package.sheets:
        raise DamagedBookError(package.path, tr("it lists no sheets"))
    if len({sheet.part for sheet in sheets}) < len(sheets):
        raise DamagedBookError(package.path, tr("two of its sheets are the same part"))
    sheets = [sheet for sheet in sheets if only is None or sheet.name.casefold() in only]
    budget = Budget(package.path, package.limits)
    count_cells_first(package, (sheet.part for sheet in sheets), budget)
    shared = shared_strings(package, budget)
    styles = (*cell_styles(package), CellStyle())  # the last one is for cells that refer to a format that is not there
    from_1904 = _counts_from_1904(package)
    grids, said = [], list(on_package(package))
    for sheet in sheets:
        parts = read_sheet(package, sheet.part, shared, budget)
        grids.append(_grid(package, sheet, parts.cells, parts.frame, styles, from_1904=from_1904))
        said += on_sheet(sheet, parts.cells)
    return tuple(grids), tuple(said)


def _grid(  # noqa: PLR0913 - what a grid is made of
    package: Package,
    sheet: SheetEntry,
    cells: CellArrays,
    frame: etree._Element,
    styles: tuple[CellStyle, ...],
    *,
    from_1904: bool,
) -> Grid:
    style = np.where(cells.style < len(styles), cells.style, len(styles) - 1).astype(np.int32)
    show_dates(cells.kind, cells.number, cells.text, style, styles, from_1904=from_1904)
    return Grid(
        name=sheet.name,
        row=cells.row,
        column=cells.column,
        kind=cells.kind,
        number=cells.number,
        text=cells.text,
        style=style,
        styles=styles,
        formulas=cells.formulas,
        merges=tuple(_merges(package, sheet, frame)),
        hidden_rows=cells.hidden_rows,
        hidden_columns=frozenset(_hidden_columns(frame)),
        notes=notes(package, sheet.part),
        hidden=sheet.state != "visible",
    )


def _counts_from_1904(package: Package) -> bool:
    properties = package.workbook.find("{*}workbookPr")
    return properties is not None and properties.get("date1904") in _TRUE


def _merges(package: Package, sheet: SheetEntry, frame: etree._Element) -> Iterator[tuple[int, int, int, int]]:
    elements = frame.findall("{*}mergeCells/{*}mergeCell")
    most = package.limits.merges
    if len(elements) > most:
        said = tr("“{sheet}” has {count} merged ranges", sheet=sheet.name, count=number(len(elements), 0))
        raise HostileBookError(package.path, said)
    for element in elements:
        try:
            yield split_range(element.get("ref", ""))
        except PlaceError as error:
            raise DamagedBookError(package.path, tr("{part} merges {fault}", part=sheet.part, fault=error)) from error


def _hidden_columns(frame: etree._Element) -> Iterator[int]:
    for element in frame.iterfind("{*}cols/{*}col"):
        first, last = element.get("min", ""), element.get("max", "")
        if element.get("hidden") in _TRUE and first.isdecimal() and last.isdecimal():
            yield from range(max(int(first), 1), min(int(last), LAST_COLUMN) + 1)
