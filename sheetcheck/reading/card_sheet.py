"""A sheet with cards, or with one recipe all to itself: its lanes, its cards, and which of them are recipes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sheetcheck.model import ColumnReading, column_letters
from sheetcheck.reading.cards import Card, lane_lines, looks_like, split_cards
from sheetcheck.reading.lanes import Lane, Rows, find_lanes
from sheetcheck.reading.layouts.not_recipes import leave, why_no_recipes
from sheetcheck.reading.lines import without_amount
from sheetcheck.reading.recipe_lines import RecipeLines
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.words import other_than_soap
from sheetcheck.workbook.grid import Cell, Kind

_SURE = 2  # so many titled cards with fats, lye and liquid are recipes, whatever the sheet is called
_NO_SOAP = "fats may stand there, but nowhere lye or a liquid beside them"


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
        return [
            f"column {column_letters(x.name_column)} holds {x.ingredients} ingredients with amounts" for x in self.lanes
        ]


def look_for_cards(sheet: Sheet) -> CardSheet | None:
    """Look at what nobody has explained yet; None where no ingredients stand below each other."""
    rows = sheet.free_rows()
    lanes = find_lanes(sheet, rows)
    if not lanes:
        return None
    split = [split_cards(sheet, lane_lines(sheet, lane, rows)) for lane in lanes]
    cards = [card for found, _ in split for card in found]
    columns = {c for lane in lanes for c in range(lane.first_column, lane.last_column + 1)}
    outside = [c for cells in rows.values() for c in cells if c.kind is Kind.TEXT and c.column not in columns]
    loose = [cell for _, cells in split for cell in cells] + outside
    return CardSheet(rows, lanes, cards, [c for c in cards if _is_recipe(c, sheet, cards)], loose)


def left_aside(sheet: Sheet, seen: CardSheet) -> bool:
    """Leave a sheet that says that it holds something else than recipes for soap; tell whether it was left."""
    top = [c for c in seen.loose if c.row <= min(seen.rows) + 2]
    soap = any(c.has("fat") and c.has("alkali", "liquid", "refused") for c in seen.cards)
    with_lye = any(c.has("alkali") and c.has("liquid") for c in seen.cards)
    why_not = (None if soap else _NO_SOAP) or why_no_recipes(sheet, top, with_lye=with_lye)
    if not why_not or sum(c.is_whole for c in seen.cards) >= _SURE:
        return False
    leave(sheet, seen.rows[min(seen.rows)][0], why_not, seen.where)
    return True


def _is_recipe(card: Card, sheet: Sheet, cards: Sequence[Card]) -> bool:
    if _something_else(card):
        return False
    lines = [line for line in card.lines if line.kind == "ingredient"]
    if any(line.role != "additive" for line in lines):
        return card.title is not None or any(not without_amount(line) for line in lines)
    return bool(card.lines) and looks_like(sheet, card, cards)


def _something_else(card: Card) -> str | None:
    """Return what a card says that it is, where that is no soap and no lye stands in it."""
    return other_than_soap(card.name) if card.title is not None and not card.has("alkali") else None


def read_recipes(sheet: Sheet, seen: CardSheet, layout: str, evidence: Sequence[str]) -> None:
    """Read the recipes of a sheet and report how it was understood."""
    for cell in seen.loose:
        sheet.note_unit(cell.row, cell.text)
    _note_units_inside(sheet, seen.cards)
    group = sheet.found.new_unit_group()
    for card in seen.cards:
        said = _something_else(card)
        if said and card.title is not None:
            sheet.not_understood(card.title.row, card.title.column, card.name, said)
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
    for line in card.lines:
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
