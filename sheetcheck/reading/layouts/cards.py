"""Cards: titles with lines of ingredients and amounts below them, many on one sheet, below or beside each other.

Evidence: known ingredients below each other with amounts beside them (or in the same cell), under titles of their own.
"""

from __future__ import annotations

from sheetcheck.model import address
from sheetcheck.reading.cards.sheet import left_aside, look_for_cards, read_recipes
from sheetcheck.reading.sheet import Sheet
from sheetcheck.words import tr_count

LAYOUT = "cards"
_SHOWN = 3  # titles


def read(sheet: Sheet) -> None:
    """Read the cards of a sheet that holds more than one."""
    seen = look_for_cards(sheet)
    if seen is None or len(seen.recipes) < 2 or left_aside(sheet, seen):
        return
    titles = [f"“{c.name}” {address(c.title.row, c.title.column)}" for c in seen.recipes if c.title is not None]
    listed = ", ".join(titles[:_SHOWN]) + (" …" if len(titles) > _SHOWN else "")
    shown = tr_count("{count} title: {titles}", "{count} titles: {titles}", len(titles), titles=listed)
    read_recipes(sheet, seen, LAYOUT, [*seen.lane_evidence(), shown])
