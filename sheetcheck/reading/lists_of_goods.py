"""Lists that name fats and lye and are no recipes: what is in stock, what was bought, a page for each name.

A list is left alone where its headings say so and its numbers do not go together as a soap's do, or where its numbers
are no weights at all. What has a title of its own is never left alone for its headings: a recipe with a slip in it
must not be taken for a list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from math import isfinite

from sheetcheck.reading.assemble import Component
from sheetcheck.reading.cards.card import Card
from sheetcheck.reading.cards.line_amounts import amounts_of
from sheetcheck.reading.cards.lines import Line
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.words import goods_said, is_property
from sheetcheck.reference import constants, substances
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

_SUPERFAT = (-10.0, 30.0)  # percent: what goes together as a soap's fats and lye, slips of a few points included
_LIQUID_TO_LYE = (1.0, 4.8)  # common practice with some room, no source
_LEAST_PAGES, _LEAST_PROPERTIES = 3, 2
_FEW = 2
_PAGE = re.compile(r"(?:pages?|pp?|pg|seiten?|s|pag|pagina|paginas|blz|f|no|nr) ?\d+")
_MOST = 0.8
_NAMES_NOTHING = re.compile(r"(?:sheet|tabelle|feuil|hoja|foglio|blad|folha|planilha|plan|table)? ?\d*")

Rows = Mapping[int, Sequence[Cell]]


def why_headings_say_goods(headings: Iterable[Cell]) -> str | None:
    """Return why headings tell of goods, None where they do not."""
    for cell in headings:
        said = goods_said(cell.text) if cell.kind is Kind.TEXT else None
        if said:
            return tr("{cell} says “{text}”: {what}", cell=cell.address, text=clean(cell.text), what=tr(said))
    return None


def why_properties(headings: Iterable[Cell], *, with_lye: bool) -> str | None:
    """Return why headings tell what each fat does in a soap, None where they do not or lye stands below them."""
    told = [c for c in headings if c.kind is Kind.TEXT and is_property(c.text)]
    if with_lye or len(told) < _LEAST_PROPERTIES:
        return None
    return tr("its columns tell what each fat does in a soap, not how much of it there is")


def name_goods(headings: Sequence[Cell]) -> bool:
    """Tell whether every heading over columns of numbers is one of goods or of amounts: `on hand | minimum`."""
    said = [goods_said(c.text) if c.kind is Kind.TEXT else None for c in headings]
    return bool(said) and all(said)


def why_no_card(sheet: Sheet, cards: Sequence[Card], rows: Rows) -> str | None:
    """Return why lines without a title are a list of goods or of pages, None where they may be a recipe."""
    filled = [card for card in cards if card.has_lines]
    if not filled or any(_is_titled(card, rows) for card in filled):
        return None
    lines = [line for card in filled for line in card.lines if line.kind == "ingredient"]
    if _are_page_numbers(lines):
        return tr("numbers in order beside the names, without a unit and without lye: pages, or places in a list")
    first = min((line.row for line in lines), default=0)
    headings = [c for row in rows if row < first and len(rows[row]) > 1 for c in rows[row]]
    said = why_headings_say_goods(headings) or why_properties(headings, with_lye=any(x.role == "alkali" for x in lines))
    if said is None and _NAMES_NOTHING.fullmatch(fold(sheet.name)) and _have_a_price(lines):
        said = tr("nothing names a recipe, and a name and a second number stand beside each amount: what was bought")
    return said if said and not _go_together(sheet, lines) else None


def _have_a_price(lines: Sequence[Line]) -> bool:
    """Tell whether most lines have words and a second bare number beside their amount."""
    beside = [[c for c in line.cells if c not in (line.label, line.amount, line.unit_cell)] for line in lines]
    priced = [{Kind.NUMBER, Kind.TEXT} <= {c.kind for c in cells} for cells in beside]
    return len(priced) >= _LEAST_PAGES and sum(priced) >= _MOST * len(priced)


def why_contents(card: Card) -> str | None:
    """Return why a card is a list of contents, a page beside each name, None where it is none."""
    beside = [c.text for line in card.lines for c in (line.amount, *line.beside) if c is not None and c.text]
    pages = sum(bool(_PAGE.fullmatch(fold(text))) for text in beside)
    return tr("a list of contents: pages stand beside its names") if pages >= _FEW and pages * 2 > len(beside) else None


def _is_titled(card: Card, rows: Rows) -> bool:
    """Tell whether a card has a title that stands alone in its row, and not among headings."""
    return card.title is not None and sum(c.kind is Kind.TEXT for c in rows.get(card.title.row, ())) == 1


def _are_page_numbers(lines: Sequence[Line]) -> bool:
    """Tell whether bare whole numbers, none smaller than the one above, stand beside names that are no lye."""
    amounts = [line.amount for line in lines if line.amount is not None and line.text is None]
    bare = all(line.unit is None and line.column_unit is None for line in lines)
    numbers = [a.number for a in amounts if a.kind is Kind.NUMBER and a.number == round(a.number)]
    if len(numbers) < max(_LEAST_PAGES, len(lines)) or not bare or any(line.role == "alkali" for line in lines):
        return False
    return numbers == sorted(numbers) and numbers[0] < numbers[-1]


def _go_together(sheet: Sheet, lines: Sequence[Line]) -> bool:
    """Tell whether the lye of some lines is about what their fats take up."""
    amounts = list(amounts_of(sheet, lines))
    lye, liquid = (sum(_weight(each) for each in amounts if each.role == role) for role in ("alkali", "liquid"))
    demand = sum(_weight(each) * _lye_per_g(each) for each in amounts if each.role == "fat")
    dissolves = not liquid or _LIQUID_TO_LYE[0] * lye <= liquid <= _LIQUID_TO_LYE[1] * lye
    return dissolves and demand > 0 and _SUPERFAT[0] <= 100 * (1 - lye / demand) <= _SUPERFAT[1]


def _weight(amount: Component) -> float:
    if isfinite(amount.grams):
        return amount.grams
    return amount.value if isfinite(amount.value) else 0.0


def _lye_per_g(fat: Component) -> float:
    known = substances().get(fat.substance or "")
    return known.sap_typical / 1000 * constants().naoh_per_koh if known is not None else 0.0
