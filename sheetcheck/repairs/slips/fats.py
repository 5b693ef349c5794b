"""The wrong fat: one of a similar name, one of the same row taken for another, or two amounts in each other's place."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import log

from sheetcheck.reference import substances
from sheetcheck.repairs.row import Edit, Row, Slip, changed

_NOT_IN_BOOK = 0.2  # how often a fat of a similar name is meant that the book never has, against one that it has
_OTHER_COLUMN = 0.03  # the same, for a fat of the book of quite another name
_NEXT_COLUMN = 0.15  # the same, for the fat of the column beside it
_TITLED, _NOT_TITLED = 10.0, 0.2  # times as likely where the title names it, where it names the one that is written
_TWICE = 0.1  # the same, for a fat that the row has already
_LEAST = 0.02  # of the row's demand: a smaller difference cannot be told


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with another fat in one place, and with two fats' amounts crossed."""
    known = substances()
    for cell in row.fats:
        here = known.get(cell.substance or "")
        if here is None:
            continue
        for key, share in _taken_for(row, here.key).items():
            differs = cell.grams * abs(known[key].sap_typical - here.sap_typical) / 1400
            if differs > _LEAST * row.demand:
                edit = Edit(cell.entry, cell.value, cell.unit, cell.grams, key)
                titled = _NOT_TITLED if here.key in row.titled else 1.0
                yield Slip("substance", (edit,), row.chance("wrong fat", cell) + log(share * titled))
    pairs = list(combinations(row.fats, 2))
    for one, two in pairs:
        moved = (two.grams - one.grams) * (row.per_gram[one.entry, 0] - row.per_gram[two.entry, 0])
        if one.unit == two.unit and abs(moved) > _LEAST * row.demand:
            edits = (changed(one, two.value), changed(two, one.value))
            yield Slip("substance", edits, row.chance("fats crossed") - log(len(pairs)))


def _taken_for(row: Row, fat: str) -> dict[str, float]:
    """Return what else a fat may be, with shares: one of a similar name, or another of the book's own."""
    known, of_book = substances(), row.habits.values_by_fat
    similar = [key for key in known[fat].similar if key in known and known[key].kind == "fat"]
    weights = {key: _OTHER_COLUMN for key in of_book if key in known and key != fat}
    weights |= {key: _NEXT_COLUMN for key in row.beside.get(fat, ()) if key in known and key != fat}
    weights |= {key: 1.0 if key in of_book else _NOT_IN_BOOK for key in similar}
    here = {cell.substance for cell in row.fats}
    weights = {key: weight * (_TWICE if key in here else 1.0) for key, weight in weights.items()}
    total = max(sum(weights.values()), 1.0)  # a title makes a wrong fat likelier, not only one of them
    weights |= {key: weight * _TITLED for key, weight in weights.items() if key in row.titled - here}
    return {key: weight / total for key, weight in weights.items()}
