"""Words between cards: a title of the cards below, or the last word on the card above."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise
from math import nan

from sheetcheck.reading.cards.card import Card
from sheetcheck.reading.cards.line_amounts import amounts_of
from sheetcheck.reading.cards.lines import Line
from sheetcheck.reading.remarks import closes, superfat_of
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import superfat_said
from sheetcheck.workbook.grid import Cell


def settle_remarks(sheet: Sheet, cards: Sequence[Card], loose: Iterable[Cell]) -> None:
    """Give words that close a card to that card, in place; `cards` are those of one lane, top to bottom."""
    runs = [list(run) for _, run in groupby(cards, key=lambda card: id(card.section))]
    for before, after in pairwise(runs):
        section = after[0].section
        if section is not None and closes(section, _superfat(sheet, before[-1]), _superfat(sheet, after[0])):
            _add(before[-1], section)
            for card in after:
                card.section = before[-1].section
    if cards:
        last = max((line.row for line in cards[-1].lines), default=0)
        for cell in loose:
            if cell.row > last and superfat_said(cell.text):
                _add(cards[-1], cell)


def _add(card: Card, cell: Cell) -> None:
    card.lines.append(Line(cell.row, "text", [cell]))


def _superfat(sheet: Sheet, card: Card) -> float:
    return superfat_of(amounts_of(sheet, card.lines)) if card.has("alkali") else nan
