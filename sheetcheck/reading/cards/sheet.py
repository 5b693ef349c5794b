"""A sheet with cards, or with one recipe all to itself: its lanes, its cards, and which of them are recipes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sheetcheck.model import ColumnReading, column_letters
from sheetcheck.reading.cards.card import Card, lane_lines, looks_like, split_cards
from sheetcheck.reading.cards.lanes import Lane, Rows, find_lanes
from sheetcheck.reading.cards.lines import without_amount
from sheetcheck.reading.cards.one_cell import without_marks
from sheetcheck.reading.cards.recipe_lines import RecipeLines
from sheetcheck.reading.cards.remarks import settle_remarks
from sheetcheck.reading.layouts.not_recipes import NO_SOAP, leave, why_no_recipes
from sheetcheck.reading.lists_of_goods import why_contents, why_no_card
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.words import other_than_soap
from sheetcheck.reference import substances
from sheetcheck.words import later, tr, tr_count
from sheetcheck.workbook.grid import Cell, Kind

NO_LYE = later("nothing on it speaks of lye or of soap")
_OF_SOAP = re.compile(
    r"soap|saponif|\b(?:lye|naoh|koh|caustic|super ?fat|sf|loaf|loaves|cure[ds]?|castile)\b|seife|lauge|uberfett|savon|"
    r"soude|surgras|jabon|sosa|sapon|\bsoda\b|zeep|loog|sabao|sabonete"
)
_SURE = 2  # so many titled cards with fats, lye and liquid are recipes, whatever the sheet is called


@dataclass(frozen=True, slots=True)
class CardSheet:
    """What was seen on a sheet with lanes of ingredients."""

    rows: Rows
    lanes: list[Lane]
    cards: list[Card]
    recipes: list[Card]
    loose: list[Cell]  # texts that belong to no card

    @property
    def where(self) -> tuple[int, int, int, int]:
        """First row, first column, last row, last column."""
        first, last = min(x.first_column for x in self.lanes), max(x.last_column for x in self.lanes)
        return min(self.rows), first, max(self.rows), last

    def lane_evidence(self) -> list[str]:
        """Say which columns hold ingredients."""
        return [lane_evidence(lane) for lane in self.lanes]


def lane_evidence(lane: Lane) -> str:
    """Say how many ingredients a column of names holds."""
    return tr_count(
        "column {column} holds {count} ingredient with its amount",
        "column {column} holds {count} ingredients with amounts",
        lane.ingredients,
        column=column_letters(lane.name_column),
    )


def look_for_cards(sheet: Sheet) -> CardSheet | None:
    """Look at what nobody has explained yet; None where no ingredients stand below each other."""
    rows = without_marks(sheet.free_rows())
    lanes = find_lanes(sheet, rows)
    if not lanes:
        return None
    wide = _titles_over_lanes(sheet, lanes, rows)
    inside = {row: [c for c in cells if c not in wide] for row, cells in rows.items()} if wide else rows
    split = [split_cards(sheet, lane_lines(sheet, lane, inside)) for lane in lanes]
    for found, loose_in_lane in split:
        settle_remarks(sheet, found, loose_in_lane)
    cards = [card for found, _ in split for card in found]
    columns = {c for lane in lanes for c in range(lane.first_column, lane.last_column + 1)}
    outside = [c for cells in rows.values() for c in cells if c.kind is Kind.TEXT and c.column not in columns]
    loose = [cell for _, cells in split for cell in cells] + outside + wide
    return CardSheet(rows, lanes, cards, [c for c in cards if _is_recipe(c, sheet, cards)], loose)


def _titles_over_lanes(sheet: Sheet, lanes: Sequence[Lane], rows: Rows) -> list[Cell]:
    """Return the texts merged over several lanes: they title none of the cards below them alone."""
    merged = [(first, last) for (row, first), (_, _, _, last) in sheet.merged.items() if row in rows]
    wide = {f for f, last in merged if sum(f <= lane.name_column <= last for lane in lanes) > 1}
    if not wide:
        return []
    spans = {place: reach[3] for place, reach in sheet.merged.items()}
    return [
        c
        for cells in rows.values()
        for c in cells
        if sum(c.column <= lane.name_column <= spans.get((c.row, c.column), c.column) for lane in lanes) > 1
    ]


def left_aside(sheet: Sheet, seen: CardSheet) -> bool:
    """Leave a sheet that says that it holds something else than recipes for soap; tell whether it was left."""
    top = [c for c in seen.loose if c.row <= min(seen.rows) + 2]
    soap = any(c.has("fat") and c.has("alkali", "liquid", "refused") for c in seen.cards)
    with_lye = any(c.has("alkali") and c.has("liquid") for c in seen.cards)
    why_not = (None if soap else tr(NO_SOAP)) or why_no_recipes(sheet, top, with_lye=with_lye)
    why_not = why_not or (tr(NO_LYE) if _speaks_of_no_lye(sheet, seen.cards) else None)
    why_not = why_not or why_no_card(sheet, seen.cards, seen.rows)
    if not why_not or sum(c.is_whole for c in seen.cards) >= _SURE:
        return False
    leave(sheet, seen.rows[min(seen.rows)][0], why_not, seen.where)
    return True


def _speaks_of_no_lye(sheet: Sheet, cards: Sequence[Card]) -> bool:
    """Tell whether neither a card nor any text of a sheet speaks of lye or soap: recipes for the kitchen."""
    names = [line.name for card in cards for line in card.lines if line.kind == "ingredient" and line.name is not None]
    keys = [key for name in names for key in (name.substance, *name.candidates) if key]
    if any(name.kind == "alkali" for name in names) or any(substances()[key].role == "alkali" for key in keys):
        return False
    texts = {sheet.name, *sheet.grid.text[sheet.grid.kind == Kind.TEXT].tolist()}
    return not any(_OF_SOAP.search(fold(text)) for text in texts)


_UNLIKE = later("neither lye nor, for the most part, fats stand there, as they do in the recipes beside it")
_ENOUGH_WHOLE = 3


def _is_recipe(card: Card, sheet: Sheet, cards: Sequence[Card]) -> bool:
    if not sheet.bold and _something_else(card, cards):
        sheet.kept_back = True
        return False
    lines = [line for line in card.lines if line.kind == "ingredient"]
    if any(line.role != "additive" for line in lines):
        return card.title is not None or any(not without_amount(line) for line in lines)
    return bool(card.lines) and looks_like(sheet, card, cards)


def _something_else(card: Card, cards: Sequence[Card]) -> str | None:
    """Return what a card without lye says that it is, where that is no soap, or that it is unlike the others."""
    if card.has("alkali"):
        return None
    unlike = tr(_UNLIKE) if _is_unlike(card, cards) else None
    if card.title is None:
        return unlike
    said = other_than_soap(card.name)
    return why_contents(card) or (tr(said) if said is not None else unlike)


def _is_unlike(card: Card, cards: Sequence[Card]) -> bool:
    """Tell whether a card has no lye and hardly a fat among many that have both: bread, or birthdays."""
    lines = [x for x in card.lines if x.kind in ("ingredient", "extra", "total") and x.role != "liquid"]
    fats = sum(line.role == "fat" for line in lines)
    whole = sum(each.has("fat") and each.has("alkali") for each in cards)
    listed = sum(line.kind == "ingredient" for line in lines) > 1
    return listed and fats * 2 < len(lines) and whole >= _ENOUGH_WHOLE and whole * 2 > len(cards)


def read_recipes(sheet: Sheet, seen: CardSheet, layout: str, evidence: Sequence[str]) -> None:
    """Read the recipes of a sheet and report how it was understood."""
    for cell in seen.loose:
        sheet.note_unit(cell.row, cell.text)
    _note_units_inside(sheet, seen.cards)
    group = sheet.found.new_unit_group()
    for card in seen.cards:
        said = None if sheet.bold else _something_else(card, seen.cards)
        if said and card.lines:
            first = card.title or card.lines[0].cells[0]
            sheet.not_understood(first.row, first.column, card.name or clean(first.text), tr(said))
            sheet.explained.extend((c.row, c.column, c.row, c.column) for line in card.lines for c in line.cells)
    for card in seen.recipes:
        _read_card(sheet, card, layout, group)
    sheet.take(*seen.where)
    sheet.report(layout, evidence, columns=_columns(seen), recipes=len(seen.recipes), where=seen.where)


def _note_units_inside(sheet: Sheet, cards: Sequence[Card]) -> None:
    """Keep units stated in the words of cards (`everything in grams from here on`)."""
    for card in cards:
        cells = [c for line in card.lines if line.kind == "text" for c in line.cells]
        for cell in cells if card.title is None else [card.title, *cells]:
            if cell.text:
                sheet.note_unit(cell.row, cell.text)


def _read_card(sheet: Sheet, card: Card, layout: str, group: int) -> None:
    first = card.title or card.lines[0].cells[0]
    draft = sheet.draft(layout, card.name if card.title is not None else sheet.name, first.row, first.column)
    draft.unit_group = group
    reader = RecipeLines(sheet, draft, card.title, card.section)
    struck = sum(line.struck for line in card.lines)
    for line in card.lines:
        if line.struck and struck * 2 <= len(card.lines):  # else the recipe is crossed out, not a line of it
            line.kind = "text"
        reader.add(line)
    reader.finish()


def _columns(seen: CardSheet) -> list[ColumnReading]:
    """Return the columns of names and of amounts of every lane."""
    columns = [ColumnReading(column_letters(lane.name_column), "", "ingredient") for lane in seen.lanes]
    at = [line.amount.column for card in seen.cards for line in card.lines if line.amount is not None]
    for lane in seen.lanes:
        inside = Counter(c for c in at if lane.first_column <= c <= lane.last_column and c != lane.name_column)
        columns += [ColumnReading(column_letters(c), "", "amount") for c, _ in inside.most_common(1)]
    return columns
