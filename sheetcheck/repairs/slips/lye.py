"""Slips of lye and liquid: an amount for the other alkali, in each other's place, or just wrong."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, log

from sheetcheck.reference import constants
from sheetcheck.repairs.row import Cell, Row, Slip, round_like
from sheetcheck.repairs.slips.stale import left_over

_KOH_AS_SOLD = 0.9  # KOH is reckoned pure or at 90 %; common practice, no source
_WIDEST = log(100)


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield what lye and liquid may have been meant to be."""
    whole = row.whole(row.lye)
    if len(whole) == 1 and row.demand > 0 and whole[0].grams > 0:
        lye = whole[0]
        yield from _other_alkali(row, lye)
        yield from _swapped(row, lye)
        yield from _other_lye(row, lye)
    liquids = row.whole(row.liquids)
    if len(liquids) == 1 and liquids[0].grams > 0:
        yield from _other_liquid(row, liquids[0])


def _other_alkali(row: Row, lye: Cell) -> Iterator[Slip]:
    ratio = constants().naoh_per_koh
    for factor, share in ((ratio, 0.7), (ratio * _KOH_AS_SOLD, 0.15), (1 / ratio, 0.15)):
        value = lye.value * factor
        yield Slip("alkali", row.edits(lye, round_like(lye, value)), row.chance("other alkali") + log(share))


def _swapped(row: Row, lye: Cell) -> Iterator[Slip]:
    liquids = row.whole(row.liquids)
    if len(liquids) != 1:
        return
    wet = liquids[0]
    if lye.unit == wet.unit:
        edits = (*row.edits(lye, wet.value), *row.edits(wet, lye.value))
        yield Slip("swap", edits, row.chance("lye and liquid swapped"))


def _other_lye(row: Row, lye: Cell) -> Iterator[Slip]:
    for aim, share in row.lye_aims():
        wanted = row.demand * exp(aim) / row.pure
        if abs(wanted - 1) > 0.01 and abs(log(wanted)) < _WIDEST:
            edits = row.edits(lye, round_like(lye, lye.value * wanted))
            log_prior = row.chance("any other", lye) - log(2 * _WIDEST)
            yield Slip("other", edits, log_prior, "solved", ("superfat", log(share)))


def _other_liquid(row: Row, wet: Cell) -> Iterator[Slip]:
    for grams, share in row.water_aims():
        wanted = grams - (row.wet - wet.grams)
        if wanted <= 0 or abs(wanted / wet.grams - 1) < 0.02 or abs(log(wanted / wet.grams)) > _WIDEST:
            continue
        log_ratio = log(wet.grams / wanted)
        edits = row.edits(wet, round_like(wet, wanted / wet.factor))
        aim = ("water", log(share))
        yield Slip("other", edits, row.chance("any other", wet) - log(2 * _WIDEST), "solved", aim)
        left = left_over(log_ratio)
        if left > 0:
            log_prior = row.chance("stale lye", wet) + log(0.3 * left)
            yield Slip("stale", edits, log_prior, "solved", aim)
