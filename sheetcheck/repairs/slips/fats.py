"""The wrong fat: one of a similar name, one of the same row taken for another, or two amounts in each other's place."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import log

from sheetcheck.reference import substances
from sheetcheck.repairs.row import Edit, Row, Slip, changed

_LEAST = 0.02  # of the row's demand: a smaller difference cannot be told


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the row with another fat in one place, and with two fats' amounts crossed."""
    known = substances()
    for cell in row.fats:
        here = known.get(cell.substance or "")
        if here is None:
            continue
        others = [key for key in here.similar if key in known and known[key].kind == "fat"]
        for key in others:
            differs = cell.grams * abs(known[key].sap_typical - here.sap_typical) / 1400
            if differs > _LEAST * row.demand:
                edit = Edit(cell.entry, cell.value, cell.unit, cell.grams, key)
                log_prior = row.chance("wrong fat", cell) - log(len(others))
                yield Slip("substance", (edit,), log_prior)
    pairs = list(combinations(row.fats, 2))
    for one, two in pairs:
        moved = (two.grams - one.grams) * (row.per_gram[one.entry, 0] - row.per_gram[two.entry, 0])
        if one.unit == two.unit and abs(moved) > _LEAST * row.demand:
            edits = (changed(one, two.value), changed(two, one.value))
            yield Slip("substance", edits, row.chance("fats crossed") - log(len(pairs)))
