"""The maker's own saponification values, if her book holds some: mg KOH, g KOH or g NaOH per g, told apart by size."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

import numpy as np

from sheetcheck.model import OwnValue
from sheetcheck.reading.cards.lanes import Rows, is_ingredient
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reference import constants, substances
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

_HEADING = re.compile(
    r"\b(?:sap|saponification|saponif\w*|verseifung\w*|vz|indice|verzeping\w*|(?:soda|lye|naoh|koh|lauge|soude|sosa) "
    r"(?:per|pro|par|por|je) g(?:ram)?|(?:mg|g) (?:koh|naoh)\b.*|koh|naoh)\b"
)
_ENDS = frozenset({"low", "high", "min", "max", "minimum", "maximum", "from", "to"})
_NEAR = 0.15  # of the published value; a slip in one value must not hide the others
_MOST_WITH_HEADING, _MOST_WITHOUT = 0.5, 0.8
_LEAST_WITH_HEADING, _LEAST_WITHOUT = 2, 4


@dataclass(frozen=True, slots=True)
class _Value:
    substance: str
    cell: Cell


def read(sheet: Sheet) -> None:
    """Find the maker's own values on a sheet; one that holds nothing else is no sheet of recipes."""
    rows = sheet.free_rows() if len(sheet.grid.row) <= 20_000 else {}
    if any(_heads_recipes(sheet, cells) for cells in rows.values()):
        return
    found = 0
    for column in sorted({c.column for cells in rows.values() for c in cells if c.kind is Kind.NUMBER}):
        values = _values_in(sheet, rows, column)
        heading = _heading_of(rows, column, values)
        if heading in _ENDS or _are_the_published(values):
            continue  # the published range, as the blank books carry it
        headed = bool(_HEADING.search(heading))
        scale = _scale(values, headed=headed)
        if scale is not None:
            _keep(sheet, values, scale, found_before=found)
            found += len(values)
    if found and not _holds_more(sheet, rows):
        first = rows[min(rows)][0]
        why = tr("a table of saponification values: offered, and used where the settings say so")
        sheet.not_understood(first.row, first.column, clean(first.text), why)
        sheet.report("no recipe", (why,))
        sheet.taken[:] = True


def _values_in(sheet: Sheet, rows: Rows, column: int) -> list[_Value]:
    """Return the numbers of a column that stand in a row with the name of a fat to the left."""
    values = []
    for cells in rows.values():
        number = next((c for c in cells if c.column == column and c.kind is Kind.NUMBER), None)
        if number is None:
            continue
        names = [c for c in cells if c.column < column and is_ingredient(sheet, c)]
        name = sheet.words.name(names[0].text) if len(names) == 1 else None  # a row of several fats is a recipe
        if name is not None and name.kind == "fat" and name.substance:
            values.append(_Value(name.substance, number))
    return values


def _are_the_published(values: list[_Value]) -> bool:
    return bool(values) and all(abs(v.cell.number - substances()[v.substance].sap_typical) < 0.06 for v in values)


def _heading_of(rows: Rows, column: int, values: list[_Value]) -> str:
    if not values:
        return ""
    first = min(v.cell.row for v in values)
    for row in sorted((r for r in rows if r < first), reverse=True):
        text = next((c.text for c in rows[row] if c.column == column and c.kind is Kind.TEXT), None)
        if text is not None:
            return fold(text)
    return ""


def _scale(values: list[_Value], *, headed: bool) -> float | None:
    """Return the factor that turns a column's numbers into mg KOH per g, None where they are something else."""
    if len(values) < (_LEAST_WITH_HEADING if headed else _LEAST_WITHOUT):
        return None
    published = np.array([substances()[v.substance].sap_typical for v in values])
    written = np.array([v.cell.number for v in values])
    scales = {
        "mg KOH": 1.0,
        "g KOH": 1000.0,
        "g NaOH": 1000.0 / constants().naoh_per_koh,
        "mg NaOH": 1.0 / constants().naoh_per_koh,
    }
    near = {s: float(np.mean(np.abs(written * s / published - 1) <= _NEAR)) for s in scales.values()}
    best = max(near, key=lambda s: near[s])
    return best if near[best] >= (_MOST_WITH_HEADING if headed else _MOST_WITHOUT) else None


def _keep(sheet: Sheet, values: list[_Value], scale: float, *, found_before: int) -> None:
    """Keep the values of a column; a second column says the same in another measure."""
    if found_before:
        return
    for value in values:
        number = value.cell.number
        if isfinite(number):
            written = value.cell.text or f"{number:g}"
            own = OwnValue(value.substance, number * scale, sheet.name, value.cell.address, written)
            sheet.found.own_values.append(own)


def _heads_recipes(sheet: Sheet, cells: list[Cell]) -> bool:
    """Tell whether a row has headings for lye and for liquid: amounts of fats below them are no values."""
    roles = {sheet.words.heading(c.text).role for c in cells if c.kind is Kind.TEXT} if len(cells) > 2 else set()
    return {"alkali", "liquid"} <= roles


def _holds_more(sheet: Sheet, rows: Mapping[int, list[Cell]]) -> bool:
    """Tell whether the sheet names lye or liquid too, as a recipe does."""
    for cells in rows.values():
        for cell in cells[:3]:
            if cell.kind is Kind.TEXT and len(cells) > 1 and is_ingredient(sheet, cell):
                name = sheet.words.name(cell.text)
                if name.kind in ("alkali", "liquid") and any(c.kind is Kind.NUMBER for c in cells):
                    return True
    return False
