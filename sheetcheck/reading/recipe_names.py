"""What each recipe of a sheet is called, weighed over all of them: a maker puts the name in the same place each time.

A layout proposes the text that it took for a title. Over and beside the first amount may stand others: a date, a label
(`Our soap is called:`), a section, a unit, a superfat. Each text gets nats for looking like a name, and for what stands
in the same place of the other recipes; another text than the layout's is taken where it is clearly likelier.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sheetcheck.reading.assemble import Draft, Findings
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.layouts import cards, one_per_row, one_sheet_per_recipe
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.tables.table import INGREDIENT_ROLES
from sheetcheck.reading.text import as_written, clean, fold
from sheetcheck.reading.units.units import read_unit, unit_stated_in
from sheetcheck.reading.word_list import any_of
from sheetcheck.workbook.grid import Cell, Grid, Kind

_CLEARLY, _ALONE = 1.5, 6.0  # nats by which a text must be likelier than the layout's; of the only recipe
_ABSENT = -2.0  # a recipe that has nothing in this place
_REPEATED = -4.0  # times the share of recipes that have the same text
_NUMBERED = -3.0  # … the same but for its number: `Card 3`
_SAME_PLACE = 1.0  # weight of what stands in the same place of the others
_OF_THE_LAYOUT, _BOLD, _BLANK_ABOVE, _BESIDE_A_LABEL = 1.0, 0.5, 0.5, 1.0
_AMONG_HEADINGS = -2.0  # in a row with several columns of weights
_FEW_WORDS, _MANY_WORDS = 6, 12
_LEFT_OF_IT = 2  # columns left of the ingredients in which a title may stand
_ABOVE_IT = 6  # rows above the first amount

_YEAR_OR_DAY = re.compile(r"(?<!\d)(?:\d{1,2}[./-]\d{1,2}(?:[./-]\d{2,4})?|\d{4}-\d{2}-\d{2}|(?:19|20)\d\d)(?!\d)")
_WEIGHED = re.compile(r"\d\s*(?:g|kg|oz|lb|lbs|ml)\b")

Place = tuple[str, int, int]  # label to the left, rows above the first amount, columns from the first one


@dataclass(frozen=True, slots=True)
class _Text:
    """A text that may name a recipe."""

    text: str
    place: Place
    own: float  # nats
    cell: Cell | None  # None: the sheet's tab


def settle_names(grids: Sequence[Grid], found: Findings) -> None:
    """Give each recipe its likeliest name, in place, where the layout's is clearly a worse one."""
    for group in _groups(found.drafts):
        first = _first_amounts(found, [number for number, _ in group])
        texts = {n: list(_texts(grids[d.sheet], d, first[n], found.drafts)) for n, d in group if n in first}
        _choose([(n, d) for n, d in group if n in first], texts)
    for draft in found.drafts:
        cell = grids[draft.sheet].cell(draft.row, draft.column)
        if cell is not None and clean(cell.text) == draft.name:
            draft.name = as_written(cell.text)


def _groups(drafts: Sequence[Draft]) -> Iterable[list[tuple[int, Draft]]]:
    """Return recipes that were read alike, with their numbers: those of a sheet, or of sheets with one each."""
    groups: dict[tuple[str, int], list[tuple[int, Draft]]] = defaultdict(list)
    for number, draft in enumerate(drafts):
        if draft.layout == one_sheet_per_recipe.LAYOUT:
            groups[draft.layout, -1].append((number, draft))
        elif draft.layout == cards.LAYOUT or (draft.layout == one_per_row.LAYOUT and not draft.name):
            groups[draft.layout, draft.sheet].append((number, draft))
    return groups.values()


def _first_amounts(found: Findings, wanted: Sequence[int]) -> dict[int, tuple[int, int, int]]:
    """Return the first row of fats and lye of some recipes, the first column, and the first one in that row."""
    asked: set[int] = set(wanted)
    first: dict[int, tuple[int, int, int]] = {}
    weighed = [c for c in found.components if c.role in ("fat", "alkali")]
    lines = [(c.recipe, c.name_row or c.row, min(c.column, c.name_column or c.column)) for c in weighed]
    for block in found.component_blocks:
        row, column = np.broadcast_arrays(block["row"], block["column"])
        lines += zip(block["recipe"].tolist(), row.tolist(), column.tolist(), strict=True)
    for recipe, at, place in lines:
        if recipe in asked:
            top, left, edge = first.get(recipe, (at, place, place))
            edge = place if at < top else min(edge, place) if at == top else edge
            first[recipe] = min(top, at), min(left, place), edge
    return first


# --------------------------------------------------------------------------- texts that may be a name


def _texts(grid: Grid, draft: Draft, first: tuple[int, int, int], others: Sequence[Draft]) -> Iterator[_Text]:
    """Yield the texts over and beside the first amount of a recipe, and the tab of one with a sheet to itself."""
    top, left, edge = first
    beside = [o for o in others if o is not draft and o.sheet == draft.sheet and o.layout == draft.layout]
    above = [
        o.last_row for o in beside if o.last_row < top and o.first_column <= draft.last_column and left <= o.last_column
    ]
    taken = {
        column
        for o in beside
        if o.first_row <= top <= o.last_row
        for column in range(o.first_column, o.last_column + 1)
    }
    reach = [c for c in range(max(1, left - _LEFT_OF_IT), draft.last_column + 1) if c not in taken]
    since = max([*above, min(draft.row, top) - 1 if draft.row < top - _ABOVE_IT else top - _ABOVE_IT - 1])
    if not beside:
        yield _Text(grid.name, ("tab", 0, 0), _own(grid.name), None)
    for row in range(max(since + 1, 1), top + 1):
        cells = [c for c in grid.row_cells(row) if c.column in reach]
        blank_above = not any(c.column in reach for c in grid.row_cells(row - 1)) if row > 1 else True
        heads = sum(c.kind is Kind.TEXT and _heads_weights(c.text) for c in cells)
        for place, cell in enumerate(cells):
            if cell.kind is not Kind.TEXT or (row == top and cell.column >= edge):
                continue
            label = cells[place - 1] if place and cells[place - 1].kind is Kind.TEXT else None
            own = _own(clean(cell.text)) + _BOLD * cell.style.bold + _BLANK_ABOVE * (blank_above and not place)
            own += _OF_THE_LAYOUT * ((cell.row, cell.column) == (draft.row, draft.column))
            own += _AMONG_HEADINGS * (heads > 1)
            own += _BESIDE_A_LABEL * (label is not None and _is_label(label.text))
            said = fold(label.text) if label is not None and _is_label(label.text) else ""
            yield _Text(clean(cell.text), (said, top - row, cell.column - left), own, cell)


@lru_cache(maxsize=4096)
def _heads_weights(text: str) -> bool:
    heading = read_heading(text)
    return heading.unit is not None and heading.role is not None and read_unit(text) is None


@lru_cache(maxsize=4096)
def _own(text: str) -> float:
    """Return the nats for a text to be the name of a recipe, from how it reads."""
    folded, words = fold(text), text.split()
    nats = 0.0
    if _is_label(text) or unit_stated_in(text) or superfat_said(text):
        nats -= 4.0
    if not re.search(r"[^\W\d_]", text):
        nats -= 3.0
    elif _YEAR_OR_DAY.search(text) or re.search(rf"\d.*{any_of('month')}|{any_of('month')}.*\d", folded):
        nats -= 3.0 if len(words) <= _FEW_WORDS else 1.0
    if _WEIGHED.search(folded):
        nats -= 1.5
    heading = read_heading(text)
    role = "unit" if read_unit(text) or (heading.role is None and heading.unit) else heading.role
    nats -= 0.5 if role in {*INGREDIENT_ROLES, "additive"} else 2.0 * (role is not None)
    return nats - (len(words) > _FEW_WORDS) * 1.5 - (len(words) > _MANY_WORDS) * 3.0 - (text.endswith(".")) * 1.0


def _is_label(text: str) -> bool:
    """Tell whether a text says that a name follows: `Our soap is called:`, `Name`."""
    return text.rstrip().endswith(":") or read_heading(text).role == "recipe"


# --------------------------------------------------------------------------- choosing


def _choose(group: Sequence[tuple[int, Draft]], texts: Mapping[int, Sequence[_Text]]) -> None:
    """Take for each recipe the text that looks most like a name, there and in the same place of the others."""
    repeated = {n: Counter({form for t in texts[n] for form in _forms(t.text)}) for n, _ in group}
    common = sum(repeated.values(), Counter())
    at: dict[Place, dict[int, float]] = defaultdict(dict)
    for number, _ in group:
        for text in texts[number]:
            worth = _worth(text, common, len(group))
            at[text.place][number] = max(worth, at[text.place].get(number, worth))
    usual = {place: (sum(own.values()) + _ABSENT * (len(group) - len(own))) / len(group) for place, own in at.items()}
    for number, draft in group:
        clearly = _CLEARLY if len(group) > 1 or not draft.name else _ALONE
        scored = [(_worth(t, common, len(group)) + _SAME_PLACE * usual[t.place], t) for t in texts[number]]
        if not scored:
            continue
        best, text = max(scored, key=lambda scored_text: scored_text[0])
        if best > max((s for s, t in scored if fold(t.text) == fold(draft.name)), default=2 * _ABSENT) + clearly:
            draft.name = text.text
            if text.cell is not None:
                draft.row, draft.column = text.cell.row, text.cell.column
                draft.cover(draft.row, draft.column)


def _worth(text: _Text, common: Mapping[str, int], recipes: int) -> float:
    """Return the nats of a text: what many recipes have is no name of one."""
    same, numbered = (common[form] / recipes if common[form] > 1 else 0.0 for form in _forms(text.text))
    return text.own + min(_REPEATED * same, _NUMBERED * numbered)


def _forms(text: str) -> tuple[str, str]:
    """Return a text as it is compared with others, and without its numbers."""
    return fold(text), re.sub(r"\d+", "#", fold(text))
