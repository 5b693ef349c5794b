"""Old binary workbooks (.xls), read with xlrd, which also knows formats, notes, merges and hidden rows."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import xlrd
from xlrd.biffh import XLRDError
from xlrd.book import Book
from xlrd.formatting import XF
from xlrd.sheet import Cell, Sheet

from sheetcheck.errors import BookError, DamagedBookError, EncryptedBookError, NotAWorkbookError
from sheetcheck.words import Sentence, tr
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.grid import CellStyle, Grid, Kind
from sheetcheck.workbook.grid_builder import GridBuilder
from sheetcheck.workbook.limits import Limits
from sheetcheck.workbook.notices import hidden

_BOLD = 700  # weight of a font, [MS-XLS] 2.4.122
FORMULAS_UNSEEN = Sentence("Formulas of an .xls file are not seen; the values last stored are used.")


def read_xls(path: Path, file: BinaryIO, limits: Limits) -> tuple[tuple[Grid, ...], tuple[str, ...]]:
    """Return the grids of an .xls file, and what there is to say of it as a whole.

    Raises
    ------
    NotAWorkbookError, EncryptedBookError, DamagedBookError, HostileBookError
        Where it cannot be read.
    """
    try:
        book = xlrd.open_workbook(
            file_contents=file.read(), formatting_info=True, ragged_rows=True, logfile=io.StringIO()
        )
        budget = Budget(path, limits)
        styles = tuple(_style(book, xf) for xf in book.xf_list) or (CellStyle(),)
        grids = tuple(
            _grid(GridBuilder(path, sheet.name, budget), sheet, styles, from_1904=book.datemode == 1)
            for sheet in book.sheets()
        )
    except BookError:
        raise
    except XLRDError as error:
        raise _refusal(path, str(error)) from error
    except Exception as error:  # xlrd meets a damaged file with whatever error comes up
        raise DamagedBookError(path, str(error) or type(error).__name__) from error
    return grids, (FORMULAS_UNSEEN, *_hidden(grids))


def _refusal(path: Path, reason: str) -> BookError:
    if "encrypted" in reason.lower():
        return EncryptedBookError(path)
    if "find workbook" in reason.lower():
        return NotAWorkbookError(path, tr("a document of another program"))
    return DamagedBookError(path, reason)


def _hidden(grids: tuple[Grid, ...]) -> Iterator[str]:
    for grid in grids:
        if grid.hidden:
            yield hidden(grid.name)


def _style(book: Book, xf: XF) -> CellStyle:
    font = book.font_list[xf.font_index] if xf.font_index < len(book.font_list) else None
    number_format = book.format_map.get(xf.format_key)
    return CellStyle(
        number_format.format_str if number_format else "General",
        struck=font is not None and bool(font.struck_out),
        bold=font is not None and (bool(font.bold) or font.weight >= _BOLD),
        filled=xf.background is not None and xf.background.fill_pattern != 0,
    )


def _grid(builder: GridBuilder, sheet: Sheet, styles: tuple[CellStyle, ...], *, from_1904: bool) -> Grid:
    for row in range(sheet.nrows):
        for column, cell in enumerate(sheet.row(row), 1):
            _add(builder, row + 1, column, cell)
    builder.notes |= {(row + 1, column + 1): note.text for (row, column), note in sheet.cell_note_map.items()}
    builder.merges += [(top + 1, left + 1, bottom, right) for top, bottom, left, right in sheet.merged_cells]
    return builder.grid(
        styles,
        hidden_rows=(row + 1 for row, info in sheet.rowinfo_map.items() if info.hidden),
        hidden_columns=(column + 1 for column, info in sheet.colinfo_map.items() if info.hidden),
        hidden=bool(sheet.visibility),
        from_1904=from_1904,
    )


def _add(builder: GridBuilder, row: int, column: int, cell: Cell) -> None:
    style = cell.xf_index or 0
    match cell.ctype:
        case xlrd.XL_CELL_TEXT if cell.value:
            builder.add(row, column, Kind.TEXT, text=str(cell.value), style=style)
        case xlrd.XL_CELL_NUMBER | xlrd.XL_CELL_DATE:
            builder.add(row, column, Kind.NUMBER, number=float(cell.value), style=style)
        case xlrd.XL_CELL_BOOLEAN:
            builder.add(row, column, Kind.BOOL, number=float(cell.value), style=style)
        case xlrd.XL_CELL_ERROR:
            text = xlrd.error_text_from_code.get(int(cell.value), "#ERROR!")
            builder.add(row, column, Kind.ERROR, text=text, style=style)
