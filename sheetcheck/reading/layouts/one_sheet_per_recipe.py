"""One sheet per recipe: the lines of one recipe fill it, under its title, a label with its name, or the tab alone.

Evidence: known ingredients below each other with amounts beside them, and no second title.
"""

from __future__ import annotations

from sheetcheck.reading.cards.sheet import left_aside, look_for_cards, read_recipes
from sheetcheck.reading.sheet import Sheet
from sheetcheck.words import tr

LAYOUT = "one sheet per recipe"


def read(sheet: Sheet) -> None:
    """Read a sheet that holds one recipe."""
    seen = look_for_cards(sheet)
    if seen is None or len(seen.recipes) > 1 or left_aside(sheet, seen):
        return
    title = seen.recipes[0].title if seen.recipes else None
    named = tr("its title is {cell}", cell=title.address) if title is not None else tr("it is named by its tab")
    read_recipes(sheet, seen, LAYOUT, [*seen.lane_evidence(), named])
