"""The same recipe elsewhere in the book: scaled, doubled, made again. Amounts in one ratio but for one are seldom new.

A recipe is with some probability another one made again. Its amounts then stand in one ratio to the other's, each
within its rounding, but for one that the maker changed on purpose now and then. What is written and every hypothesis is
weighed by how much likelier that makes it than a recipe of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sheetcheck.repairs.entries import ALKALI, LIQUID, MASS, WET, Entries, Floats, Ints, Mask

_MADE_AGAIN = 0.1  # share of the recipes that are another one of the book made again: 8 of 105 pages; a book has more
_ON_PURPOSE = 0.1  # chance that one amount was changed on purpose
_ONE_FAT = 0.02  # the same, that a fat was added or left out
_NEAR = 0.002  # of the logarithm: how near an amount lies to the ratio of the others, beside rounding
ROUNDED = 0.4  # standard deviation of a rounded amount that was scaled, in steps
_FREE_FAT, _FREE_LYE, _FREE_LIQUID = 0.4, 15.0, 5.0  # densities of the logarithm in a recipe of its own
_MOST = 3  # recipes compared with one
_FEWEST = 4  # amounts, lye and liquid among them, from which a ratio tells
_ALIKE = 0.03  # of the logarithm: an amount that is looked at as in the ratio while others are looked for


@dataclass(frozen=True)
class Fats:
    """How much of each fat every recipe of a book has, and lye and liquid: rows × (fats, lye, liquid)."""

    keys: tuple[str, ...]
    grams: Floats
    widths: Floats  # of the logarithm, what rounding leaves

    @cached_property
    def there(self) -> Mask:
        """Which amounts there are."""
        return self.grams > 0

    @cached_property
    def logs(self) -> Floats:
        """Return logarithms of the amounts, NaN where there is none: made once, since every searched row asks."""
        return np.log(np.where(self.there, self.grams, np.nan))


@dataclass(frozen=True)
class Others:
    """Recipes that one seems to be made from, for the hypotheses on it: a line for each."""

    keys: tuple[str, ...]
    grams: Floats
    widths: Floats
    log_share: float  # logarithm of the probability that it is made from just this one

    def __bool__(self) -> bool:
        return len(self.grams) > 0


NOTHING = Others((), np.empty((0, 0)), np.empty((0, 0)), 0.0)


def fats_of(entries: Entries) -> Fats:
    """Set out a book by its fats."""
    codes, keys = entries.fat_codes
    rows, of_fat = len(entries.index), codes >= 0
    at = entries.recipe[of_fat] * (len(keys) + 2) + codes[of_fat]
    shape = (rows, len(keys) + 2)
    grams = np.bincount(at, entries.grams[of_fat], rows * shape[1]).reshape(shape)
    steps = np.bincount(at, entries.step[of_fat], rows * shape[1]).reshape(shape)
    lye_and_liquid = np.nan_to_num(entries.totals[:, [MASS, WET]])
    grams[:, -2:] = lye_and_liquid
    for column, role in ((-2, ALKALI), (-1, LIQUID)):
        of_role = entries.role == role
        steps[:, column] = np.bincount(entries.recipe[of_role], entries.step[of_role], rows)
    with np.errstate(divide="ignore", invalid="ignore"):
        widths = np.nan_to_num(ROUNDED * steps / grams, nan=0.0, posinf=0.0)
    return Fats(keys, grams.astype(np.float64), widths)


def others_of(fats: Fats, position: int) -> Others:
    """Return the recipes to which most amounts of one stand in one ratio."""
    own = fats.grams[position]
    there, here = fats.there, own > 0
    if here.sum() < _FEWEST:
        return NOTHING
    near = np.flatnonzero((there[:, :-2] != here[:-2]).sum(axis=1) <= 1)
    near = near[(near != position) & there[near][:, -2:].all(axis=1)]
    if not len(near):
        return NOTHING
    logs = fats.logs[position] - fats.logs[near]
    in_ratio = (np.abs(logs - _median(logs)[:, None]) < _ALIKE).sum(axis=1)
    enough = in_ratio >= max(_FEWEST - 1, here.sum() - 2)
    chosen = near[enough][np.argsort(-in_ratio[enough], kind="stable")[:_MOST]]
    log_share = float(np.log(_MADE_AGAIN / max(len(near), _MOST)))
    return Others(fats.keys, fats.grams[chosen], fats.widths[chosen], log_share)


def all_but_one(fats: Fats, positions: Ints) -> Mask:
    """Tell of which recipes all amounts but one stand in one ratio to another's."""
    found = np.zeros(len(positions), dtype=bool)
    for place, position in enumerate(positions.tolist()):
        others = others_of(fats, position)
        if others:
            own = fats.grams[position]
            logs = np.log(np.where(own > 0, own, np.nan)) - np.log(np.where(others.grams > 0, others.grams, np.nan))
            out = (np.abs(logs - _middle(logs)[:, None]) > _ALIKE).sum(axis=1)
            found[place] = bool((out == 1).any() and not (out == 0).any())
    return found


def made_again(others: Others, grams: Floats, widths: Floats) -> Floats:
    """Return by how much likelier each hypothesis is for the recipes it may be made from [logarithm].

    Parameters
    ----------
    grams
        Hypotheses × (fats, lye, liquid), columns as those of `others`.
    widths
        What rounding leaves of the logarithm of each.
    """
    free = np.append(np.full(len(others.keys), _FREE_FAT), (_FREE_LYE, _FREE_LIQUID))
    found = np.zeros(len(grams))
    for other, width in zip(others.grams, others.widths, strict=True):
        both = (grams > 0) & (other > 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            logs = np.where(both, np.log(grams) - np.log(other), np.nan)
        spread = np.hypot(_NEAR, np.hypot(width, widths))
        density = _normal(logs - _middle(logs)[:, None], spread)
        density[:, -1] = np.maximum(
            density[:, -1], _normal(logs[:, -1] - logs[:, -2], float(spread[-1]))
        )  # with its lye
        each = np.log((1 - _ON_PURPOSE) * density / free + _ON_PURPOSE)
        one_alone = (grams > 0) != (other > 0)
        each = np.where(both, each, np.where(one_alone, np.log(_ONE_FAT), 0.0))
        told = each.sum(axis=1) - np.where(both, each, 0.0).max(axis=1)  # one of them is the ratio itself
        found = np.logaddexp(found, others.log_share + told)
    return found


def _normal(apart: Floats, spread: Floats | float) -> Floats:
    apart = np.minimum((np.nan_to_num(apart) / spread) ** 2, 1400)
    return np.asarray(np.exp(-0.5 * apart) / (spread * np.sqrt(2 * np.pi)))


def _median(logs: Floats) -> Floats:
    """Return the median of the numbers in each line: numpy's own for arrays with NaN goes line by line."""
    ordered = np.sort(logs, axis=1)
    many, lines = (~np.isnan(logs)).sum(axis=1), np.arange(len(logs))
    lower, upper = np.maximum(many - 1, 0) // 2, np.minimum(many // 2, logs.shape[1] - 1)
    return np.asarray((ordered[lines, lower] + ordered[lines, upper]) / 2)


def _middle(logs: Floats) -> Floats:
    """Return the median of each line, of an even number the lower one, so that it is one of them."""
    ordered = np.sort(logs, axis=1)
    last = np.maximum((~np.isnan(logs)).sum(axis=1) - 1, 0)
    return np.asarray(ordered[np.arange(len(logs)), last // 2])


def columns_of(keys: Sequence[str], fats: Sequence[str | None]) -> Ints:
    """Return the column of each fat, -1 for one that the book does not have."""
    at = {key: column for column, key in enumerate(keys)}
    return np.array([at.get(fat or "", -1) for fat in fats], dtype=np.int64)
