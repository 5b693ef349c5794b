"""Ingredients named in the cells of a row: `Olive oil | 700 | Coconut oil | 300`, or all of them in one cell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from math import nan

from sheetcheck.reading.amounts.texts import split_name_and_amount as split
from sheetcheck.reading.assemble import Component
from sheetcheck.reading.entries import Entry, Ingredient, component, ingredient, is_blank_amount, is_nothing, read_entry
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import Column, Table
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.evidence import Said
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Kind

_BETWEEN = re.compile(r"\s*(?:[;\n+&]|(?<=\d)\s*/\s*(?=[^\W\d])|,(?!\d)|\band\b|\bund\b|\bet\b)\s*")
_NO_AMOUNT = later("no amount stands beside it")


def amount_column(table: Table, column: Column) -> Column | None:
    """Return the column of the amounts of a column of names: the next one, where its heading says amount or a unit."""
    following = next((c for c in table.columns if c.index > column.index), None)
    return following if following is not None and following.role == "amount" else None


def named_amounts(sheet: Sheet, table: Table, column: Column, cell: Cell, note: Said) -> Iterator[Component]:
    """Yield the ingredients named in a cell, with their amounts beside or in it; the caller sets `recipe`."""
    if cell.kind is not Kind.TEXT or is_nothing(cell.text):
        return
    beside = amount_column(table, column)
    if beside is None:
        yield from _in_one_cell(sheet, cell, _with_heading(column, note))
        return
    amount = sheet.cell(cell.row, beside.index)
    if amount is not None and not is_blank_amount(amount):
        comma = sheet.decimal_comma(amount.column)
        entry = read_entry(amount, _with_heading(beside, note), decimal_comma=comma)
        yield component(0, sheet.name, amount, entry, _named(sheet, cell.text, cell))


def _with_heading(column: Column, note: Said) -> Said:
    return (("heading", column.unit), *note) if column.unit else note


def _in_one_cell(sheet: Sheet, cell: Cell, said: Said) -> Iterator[Component]:
    comma = sheet.decimal_comma(cell.column)
    for part in filter(None, _BETWEEN.split(cell.text)):
        named = split(part)
        if named is None:
            entry = Entry(nan, None, None, None, nan, nan, 0, cell.text, "text", problem=tr(_NO_AMOUNT))
            yield component(0, sheet.name, cell, entry, _named(sheet, part, cell))
        else:
            read = read_entry(replace(cell, text=named[1]), said, decimal_comma=comma)
            entry = replace(read, rest="", written=cell.text)
            yield component(0, sheet.name, cell, entry, _named(sheet, named[0], cell))


def _named(sheet: Sheet, name: str, cell: Cell) -> Ingredient:
    return ingredient(clean(name), sheet.words.name(name), cell.row, cell.column)
