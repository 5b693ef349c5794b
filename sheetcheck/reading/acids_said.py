"""An acid that a remark names: `30 g citric acid dissolved in the water`, `with vinegar instead of water`.

It takes up lye as much as one in a line of its own. What is weighed in the remark is counted; an acid without a weight
leaves the recipe unchecked. A remark that speaks of an acid which is no part of the recipe (`wiped with vinegar`, `no
vinegar this time`), or of one that stands among the ingredients, says nothing more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np

from sheetcheck.reading.assemble import Component
from sheetcheck.reading.entries import Ingredient, component, read_entry
from sheetcheck.reading.names.acids import Said, acids, acids_said
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reference import substances
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Kind

_NEAR = 2  # rows below a recipe
_NO_WEIGHT = later("it names {acid} and not how much of it: write it as an ingredient, with its weight")

_Told: TypeAlias = tuple[int, int, int, str]  # number of the draft, row, column, text


def count_acids_said(sheet: Sheet, first: int) -> None:
    """Add the acids that are named beside the ingredients of a sheet's recipes; these are the drafts from `first`."""
    told = list(dict.fromkeys([*_in_remarks(sheet, first), *_below(sheet, first), *_in_names(sheet)]))
    listed = _listed(sheet) if told else {}
    for number, row, column, text in told:
        cell = sheet.cell(row, column)
        for said in acids_said(text):
            if cell is not None and said.substance not in listed.setdefault(number, set()):
                listed[number].add(said.substance)
                sheet.found.components.append(_component(sheet, number, cell, said))


def _component(sheet: Sheet, number: int, cell: Cell, said: Said) -> Component:
    of = Ingredient(said.name, "acid", said.substance, "exact", cell.row, cell.column)
    entry = replace(read_entry(replace(cell, kind=Kind.TEXT, text=said.amount), ()), rest="", written=cell.text)
    if not said.amount:
        entry = replace(entry, problem=tr(_NO_WEIGHT, acid=tr(substances()[said.substance].name)))
    return component(number, sheet.name, cell, entry, of)


# --------------------------------------------------------------------------- where it is named


def _in_remarks(sheet: Sheet, first: int) -> Iterator[_Told]:
    """Yield the remarks that name an acid, and the titles that weigh one: `Vinegar bar` is a name."""
    for number, draft in enumerate(sheet.found.drafts[first:], first):
        yield from ((number, row, column, text) for row, column, text in draft.said)
        if any(said.amount for said in acids_said(draft.name)):
            yield number, draft.row, draft.column, draft.name


def _below(sheet: Sheet, first: int) -> Iterator[_Told]:
    """Yield words that name an acid right below a recipe, a blank row between or not, and that belong to no other."""
    drafts = list(enumerate(sheet.found.drafts[first:], first))
    taken = {(row, column) for _, draft in drafts for row, column, _ in draft.said}
    taken |= {(draft.row, draft.column) for _, draft in drafts}
    taken |= {(c.row, c.column) for c in sheet.found.components if c.sheet == sheet.name}
    grid = sheet.grid
    for i in np.flatnonzero(grid.kind == Kind.TEXT).tolist() if _any_acid(sheet) else ():
        text, row, column = str(grid.text[i]), int(grid.row[i]), int(grid.column[i])
        said = () if (row, column) in taken else acids_said(text)
        if not any(each.amount for each in said) and (not said or _is_label(sheet, text)):
            continue
        above = [
            (draft.last_row, number)
            for number, draft in drafts
            if draft.last_row < row <= draft.last_row + _NEAR and draft.first_column <= column <= draft.last_column
        ]
        if above:
            yield max(above)[1], row, column, text


def _any_acid(sheet: Sheet) -> bool:
    return any(acids_said(str(text)) for text in set(sheet.grid.text[sheet.grid.kind == Kind.TEXT].tolist()))


def _is_label(sheet: Sheet, text: str) -> bool:
    """Tell whether a text is a heading, or the name of an ingredient and nothing more."""
    return sheet.words.heading(text).role is not None or sheet.words.name(text).kind is not None


def _in_names(sheet: Sheet) -> Iterator[_Told]:
    """Yield the names of other ingredients that name an acid besides: `Water (with 30 g citric acid)`."""
    for each in sheet.found.components:
        if each.sheet == sheet.name and each.role != "unknown" and each.name_certainty != "ambiguous":
            yield from _named_there(sheet, each.substance, [each.recipe], each.name_row, each.name_column)
    for block in sheet.found.component_blocks:
        if block["sheet"] == sheet.name and block["name_certainty"] != "ambiguous":
            place = int(np.max(block["name_row"])), int(np.max(block["name_column"]))
            yield from _named_there(sheet, block["substance"], np.unique(block["recipe"]).tolist(), *place)


def _named_there(sheet: Sheet, substance: object, recipes: Sequence[int], row: int, column: int) -> Iterator[_Told]:
    cell = sheet.cell(row, column) if row and substance not in acids() else None
    if cell is not None and cell.kind is Kind.TEXT and acids_said(cell.text):
        yield from ((recipe, row, column, cell.text) for recipe in recipes)


def _listed(sheet: Sheet) -> dict[int, set[str]]:
    """Return the acids that stand among the ingredients of each recipe, by the number of its draft."""
    found: dict[int, set[str]] = {}
    for each in sheet.found.components:
        if each.substance in acids():
            found.setdefault(each.recipe, set()).add(each.substance)
    for block in sheet.found.component_blocks:
        count = len(block["recipe"])
        named = block["substance"]
        keys = named.tolist() if isinstance(named, np.ndarray) else [named] * count
        for recipe, key in zip(block["recipe"].tolist(), keys, strict=True):
            if key in acids():
                found.setdefault(recipe, set()).add(key)
    return found
