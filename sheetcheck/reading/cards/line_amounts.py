"""The amounts of some lines at a glance, before a recipe is made of them: enough to see what goes together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sheetcheck.reading.assemble import Component
from sheetcheck.reading.cards.lines import Line, as_cell, without_amount
from sheetcheck.reading.entries import component, ingredient, read_entry
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.units.evidence import Said


def amounts_of(sheet: Sheet, lines: Iterable[Line]) -> Iterator[Component]:
    """Yield the amounts of the ingredients among some lines."""
    for line in lines:
        cell = as_cell(line)
        if line.kind != "ingredient" or line.name is None or cell is None or without_amount(line):
            continue
        units: tuple[tuple[str, str | None], ...] = (("unit column", line.unit), ("heading", line.column_unit))
        said: Said = tuple((place, unit) for place, unit in units if unit)
        entry = read_entry(cell, said, decimal_comma=sheet.decimal_comma(cell.column))
        yield component(0, sheet.name, cell, entry, ingredient(line.name_text, line.name))
