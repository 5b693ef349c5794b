"""Sheets and blocks that hold no recipe for soap: left alone, and listed with the reason.

Evidence: the tab or a title says what it is (a price list, a salve), or nothing on it looks like a recipe.
"""

from __future__ import annotations

from collections.abc import Iterable

from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean
from sheetcheck.reading.words import other_than_soap
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell

LAYOUT = "no recipe"
NO_SOAP = later("fats may stand there, but nowhere lye or a liquid beside them")
_SHORT_FORMS = later("short forms: they are used to read the names of ingredients")
_NOTHING = later("nothing on it looks like a recipe")


def read(sheet: Sheet) -> None:
    """List a sheet that no layout has understood."""
    if sheet.readings:
        return
    why = why_no_recipes(sheet, ()) or (tr(_SHORT_FORMS) if sheet.taken.any() else None)
    if len(sheet.grid.row):
        leave(sheet, sheet.grid.at(0), why or tr(_NOTHING), says_what_it_is=why is not None)
    else:
        sheet.report(LAYOUT, (tr("it is blank"),))


def leave(
    sheet: Sheet,
    first: Cell,
    why: str,
    where: tuple[int, int, int, int] | None = None,
    *,
    says_what_it_is: bool = True,
) -> None:
    """Leave a sheet, or a part of it, alone and say why."""
    sheet.not_understood(first.row, first.column, clean(first.text) or f"{first.number:g}", why)
    sheet.report(LAYOUT, (why,), where=where)
    if where is not None:
        sheet.take(*where)
        sheet.explained.append(where)
    sheet.says_what_it_is = sheet.says_what_it_is or says_what_it_is


def why_no_recipes(sheet: Sheet, titles: Iterable[Cell], *, with_lye: bool = False) -> str | None:
    """Return why a sheet holds no recipes by its own name or its titles, None where they do not say so."""
    if sheet.bold:
        return None
    said = other_than_soap(sheet.name, with_lye=with_lye)
    if said:
        sheet.kept_back = True
        return tr("the sheet is called “{name}”: {what}", name=sheet.name, what=tr(said))
    for cell in titles:
        said = other_than_soap(cell.text, with_lye=with_lye)
        if said:
            sheet.kept_back = True
            return tr("{cell} says “{text}”: {what}", cell=cell.address, text=clean(cell.text), what=tr(said))
    return None
