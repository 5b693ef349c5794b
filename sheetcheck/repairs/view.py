"""A book with its habits: what every row is compared with, and which rows do not fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from sheetcheck.reference.slips import slip_table
from sheetcheck.repairs.elsewhere import Fats, all_but_one, fats_of
from sheetcheck.repairs.entries import ALKALI, DEMAND, FAT, FATS, LIQUID, Entries, Floats, Mask
from sheetcheck.repairs.fit import FITS, Context, context, terms
from sheetcheck.repairs.habits import Habits, adjusted_totals, learn_habits, off_five, plausible
from sheetcheck.repairs.priors import Weights, weights
from sheetcheck.repairs.stated import Statements
from sheetcheck.repairs.told import beside

_WORTH = 5.8  # the same, before it is searched: with less, no slip comes to a tenth of the probability
_COPIED = -1.5  # less by this for a row whose lye or liquid is that of the recipe before or after
_ALL_BUT_ONE = -3.0  # less by this for a row with one amount out of the ratio of the same recipe elsewhere
_OFTEN_ALIKE = 0.2  # share of such rows from which being alike tells nothing
_MANY = 1000  # rows of a book in which a row has to be short by more before it is searched
_IF_MANY = 1.5  # more by this, as no slip then comes to a third of the probability
_OBVIOUS = 8.0  # the same, from which a row counts as wrong when the book's slips are counted
_CARE = (0.1, 4.0)  # least and most
_LARGE, _TOO_FEW = 500, 0.05  # rows of a large book, and the share of them that is too small to move its habits
_LITTLE = 0.04  # share of the fats from which a fat is worth listing in any book
_MOST_UNLIKE = 6.0  # logarithm that an unusual size and unusual shares count for at most
_KEEPS_TO_FIVES = 0.7
_ODD = 2.0  # logarithm by which a number may be less round than usual
_LEAST_SUM = -3.0  # fit of a stated total that rounding still explains
_USUAL_AMOUNTS = 150  # amounts that what is usual counts for when a book's slips are counted


@dataclass(frozen=True)
class View:
    """A book with its habits: what every row is compared with."""

    entries: Entries
    statements: Statements
    habits: Habits
    totals: Floats
    context: Context
    short: Floats  # logarithm by which each row falls short of the best fit; NaN where it cannot be told
    unlike: Floats  # the same for the size of its batch and the shares of its fats, which no recipe is bound to
    best: float  # fit of superfat and water of a row that is as usual
    care: float  # how many times as many slips as usual this book seems to have
    weights: Weights = field(default_factory=lambda: weights({}))

    @cached_property
    def fats(self) -> Fats:
        """The book by its fats, to find the same recipe elsewhere."""
        return fats_of(self.entries)

    @cached_property
    def beside(self) -> Mapping[str, frozenset[str]]:
        """For each fat of a table, those of the columns beside its own."""
        return beside(self.entries)

    @cached_property
    def demand(self) -> Floats:
        """Alkali that one gram of each entry takes up, by the maker's own values."""
        codes, _ = self.entries.fat_codes
        factor = np.where(codes >= 0, np.append(self.habits.fat_values, 1.0)[codes], 1.0)
        return np.asarray(self.entries.per_gram[:, DEMAND] * factor)


def view(entries: Entries, statements: Statements, accepted: Mask) -> View:
    """Learn a book's habits, twice: the second time without the rows that do not fit the first.

    Rows that the maker has accepted are part of them in any case.
    """
    included = plausible(entries.totals) | accepted
    first = learn_habits(entries, statements, included)
    seen = _view(entries, statements, first, included)
    fits = included & (accepted | (np.nan_to_num(seen.short, nan=99.0) < FITS))
    if included.sum() >= _LARGE and (included & ~fits).sum() < _TOO_FEW * included.sum():
        return seen
    included = fits
    return _view(entries, statements, learn_habits(entries, statements, included, first.roundness), included)


def _view(entries: Entries, statements: Statements, habits: Habits, included: Mask) -> View:
    totals = adjusted_totals(entries, habits.fat_values)
    known = context(entries, statements, habits, totals, included)
    parts = terms(habits, totals, known)
    best = [
        np.quantile(term[included], 0.7) if included.any() else 0.0
        for term in (parts.superfat, parts.water, parts.batch)
    ]
    short = np.maximum(best[0] - parts.superfat, 0) + np.maximum(best[1] - parts.water, 0)
    unlike = np.minimum(np.maximum(best[2] - parts.batch, 0) + _off_fives(entries, habits, totals), _MOST_UNLIKE)
    short = short + np.maximum(_LEAST_SUM - parts.fats_total, 0) + np.maximum(_LEAST_SUM - parts.batch_total, 0)
    short = np.where(np.isnan(totals[:, FATS]), np.nan, short + _odd_amounts(entries, habits, totals))
    best_fit = float(best[0] + best[1])
    return View(entries, statements, habits, totals, known, short, unlike, best_fit, _care(short, entries))


def _off_fives(entries: Entries, habits: Habits, totals: Floats) -> Floats:
    """By how much each row's shares of fats are no multiples of five per cent, where this book keeps to them."""
    count = len(entries.index)
    if habits.fives < _KEEPS_TO_FIVES:
        return np.zeros(count)
    of_fat = entries.role == FAT
    recipe = entries.recipe[of_fat]
    off, width = off_five(entries.grams[of_fat], totals[recipe, FATS], entries.step[of_fat])
    lost = np.where(off <= width, 0.0, np.log(habits.fives / np.clip(2 * width, 1e-3, 1) / (1 - habits.fives)))
    return np.asarray(np.bincount(recipe, 0.5 * np.maximum(np.nan_to_num(lost), 0), count), dtype=np.float64)


def _odd_amounts(entries: Entries, habits: Habits, totals: Floats) -> Floats:
    """By how much each row has numbers less round than usual, or a fat too little to be worth listing."""
    odd = habits.roundness.odd(entries.value, entries.unit, entries.role) - _ODD
    with np.errstate(invalid="ignore", divide="ignore"):
        share = entries.grams / totals[entries.recipe, FATS]
        little = np.where(entries.role == FAT, np.log1p(min(habits.small, _LITTLE) / share), 0.0) - _ODD
    total = np.maximum(odd, 0.0) + np.maximum(np.nan_to_num(little), 0.0)
    return np.where(np.isnan(totals[:, FATS]), 0.0, np.bincount(entries.recipe, total, len(entries.index)))


def _care(short: Floats, entries: Entries) -> float:
    """Weigh the rows that are far off against what is usual, which counts as amounts of its own."""
    usual = slip_table()["wrong number"].value
    found = float((np.nan_to_num(short) >= _OBVIOUS).sum())
    rate = (usual * _USUAL_AMOUNTS + found) / (_USUAL_AMOUNTS + float((entries.role <= LIQUID).sum()))
    return float(np.clip(rate / usual, *_CARE))


def rows_to_search(seen: View) -> list[int]:
    """Positions of the rows that do not fit."""
    least = _WORTH - np.log(seen.care) + np.where(_like_neighbour(seen.entries), _COPIED, 0.0)
    unlike = np.nan_to_num(seen.short + seen.unlike, nan=0.0)
    if len(seen.entries.index) >= _MANY:
        least = least + _IF_MANY
    else:
        some = np.flatnonzero((unlike < least) & (unlike >= least + _ALL_BUT_ONE))
        least[some[all_but_one(seen.fats, some)]] += _ALL_BUT_ONE
    return [int(place) for place in np.flatnonzero(unlike >= least)]


def _like_neighbour(entries: Entries) -> Mask:
    """Tell which rows have the lye or the liquid of the recipe before or after them."""
    found = np.zeros(len(entries.index) + 2, dtype=bool)
    for role in (ALKALI, LIQUID):
        amounts = np.bincount(entries.recipe, np.where(entries.role == role, entries.grams, 0.0), len(entries.index))
        same = (amounts[1:] == amounts[:-1]) & (amounts[1:] > 0)
        if same.sum() < _OFTEN_ALIKE * len(same):
            found[1:-2] |= same
            found[2:-1] |= same
    return found[1:-1]
