"""An acid that a remark names: `30 g citric acid dissolved in the water`, `with vinegar instead of water`.

It takes up lye as much as one in a line of its own. What is weighed in the remark is counted; an acid without a weight
leaves the recipe unchecked. A remark that speaks of an acid which is no part of the recipe (`wiped with vinegar`, `no
vinegar this time`), or of one that stands among the ingredients, says nothing more.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import TypeAlias

import numpy as np

from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.assemble import Component
from sheetcheck.reading.entries import Ingredient, component, read_entry
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import dimension
from sheetcheck.reading.word_list import any_of
from sheetcheck.reference import substances
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Kind

_LONGEST_NAME = 5  # words
_NEAR = 2  # rows below a recipe
_WORDS_OF_AMOUNT = 4  # `1 1/2 level tsp`
_CLAUSE = re.compile(r"[;\n!?]|\.(?!\d)|,(?!\d)| - ")
_STRENGTH = re.compile(r"\(?\b\d{1,3}(?:[.,]\d+)? ?%\)?(?=$| )")
_EDGE = "():=,;+/~-"
_OF = frozenset({"of", "de", "d", "di", "da", "van", "von", "pure", "about", "the"})
_NO_WEIGHT = later("it names {acid} and not how much of it: write it as an ingredient, with its weight")


_Words: TypeAlias = Sequence[str]
_Told: TypeAlias = tuple[int, int, int, str]  # number of the draft, row, column, text


@dataclass(frozen=True, slots=True)
class Said:
    """An acid in a remark: its key, the words that tell of it, and its weight, "" where none is told."""

    substance: str
    name: str
    amount: str


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
        yield from ((number, row, column, text) for row, column, text in draft.said if acids_said(text))
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
    cell = sheet.cell(row, column) if row and substance not in _keys() else None
    if cell is not None and cell.kind is Kind.TEXT and acids_said(cell.text):
        yield from ((recipe, row, column, cell.text) for recipe in recipes)


def _listed(sheet: Sheet) -> dict[int, set[str]]:
    """Return the acids that stand among the ingredients of each recipe, by the number of its draft."""
    found: dict[int, set[str]] = {}
    for each in sheet.found.components:
        if each.substance in _keys():
            found.setdefault(each.recipe, set()).add(each.substance)
    for block in sheet.found.component_blocks:
        count = len(block["recipe"])
        named = block["substance"]
        keys = named.tolist() if isinstance(named, np.ndarray) else [named] * count
        for recipe, key in zip(block["recipe"].tolist(), keys, strict=True):
            if key in _keys():
                found.setdefault(recipe, set()).add(key)
    return found


@lru_cache(maxsize=65536)
def acids_said(text: str) -> tuple[Said, ...]:
    """Return the acids that a remark names as part of its recipe.

    >>> [(said.substance, said.amount) for said in acids_said("30 g citric acid dissolved in the water")]
    [('citric acid, anhydrous', '30 g')]
    >>> acids_said("no vinegar this time, moulds wiped with lemon juice")
    ()
    """
    if not _worth_a_look(text):
        return ()
    return tuple(said for clause in _CLAUSE.split(clean(text)) for said in _in_clause(clause))


def _worth_a_look(text: str) -> bool:
    return not _first_words().isdisjoint(fold(text).split())


def _in_clause(clause: str) -> Iterator[Said]:
    words = clause.split()
    for start, end, key in _named(words):
        about = fold(" ".join([*words[:start], *words[end:]]))
        another_is_meant = re.search(any_of("in place of") + r"(?: \w+)? $", fold(" ".join(words[:start])) + " ")
        if re.search(any_of("not in the pot"), about) or another_is_meant:
            continue
        yield _said(key, words[:start], words[start:end], words[end:])


def _named(words: Sequence[str]) -> Iterator[tuple[int, int, str]]:
    """Yield where in a text an acid is named, the longest name first, and which."""
    start = 0
    while start < len(words):
        for end in range(min(start + _LONGEST_NAME, len(words)), start, -1):
            key = _names().get(fold(" ".join(words[start:end])))
            if key is not None:
                yield start, end, key
                start = end - 1
                break
        start += 1


def _said(key: str, before: _Words, name: _Words, after: _Words) -> Said:
    """Take the weight or volume right before or behind a name for its amount; the rest of the clause may qualify it."""
    before, name, after = _with_its_strength(before, name, after)
    while before and fold(before[-1]) in _OF:
        before = before[:-1]
    for count in range(min(_WORDS_OF_AMOUNT, len(before)), 0, -1):
        if _weighs(text := " ".join(before[-count:]).strip(_EDGE)):
            return Said(key, _words(name, after), text)
    colon = next((place for place, word in enumerate(after, 1) if word.endswith((":", "="))), 0)
    for start in (0, colon):  # `citric acid 30 g`, `citric acid 50 % solution: 40 g`
        for count in range(min(_WORDS_OF_AMOUNT, len(after) - start), 0, -1):
            if _weighs(text := " ".join(after[start : start + count]).strip(_EDGE)):
                return Said(key, _words(name, after[:start], after[start + count :]), text)
    return Said(key, _words(name), "")


def _with_its_strength(before: _Words, name: _Words, after: _Words) -> tuple[_Words, _Words, _Words]:
    """Take a per cent right before or behind a name as part of it: `100 g of 10 % vinegar`, `vinegar (5 %) 100 g`."""
    ahead, behind = _STRENGTH.search(" ".join(before)), _STRENGTH.match(" ".join(after))
    if ahead is not None and not ahead.string[ahead.end() :]:
        return ahead.string[: ahead.start()].split(), [*name, *ahead[0].split()], after
    if behind is not None:
        return before, [*name, *behind[0].split()], behind.string[behind.end() :].split()
    return before, name, after


def _words(*parts: Sequence[str]) -> str:
    return " ".join(word.strip(_EDGE) for part in parts for word in part).strip()


def _weighs(text: str) -> bool:
    amount = amount_only(text)
    unit = amount.readings[0].unit if amount else None
    return unit is not None and dimension(unit) in ("mass", "volume")


@cache
def _keys() -> frozenset[str]:
    """Return what takes up lye and is no fat: the acids, and what is like them (baking soda)."""
    return frozenset(key for key, substance in substances().items() if substance.role == "acid")


@cache
def _names() -> dict[str, str]:
    """Return every name of an acid, folded, that means nothing else."""
    names = {fold(name): key for key in _keys() for names in substances()[key].names.values() for name in names}
    return {name: key for name, key in names.items() if identify(name).substance == key}


@cache
def _first_words() -> frozenset[str]:
    return frozenset(name.split()[0] for name in _names())
