"""What a line or cell of additions says: scent, colour, a spoon of honey, and at times something that bears on lye."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from math import isfinite, nan

from sheetcheck.reading.amounts.texts import split_name_and_amount
from sheetcheck.reading.assemble import Component, stored_as
from sheetcheck.reading.entries import Ingredient, component, ingredient, is_nothing, mostly_sugar, read_entry
from sheetcheck.reading.sheet import Sheet, Words
from sheetcheck.reading.text import clean, fold
from sheetcheck.workbook.grid import Cell, Kind

_BETWEEN = re.compile(r"\s*(?:[;\n+]|,(?!\d)|(?<!\d)&|\band\b|\bund\b|\bet\b|\by\b|\be\b(?![.\-]|\s?o\b)|\ben\b)\s*")
_WHEN = re.compile(
    r"\b(?:at|to|after|for|in|beim|bei|im|zum|a la|alla) (?:the )?(?:light )?"
    r"(?:trace|end|superfat\w*|leim|spur|trazo|traza|nastro|last)\b.*$"
)
_COUNTED = frozenset({"fat", "acid", "alkali", "liquid"})


def extras(sheet: Sheet, cell: Cell, recipe: int = 0) -> list[Component]:
    """Return the amounts in a cell of additions; what has no amount and bears on nothing is a remark, not an amount."""
    if cell.kind is not Kind.TEXT or not any(map(str.isnumeric, cell.text)) or is_nothing(cell.text):
        return []
    key = (cell.text, sheet.decimal_comma(cell.column))
    known = sheet.words.extras
    if key not in known:
        known[key] = [line for part in _parts(cell.text) for line in _one(sheet, cell, part)]
    row, column, stored = cell.row, cell.column, stored_as(cell)
    at = [replace(x, sheet=sheet.name, row=row, column=column, name_row=row, name_column=column) for x in known[key]]
    return [replace(x, recipe=recipe, stored=stored) for x in at]


def _parts(text: str) -> list[str]:
    parts = [p for p in _BETWEEN.split(text) if p and p.strip()]
    return parts if all(split_name_and_amount(p) or not re.search(r"\d", p) for p in parts) else [text]


def _one(sheet: Sheet, cell: Cell, part: str) -> Iterator[Component]:
    split = split_name_and_amount(part)
    if split is None:
        return
    name, amount = split
    entry = read_entry(replace(cell, text=amount), (), decimal_comma=sheet.decimal_comma(cell.column))
    if isfinite(entry.value):
        entry = replace(entry, written=clean(cell.text), rest="")
        yield component(0, sheet.name, cell, entry, addition(name, sheet.words, cell))


def addition(name: str, words: Words, cell: Cell) -> Ingredient:
    """Identify an addition: a fat, acid or liquid only where the whole name says so, else an additive."""
    bare = clean(_WHEN.sub("", fold(name))) or name
    found = words.name(bare)
    if found.certainty == "exact" and found.kind in _COUNTED and not mostly_sugar(found.substance):
        return ingredient(clean(name), found, cell.row, cell.column)
    known = found.substance if found.kind == "additive" and found.certainty == "exact" else None
    return Ingredient(
        clean(name), "additive", known, found.certainty if known else "unknown", cell.row, cell.column, nan
    )
