"""What is said of a recipe away from it: in a note on one of its cells, in a line that names it, on another sheet.

A superfat that is stated somewhere and cannot be tied to a recipe is listed as not understood; so is a note on a cell
that states a unit where it cannot be told for what.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sheetcheck.model import NotUnderstood, address
from sheetcheck.reading.assemble import NO_MARGIN, Draft, Findings, Statement
from sheetcheck.reading.statements import speaks_of_superfat, superfat_said
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.evidence import Guess
from sheetcheck.reading.units.units import unit_stated_in
from sheetcheck.reading.word_list import any_of
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Grid, Kind

_TOP_ROWS = 2  # of a sheet: a note there speaks of the whole sheet
_MOST_CELLS = 20_000  # of a sheet without recipes: a larger one is no page of notes
_LEAST_NAME = 4  # letters of a recipe's name that is looked for in a line
_SENTENCES = re.compile(r"[;.\n]\s*")
_RULE = re.compile(
    r"\b(?:never|not|below|under|over|above|least|most|mini?\w*|maxi?\w*|aims?|aim for|should|than|usual\w*|often|nie|"
    r"nicht|unter|uber|mindestens|hochstens|soll\w*|jamais|moins|plus|nunca|menos|mas|mai|meno|piu|nooit|minder|meer|menos|mais)\b"
)
_WHOSE = later("it states a superfat, and it is not clear of which recipe")
_OF_WHAT = later("this note states a unit, and it is not clear for which amounts: it was not used")

Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Text:
    """A text with a superfat, in a cell or in a note on one."""

    sheet: int
    row: int
    column: int
    text: str
    is_note: bool


def unit_in_notes(grid: Grid) -> str | None:
    """Return the unit that notes on the topmost cells of a sheet state for all of it, None where they state none."""
    top = set(grid.rows()[:_TOP_ROWS])
    units = {_unit_in(text) for (row, _), text in grid.notes.items() if row in top} - {None}
    return units.pop() if len(units) == 1 else None


def _unit_in(note: str) -> str | None:
    """Return the unit that one of the sentences of a note states for all amounts."""
    return next((unit for part in _SENTENCES.split(note) if (unit := unit_stated_in(part))), None)


def unit_for_the_book(grids: Sequence[Grid], found: Findings) -> Guess | None:
    """Return the unit that sheets without recipes state for all amounts, None where they state none or several."""
    with_recipes = {draft.sheet for draft in found.drafts}
    said = [
        (unit, grid.name, address(int(grid.row[i]), int(grid.column[i])), str(grid.text[i]))
        for number, grid in enumerate(grids)
        if number not in with_recipes and len(grid.notes) + len(grid.row) <= _MOST_CELLS
        for i in np.flatnonzero(grid.kind == Kind.TEXT).tolist()
        if (unit := unit_stated_in(str(grid.text[i]))) and len(grid.row_cells(int(grid.row[i]))) == 1
    ]
    if len({unit for unit, *_ in said}) != 1:
        return None
    unit, sheet, cell, text = said[0]
    why = tr("no unit stands there; {sheet}!{cell} says “{text}”", sheet=sheet, cell=cell, text=clean(text))
    return Guess(unit, why, frozenset())


def settle(grids: Sequence[Grid], found: Findings) -> None:
    """Tie what is said away from the recipes to them, in place, or list it."""
    known = {(s.sheet, s.row, s.column) for s in found.statements}
    for number, grid in enumerate(grids):
        drafts = [(i, draft) for i, draft in enumerate(found.drafts) if draft.sheet == number]
        of_tables = [d.row for _, d in drafts if d.first_row == d.last_row]  # their layout has read all of these rows
        for text in _texts(number, grid, but=of_tables):
            if text.is_note or (grid.name, text.row, text.column) not in known:
                _tie(found, grid, text, drafts)
        found.not_understood.extend(_unused_notes(grid) if drafts else ())


def _unused_notes(grid: Grid) -> Iterator[NotUnderstood]:
    top = set(grid.rows()[:_TOP_ROWS])
    for (row, column), text in grid.notes.items():
        if row not in top and _unit_in(text):
            yield NotUnderstood(grid.name, address(row, column), clean(text), tr(_OF_WHAT))


def _texts(number: int, grid: Grid, but: Sequence[int]) -> Iterator[_Text]:
    """Yield the texts of a sheet that state a superfat, those of some rows apart, and all notes that do."""
    at = np.flatnonzero((grid.kind == Kind.TEXT) & ~np.isin(grid.row, but))
    stating = {t for t in set(grid.text[at].tolist()) if speaks_of_superfat(t) and superfat_said(t)}
    for i in at[[t in stating for t in grid.text[at].tolist()]].tolist() if stating else ():
        yield _Text(number, int(grid.row[i]), int(grid.column[i]), str(grid.text[i]), is_note=False)
    for (row, column), text in grid.notes.items():
        if superfat_said(text):
            yield _Text(number, row, column, text, is_note=True)


def _tie(found: Findings, grid: Grid, text: _Text, here: Sequence[tuple[int, Draft]]) -> None:
    """Tie a text to the recipe that it stands on (a note) or names, or to all below the title of a sheet."""
    own = [(i, d) for i, d in here if _covers(d, text)] if text.is_note else []
    named = own if len(own) == 1 else _named_in(text.text, here) or _named_in(text.text, list(enumerate(found.drafts)))
    if len(named) == 1:
        _state(found, grid, text, named, "remark")
    elif here and text.row < min(d.first_row for _, d in here) and _holds_for_all(text.text):
        _state(found, grid, text, here, "sheet")
    elif here:
        cell = address(text.row, text.column)
        found.not_understood.append(NotUnderstood(grid.name, cell, clean(text.text), tr(_WHOSE)))


def _holds_for_all(title: str) -> bool:
    """Tell whether a sheet's title states what its recipes have, and not a rule; no margin only for laundry soap."""
    said, folded = superfat_said(title), fold(title)
    if said is None or _RULE.search(folded):
        return False
    return said[0] > NO_MARGIN or re.search(any_of("laundry"), folded) is not None


def _covers(draft: Draft, text: _Text) -> bool:
    inside = draft.first_row <= text.row <= draft.last_row
    return inside and draft.first_column <= text.column <= draft.last_column


def _named_in(text: str, drafts: Iterable[tuple[int, Draft]]) -> list[tuple[int, Draft]]:
    """Return the recipes whose name stands in a text; of names inside each other the longest."""
    folded = f" {fold(text)} "
    named = [(i, d) for i, d in drafts if len(fold(d.name)) >= _LEAST_NAME and f" {fold(d.name)} " in folded]
    longest = max((len(fold(d.name)) for _, d in named), default=0)
    return [(i, d) for i, d in named if len(fold(d.name)) == longest]


def _state(found: Findings, grid: Grid, text: _Text, of: Iterable[tuple[int, Draft]], place: str) -> None:
    said = superfat_said(text.text)
    if said is None:
        return
    first = Statement(0, grid.name, text.row, text.column, "superfat", written=text.text, place=place)
    first.value, first.other_value = said
    for number, draft in of:
        found.statements.append(replace(first, recipe=number))
        if place == "remark":
            draft.remarks.append(clean(text.text))
