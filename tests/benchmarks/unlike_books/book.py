"""A maker's whole book: her sheets of recipes, slips among them, and what else she keeps in it."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from tests.benchmarks.unlike_books import line_layouts, maker, other_sheets, recipes, slips, table_layouts, text_layouts
from tests.benchmarks.unlike_books.layout import Layout
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Made, Recipe, Sheet

LAYOUTS: dict[str, Layout] = {
    layout.name: layout for layout in (*table_layouts.LAYOUTS, *line_layouts.LAYOUTS, *text_layouts.LAYOUTS)
}
OTHER_SHEET = "(other sheet)"
SLIPPED = 1 / 8  # share of recipes with a slip
TWO_LAYOUTS = 0.15  # share of makers who keep a second sheet in another way
LONGEST_SHEET_NAME = 31


def make(author: int, layout: str | None = None) -> Made:
    """Make the book of one author; the same seed gives the same book. `layout` None: drawn."""
    who = maker.draw(author)
    rng = who.rng("book")
    first = layout or rng.choice(list(LAYOUTS))
    layouts = [first, *([rng.choice(list(LAYOUTS))] if layout is None and rng.random() < TWO_LAYOUTS else [])]
    sheets: list[Sheet] = []
    taken: set[str] = set()
    for name in layouts:
        sheets += recipe_sheets(who, LAYOUTS[name], rng, sheets, taken)
    if who.words.key:
        title = who.words.word("key")
        sheets.append(other_sheets.written(_free(title, sheets), OTHER_SHEET, other_sheets.key(who)))
    for kind in who.other_sheets:
        rows = other_sheets.OTHERS[kind](who, rng)
        other = other_sheets.written(_free(who.words.word(kind), sheets), OTHER_SHEET, rows)
        sheets.insert(0 if rng.random() < 0.15 else len(sheets), other)
    shown = LAYOUTS[first].adapt(who)
    traits = {
        "layout": first, "language": who.words.language, "names": who.words.style, "key": str(bool(who.words.key)),
        "unit": shown.scribe.unit, "unit said in": shown.scribe.place, "superfat said in": who.superfat_place,
    }  # fmt: skip
    return Made(author, sheets, traits)


def recipe_sheets(
    who: Maker, layout: Layout, rng: random.Random, sheets: Sequence[Sheet], taken: set[str]
) -> list[Sheet]:
    """Draw the recipes of one layout and set them out."""
    who = layout.adapt(who)
    number = sum(len(sheet.recipes) for sheet in sheets)
    count = rng.randint(3, layout.most)
    drawn = [recipes.draw(who, rng, number + i, taken, exact=layout.exact) for i in range(count)]
    if layout.name == "batch log":
        drawn = _made_again(drawn, rng)
    return set_out(who, layout, [_slipped(who, layout, recipe, rng) for recipe in drawn], rng, sheets)


def set_out(
    who: Maker, layout: Layout, drawn: Sequence[Recipe], rng: random.Random, sheets: Sequence[Sheet] = ()
) -> list[Sheet]:
    """Set recipes out on as many sheets as the layout takes, with what the maker says of all of them."""
    made: list[Sheet] = []
    step = layout.per_sheet or len(drawn)
    for first in range(0, len(drawn), step):
        part = drawn[first : first + step]
        title = part[0].name if layout.per_sheet else who.words.word("sheet")
        if who.scribe.place == "sheet name":
            title += f" ({who.scribe.spelt[who.scribe.unit]})"
        sheet = Sheet(_free(title, [*sheets, *made]), layout.name)
        notes = _notes(who)
        above = not notes or who.rng("notes").random() < 0.75
        for row, note in enumerate(notes if above else ()):
            sheet.put(row, 0, note)
        layout.write(sheet, who, part, (len(notes) + 1 if notes and above else 0) + who.gaps, rng)
        for note in () if above else notes:
            sheet.put(sheet.bottom + 1, 0, note)
        if layout.doubled:
            sheet.unmeasured |= {(r.number, a.role) for r in part for a in r.amounts if slips.beside(r, a) != a}
        made.append(sheet)
    return made


def _notes(who: Maker) -> list[str]:
    """What is said once for a sheet."""
    hand, words = who.scribe, who.words
    said = []
    if hand.place == "note":
        said.append(words.word("units said").format(unit=hand.spelt[hand.unit]))
    if who.superfat_place == "sheet":
        said.append(words.word("superfat said").format(sf=who.superfat_text(who.superfat)))
    return said


def _slipped(who: Maker, layout: Layout, recipe: Recipe, rng: random.Random) -> Recipe:
    if rng.random() >= SLIPPED or any(amount.missing for amount in recipe.amounts):
        return recipe
    slipped = slips.sown(recipe, who, rng, layout.can_slip)
    return replace(slipped, danger=False) if layout.doubled and slipped.slip not in {"stale", "swap"} else slipped


def _made_again(drawn: Sequence[Recipe], rng: random.Random) -> list[Recipe]:
    """A log has the same soap more than once, made at other times in other sizes."""
    log: list[Recipe] = []
    for recipe in drawn:
        named_before = log and rng.random() < 0.25
        log.append(replace(recipe, name=rng.choice(log).name) if named_before else recipe)
    return log


def _free(title: str, sheets: Sequence[Sheet]) -> str:
    """A sheet name that is not taken and that a workbook allows."""
    allowed = "".join(letter for letter in title if letter not in "[]:*?/\\").strip("'")[:LONGEST_SHEET_NAME]
    names = {sheet.name.casefold() for sheet in sheets}
    number = 2
    free = allowed
    while free.casefold() in names:
        free = f"{allowed[: LONGEST_SHEET_NAME - 3]} {number}"
        number += 1
    return free
