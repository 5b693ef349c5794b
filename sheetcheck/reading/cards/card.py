"""Where one recipe ends and the next begins among lines that stand below each other under titles."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sheetcheck.reading.amounts.texts import amount_only, split_name_and_amount
from sheetcheck.reading.cards.lanes import Lane, Rows
from sheetcheck.reading.cards.lines import Context, Line, column_roles, read_line, without_amount
from sheetcheck.reading.cards.one_cell import lines_in, lye_beside_title, several
from sheetcheck.reading.cards.titles import is_line_of, may_be_title, name_not_share, roles_weighed, titles_the_next
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.units import read_unit, unit_of_number_format
from sheetcheck.workbook.grid import Cell, Kind

Style = tuple[bool, bool, int]  # bold, filled, columns merged


@dataclass(slots=True)
class Card:
    """One title with the lines below it."""

    title: Cell | None
    name: str
    lines: list[Line] = field(default_factory=list)
    section: Cell | None = None

    def has(self, *roles: str) -> bool:
        """Tell whether a line names an ingredient of one of these roles."""
        return any(line.kind == "ingredient" and line.role in roles for line in self.lines)

    @property
    def is_whole(self) -> bool:
        """Tell whether it has a title, fats, lye and liquid."""
        return self.title is not None and self.has("fat") and self.has("alkali") and self.has("liquid")

    @property
    def has_lines(self) -> bool:
        """Tell whether anything but words stands in it."""
        return any(line.kind in ("ingredient", "total", "statement", "extra") for line in self.lines)


def lane_lines(sheet: Sheet, lane: Lane, rows: Rows) -> list[Line]:
    """Read the lines of a lane, top to bottom; a heading line governs those below it."""
    context: Context = {}
    lines = []
    for row in sorted(rows):
        inside = [c for c in rows[row] if lane.first_column <= c.column <= lane.last_column]
        beside_title = lye_beside_title(inside)
        for cells in lines_in(inside) if inside else ():
            line = read_line(sheet, row, cells, context)
            line.told = len(inside) == 1 and cells[0].text != inside[0].text and not several(inside[0].text)
            if beside_title and _is_share(cells[0]):
                line.kind, line.stated = "text", [("superfat", cells[0])]
            over_amounts = len(inside) == 1 and _is_unit_over_amounts(inside[0], lane)
            if over_amounts:
                line = Line(row, "heading", cells)
            if line.kind == "heading" and (len(cells) > 1 or over_amounts):
                if _is_title_among_headings(sheet, cells, lane, _name_below(rows, row, lane)):
                    lines.append(Line(row, "text", cells[:1]))
                    line.cells = cells[1:]
                context = column_roles(sheet, line.cells)
            lines.append(line)
    return lines


def _is_unit_over_amounts(cell: Cell, lane: Lane) -> bool:
    """Tell whether a unit stands alone beside the column of names: over the amounts."""
    return cell.column > lane.name_column and cell.kind is Kind.TEXT and read_unit(cell.text) is not None


def _is_share(cell: Cell) -> bool:
    """Tell whether a cell holds a percentage and nothing else."""
    if cell.kind is Kind.NUMBER:
        return unit_of_number_format(cell.style.number_format) == "%"
    amount = amount_only(cell.text)
    return amount is not None and amount.readings[0].unit == "%"


def _name_below(rows: Rows, row: int, lane: Lane) -> Sequence[Cell]:
    """Return what the next row of a lane holds from the column of names on."""
    below = next((r for r in sorted(rows) if r > row), row)
    return [c for c in rows[below] if lane.name_column <= c.column <= lane.last_column] if below > row else ()


def _is_title_among_headings(sheet: Sheet, cells: Sequence[Cell], lane: Lane, below: Sequence[Cell]) -> bool:
    """Tell whether a line of headings has the recipe's name where the ingredients stand: `Meadow | Amount | Unit`.

    Not where the name stands below it, nor where the same word heads other lists.
    """
    first = cells[0]
    if first.column != lane.name_column or sheet.words.heading(first.text).role is not None:
        return False
    grid = sheet.grid
    again = int(np.count_nonzero((grid.column == first.column) & (grid.text == first.text)))
    named_below = len(below) == 1 and below[0].kind is Kind.TEXT and split_name_and_amount(below[0].text) is None
    return again < _OFTEN and not named_below


_OFTEN = 2


def split_cards(sheet: Sheet, lines: Sequence[Line]) -> tuple[list[Card], list[Cell]]:
    """Split the lines of a lane into cards; return them with the texts that belong to none (titles of the sheet)."""
    name_not_share(lines)
    splitter = _Splitter(sheet, names_at_the_foot=_names_at_the_foot(lines))
    for block in _blocks(lines):
        splitter.block(block)
    splitter.close()
    cards = _joined(sheet, splitter.cards)
    for card in cards:
        _leave_what_is_told_again(card)
    return cards, splitter.loose


def _leave_what_is_told_again(card: Card) -> None:
    """Take running words for no amounts, in place, where they repeat what is listed: `Melt the 500 g lard`."""
    listed = {line.name.substance for line in card.lines if line.kind == "ingredient" and not line.told and line.name}
    told = [line for line in card.lines if line.told and line.kind == "ingredient"]
    if any(line.name is not None and line.name.substance in listed - {None} for line in told):
        for line in told:
            line.kind = "text"


def _blocks(lines: Sequence[Line]) -> list[list[Line]]:
    """Group lines with no blank row between them."""
    blocks: list[list[Line]] = []
    for line in lines:
        if blocks and (line.row <= blocks[-1][-1].row + 1 or _titles_next(blocks[-1], line)):
            blocks[-1].append(line)
        else:
            blocks.append([line])
    return blocks


def _titles_next(block: Sequence[Line], line: Line) -> bool:
    """Tell whether a block is a lone name like an ingredient's over a line of a recipe, a blank row between."""
    only = block[0]
    nearby = len(block) == 1 and line.row == only.row + 2
    return nearby and len(only.cells) == 1 and only.kind == "ingredient" and may_be_title([only, line])


def _names_at_the_foot(lines: Sequence[Line]) -> bool:
    """Tell whether recipes are named below their ingredients: fats before the first name said, none behind the last."""
    named = [place for place, line in enumerate(lines) if line.kind == "title label"]
    fats = [place for place, line in enumerate(lines) if is_line_of(line, "fat")]
    return bool(named and fats) and fats[0] < named[0] and fats[-1] < named[-1]


class _Splitter:
    """Walks through the blocks of a lane and opens a card at each title."""

    def __init__(self, sheet: Sheet, *, names_at_the_foot: bool = False) -> None:
        self.sheet = sheet
        self.names_at_the_foot = names_at_the_foot
        self.cards: list[Card] = []
        self.loose: list[Cell] = []
        self.waiting: list[Line] = []  # words between blocks: titles of what follows, or of nothing
        self.section: Cell | None = None

    def block(self, lines: list[Line]) -> None:
        """Take one block."""
        if all(line.kind == "text" for line in lines):
            self._words(lines)
            return
        has_title = bool(self.waiting) and lines[0].text is not None  # what has an amount is the first line then
        if (not has_title and may_be_title(lines)) or self._is_group_word_for_a_name(lines):
            self._let_go()
            self._open(lines[0])
            lines = lines[1:]
        elif _is_blank_form(lines) and (not self.cards or self.cards[-1].has("alkali")):
            self._let_go()
            return
        elif not self.cards or self._is_next_recipe(lines):
            self._open(self.waiting.pop() if self.waiting else None)
            self._let_go()
        for place, line in enumerate(lines):
            self._line(line, lines[place + 1 :])

    def _is_group_word_for_a_name(self, lines: Sequence[Line]) -> bool:
        """Tell whether a lone word like `Other` or `Grande` stands where a title should, over all of a recipe."""
        first = lines[0]
        alone = len(first.cells) == 1 and first.cells[0].kind is Kind.TEXT and first.amount is None
        if not alone or self.waiting or not {"fat", "alkali"} <= roles_weighed(lines[1:]):
            return False
        if self.cards:
            return self.cards[-1].has("alkali")
        return first.kind == "label"

    def _words(self, lines: list[Line]) -> None:
        """Take a block of words only: a card of its own if it looks like the others, else a title of what follows."""
        self._let_go()
        if len(lines) > 1 and self.cards:
            self._open(lines[0])
            self.cards[-1].lines.extend(lines[1:])
        else:
            self.waiting = lines

    def _line(self, line: Line, following: Sequence[Line]) -> None:
        card = self.cards[-1]
        if line.kind == "title label" and (len(line.cells) > 1 or any(x.kind == "ingredient" for x in following[:3])):
            if (card.has_lines or card.title is not None) and not self.names_at_the_foot:
                self._open(line)
            else:
                card.title, card.name = line.beside[0], clean(line.beside[0].text)
            return
        if card.has("alkali") and card.has("fat") and titles_the_next(line, following):
            self._open(line)
            return
        card.lines.append(line)

    def _is_next_recipe(self, lines: Sequence[Line]) -> bool:
        """Tell whether a block without a title of its own begins another recipe."""
        if any(line.kind == "title label" for line in lines[:2]):
            return False  # it opens its card itself
        fats = any(is_line_of(line, "fat") for line in lines)
        card = self.cards[-1]
        return fats and card.has("fat") and card.has("alkali")

    def _open(self, line: Line | None) -> None:
        cell = None if line is None else line.beside[0] if line.kind == "title label" else line.cells[0]
        if cell is not None and cell.kind is Kind.NUMBER:
            cell = replace(cell, kind=Kind.TEXT, text=f"{cell.number:g}")
        card = Card(cell, clean(cell.text) if cell is not None else "", section=self.section)
        self.cards.append(card)
        if line is not None and line.kind != "title label" and len(line.cells) > 1:
            card.lines.append(Line(line.row, "text", line.cells[1:]))

    def _let_go(self) -> None:
        """Words that titled nothing are a section title, or belong to the sheet."""
        for line in self.waiting:
            self.loose.extend(c for c in line.cells if c.kind is Kind.TEXT)
        if self.waiting and self.cards:
            self.section = self.waiting[-1].cells[0]
        self.waiting = []

    def close(self) -> None:
        """End of the lane."""
        self._let_go()


def _is_blank_form(lines: Sequence[Line]) -> bool:
    """Tell whether a block is a form that nobody has filled in: labels without amounts or words beside them."""
    return all(
        line.kind in ("ingredient", "heading", "label", "statement", "total")
        and without_amount(line)
        and not line.beside
        for line in lines
    )


# --------------------------------------------------------------------------- what belongs together


def _joined(sheet: Sheet, cards: list[Card]) -> list[Card]:
    """Join parts of one recipe that have headings of their own: fats under one, lye and water under the next."""
    styles = Counter(_style(sheet, c.title) for c in cards if c.title is not None and c.has("fat"))
    joined: list[Card] = []
    for card in cards:
        before = joined[-1] if joined else None
        styled = card.title is not None and styles[_style(sheet, card.title)] > 0
        own_title = styled and not _same_title_style_everywhere(sheet, cards)
        goes_on = card.title is None and all(x.told for x in card.lines if x.kind == "ingredient") and card.has_lines
        if before is not None and (goes_on or (_is_rest_of(card, before) and not own_title)):
            if card.title is not None:
                before.lines.append(Line(card.title.row, "text", [card.title]))
            before.lines.extend(card.lines)
            continue
        joined.append(card)
    return joined


def _is_rest_of(card: Card, before: Card) -> bool:
    """Tell whether one card has the fats and the next one the lye for them."""
    return before.has("fat") and not before.has("alkali") and card.has("alkali") and not card.has("fat")


def _same_title_style_everywhere(sheet: Sheet, cards: Sequence[Card]) -> bool:
    """Tell whether style says nothing: no title is bold, filled or merged."""
    return all(_style(sheet, c.title) == (False, False, 1) for c in cards if c.title is not None)


def _style(sheet: Sheet, cell: Cell | None) -> Style:
    if cell is None:
        return False, False, 1
    merge = sheet.merged.get((cell.row, cell.column), (0, cell.column, 0, cell.column))
    return cell.style.bold, cell.style.filled, merge[3] - merge[1] + 1


def looks_like(sheet: Sheet, card: Card, cards: Sequence[Card]) -> bool:
    """Tell whether a card of words only is titled as the others are: same style, or beside one of them."""
    if card.title is None:
        return False
    others = [c.title for c in cards if c is not card and c.title is not None and c.has("fat")]
    style = _style(sheet, card.title)
    alike = [o for o in others if _style(sheet, o) == style]
    stands_out = style != (False, False, 1) and len(alike) * 2 > len(others)
    return stands_out or any(o.row == card.title.row and o.column != card.title.column for o in others)
