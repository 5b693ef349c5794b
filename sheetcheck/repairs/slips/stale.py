"""Lye, and mostly its liquid, left from before a batch was scaled or one of its fats exchanged."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import exp, log

import numpy as np

from sheetcheck.repairs.entries import DEMAND, Floats
from sheetcheck.repairs.row import Cell, Row, Slip, round_like

_SCALES = np.log(np.array([2, 1 / 2, 1.5, 2 / 3, 3, 1 / 3, 4, 1 / 4, 1.25, 0.8, 4 / 3, 3 / 4]))
_OFTEN = np.array([5, 5, 2, 2, 1, 1, 1, 1, 1, 1, 1, 1]) / 22  # twice and half the batch: common practice, no source
_NEAR_SCALE = 0.012  # of the logarithm: how near liquid that was left lies to just twice or half
_RESCALED, _EXCHANGED, _ANYTHING = 0.5, 0.3, 0.2  # shares of what was left
_WIDE_EXCHANGE, _WIDEST = 0.12, 1.6  # of the logarithm: of an exchange for any fat, and of anything else
_OWN_FAT = 0.8  # share of the exchanges for another fat of the same book
_LEAST_EXCHANGE = 0.01  # of the logarithm of the demand: less goes unnoticed
_EXCHANGE_NEAR = 0.002  # the same: how near what was left lies to what the other fat needed, beside rounding
_WITH_LIQUID = 0.5  # share in which the liquid was left too


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield the lye that the fats ask for now: so many times what is written, or what their demand gives."""
    whole = row.whole(row.lye)
    if len(whole) != 1 or not (row.demand > 0 and whole[0].grams > 0):
        return
    lye, chance = whole[0], row.chance("stale lye")
    for scale, often in zip(np.exp(-_SCALES).tolist(), (_OFTEN * _RESCALED).tolist(), strict=True):
        yield from _left(row, lye, scale, chance + log(often), None)
    exchanged = _exchanged(row)
    for aim, share in row.lye_aims():
        wanted = row.demand * exp(aim) / row.pure
        left = _EXCHANGED * exchanged(log(wanted)) + _ANYTHING * _anything(log(wanted))
        if abs(wanted - 1) > 0.01 and left > 0:
            yield from _left(row, lye, wanted, chance + log(left), ("superfat", log(share)))


def _left(row: Row, lye: Cell, wanted: float, log_prior: float, aim: tuple[str, float] | None) -> Iterator[Slip]:
    """Yield the lye so many times what is written, with its liquid and without."""
    edits = row.edits(lye, round_like(lye, lye.value * wanted))
    yield Slip("stale", edits, log_prior + log(1 - _WITH_LIQUID), "solved", aim)
    liquids = row.whole(row.liquids)
    if liquids:
        both = (*edits, *(e for wet in liquids for e in row.edits(wet, round_like(wet, wet.value * wanted))))
        yield Slip("stale", both, log_prior + log(_WITH_LIQUID), "solved", aim)


def _exchanged(row: Row) -> Callable[[float], float]:
    """Return the density of the logarithm of what is needed over what was left, when one fat took another's place."""
    demands = row.per_gram[[cell.entry for cell in row.fats], DEMAND]
    grams = np.array([cell.grams for cell in row.fats])
    others = np.array([row.demand_of(fat) for fat in row.habits.values_by_fat])
    before = row.demand + grams[:, None] * (others - demands[:, None])
    logs = np.log(row.demand / before[before > 0])
    logs = logs[np.abs(logs) > _LEAST_EXCHANGE]
    near = float(np.hypot(float(row.context.lye_rounding), _EXCHANGE_NEAR))

    def density(log_wanted: float) -> float:
        any_fat = _any_fat(log_wanted)
        if not len(logs):
            return any_fat
        own = float(_normal(log_wanted - logs, near).mean())
        return (1 - _OWN_FAT) * any_fat + _OWN_FAT * own

    return density


def left_over(log_ratio: float) -> float:
    """Density of the logarithm of liquid that was left over what is needed: scales of batches, exchanges, anything."""
    scales = float(_OFTEN @ _normal(log_ratio - _SCALES, _NEAR_SCALE))
    return _RESCALED * scales + _EXCHANGED * _any_fat(log_ratio) + _ANYTHING * _anything(log_ratio)


def scale_of(ratio: float) -> float | None:
    """Return the scale that what is needed over what was left shows, None for another change."""
    apart = np.abs(np.log(ratio) + _SCALES)
    nearest = int(np.argmin(apart))
    return float(np.exp(-_SCALES[nearest])) if apart[nearest] < _NEAR_SCALE / 2 else None


def _any_fat(log_ratio: float) -> float:
    return float(_normal(np.array(log_ratio), _WIDE_EXCHANGE))


def _anything(log_ratio: float) -> float:
    return 1 / (2 * _WIDEST) if abs(log_ratio) < _WIDEST else 0.0


def _normal(apart: Floats, width: float) -> Floats:
    return np.asarray(np.exp(-0.5 * (apart / width) ** 2) / (width * np.sqrt(2 * np.pi)))
