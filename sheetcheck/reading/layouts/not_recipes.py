"""Sheets and blocks that hold no recipe for soap: left alone, and listed with the reason.

Evidence: the tab or a title says what it is (a price list, a salve), or nothing on it looks like a recipe.
"""

from __future__ import annotations

from collections.abc import Iterable

from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean
from sheetcheck.reading.words import other_than_soap
from sheetcheck.workbook.grid import Cell

LAYOUT = "no recipe"
_NOTHING = "nothing on it looks like a recipe"


def read(sheet: Sheet) -> None:
    """List a sheet that no layout has understood."""
    if sheet.readings:
        return
    why = why_no_recipes(sheet, ()) or _NOTHING
    if len(sheet.grid.row):
        leave(sheet, sheet.grid.at(0), why)
    else:
        sheet.report(LAYOUT, ("it is blank",))


def leave(sheet: Sheet, first: Cell, why: str, where: tuple[int, int, int, int] | None = None) -> None:
    """Leave a sheet, or a part of it, alone and say why."""
    sheet.not_understood(first.row, first.column, clean(first.text) or f"{first.number:g}", why)
    sheet.report(LAYOUT, (why,), where=where)
    if where is not None:
        sheet.take(*where)


def why_no_recipes(sheet: Sheet, titles: Iterable[Cell], *, with_lye: bool = False) -> str | None:
    """Return why a sheet holds no recipes by its own name or its titles, None where they do not say so."""
    said = other_than_soap(sheet.name, with_lye=with_lye)
    if said:
        return f"the sheet is called {sheet.name!r}: {said}"
    for cell in titles:
        said = other_than_soap(cell.text, with_lye=with_lye)
        if said:
            return f"{cell.address} says {clean(cell.text)!r}: {said}"
    return None
