"""One cause for many rows: a column, or all fats, or lye and liquid, kept in another unit than the sheet says.

Asked before any single row: a column in grams under a heading of ounces is one finding, and the habits of the book are
learned from what was meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sheetcheck.repairs.entries import ALKALI, FAT, LIQUID, MASS_UNITS, Entries, Floats, Ints, Mask, sums
from sheetcheck.repairs.fit import FITS, terms
from sheetcheck.repairs.habits import quantities
from sheetcheck.repairs.stated import Statements
from sheetcheck.repairs.view import View, view

LEAST_ROWS = 3
_GAIN = 5.0  # logarithm by which the other unit must fit a row better
_UNBROKEN = 0.75  # share of the rows from the first to the last that the other unit must fit
_ROUNDS = 3


@dataclass(frozen=True)
class Group:
    """Amounts that are in another unit than the sheet says, in many rows."""

    name: str  # what they are of
    entries: Ints
    recipes: Ints  # positions
    unit: str  # as the sheet says
    meant: str


def units(entries: Entries, statements: Statements, accepted: Mask) -> tuple[Entries, list[Group], View]:
    """Find groups in another unit, one after the other; return the book with what was meant, and its habits."""
    seen = view(entries, statements, accepted)
    found: list[Group] = []
    for _ in range(_ROUNDS):
        group = _best(seen)
        if group is None:
            break
        found.append(group)
        entries = meant(entries, group)
        seen = view(entries, statements, accepted)
    return entries, found, seen


def meant(entries: Entries, group: Group) -> Entries:
    """Return the book with one group read in the unit that was meant."""
    factor = MASS_UNITS[group.meant] / MASS_UNITS[group.unit]
    scale = np.ones(len(entries.grams))
    scale[group.entries] = factor
    unit = entries.unit.copy()
    unit[group.entries] = group.meant
    grams = entries.grams * scale
    count = len(entries.index)
    added = sums(entries.recipe, (grams - entries.grams)[:, None] * np.nan_to_num(entries.per_gram), count)
    return replace(
        entries,
        grams=grams,
        step=entries.step * scale,
        unit=unit,
        totals=entries.totals + added,
        grams_all=sums(entries.recipe, grams[:, None], count)[:, 0],
    )


def _best(seen: View) -> Group | None:
    """Find the group whose other unit explains most rows, None where none explains three in one stretch."""
    entries = seen.entries
    amiss = np.nan_to_num(seen.short, nan=0.0) >= FITS
    if amiss.sum() < LEAST_ROWS:
        return None
    best: Group | None = None
    for name, members in _candidates(entries, amiss):
        for own in dict.fromkeys(unit for unit in entries.unit[members] if unit in MASS_UNITS):
            in_own = members & (entries.unit == own)
            for other in MASS_UNITS:
                if other == own:
                    continue
                group = _explained(seen, Group(name, np.flatnonzero(in_own), np.empty(0, np.int64), own, other))
                if group is not None and (best is None or len(group.recipes) > len(best.recipes)):
                    best = group
    return best


def _candidates(entries: Entries, amiss: Mask) -> Iterator[tuple[str, Mask]]:
    """Yield sets of amounts that may share a unit: of one name in one sheet, all fats, lye and liquid."""
    here = amiss[entries.recipe] & (entries.role <= LIQUID)
    yield "the lye", here & (entries.role == ALKALI)
    yield "the liquid", here & (entries.role == LIQUID)
    yield "the fats", here & (entries.role == FAT)
    yield "lye and liquid", here & ((entries.role == ALKALI) | (entries.role == LIQUID))
    codes, keys = entries.fat_codes
    for code, key in enumerate(keys):
        of_fat = here & (codes == code)
        if of_fat.sum() >= LEAST_ROWS:
            yield key, of_fat


def _explained(seen: View, group: Group) -> Group | None:
    """Keep of a group the rows that its other unit explains, if they are enough and follow one another."""
    entries = seen.entries
    rows, where = np.unique(entries.recipe[group.entries], return_inverse=True)
    if len(rows) < LEAST_ROWS:
        return None
    more = (MASS_UNITS[group.meant] / MASS_UNITS[group.unit] - 1) * entries.grams[group.entries]
    added = sums(where.astype(np.int64), more[:, None] * np.nan_to_num(entries.per_gram[group.entries]), len(rows))
    meant_totals = entries.totals[rows] + added
    sound = _sound(meant_totals)
    if sound.sum() < LEAST_ROWS:
        return None
    rows, meant_totals = rows[sound], meant_totals[sound]
    context = seen.context.rows(rows)
    gain = terms(seen.habits, meant_totals, context).sum - terms(seen.habits, entries.totals[rows], context).sum
    helped = rows[gain > _GAIN]
    if len(helped) < LEAST_ROWS:
        return None
    concerned = np.unique(entries.recipe[_alike(entries, group)])
    stretch = concerned[(concerned >= helped[0]) & (concerned <= helped[-1])]
    if len(helped) < _UNBROKEN * len(stretch):
        return None
    chosen = group.entries[np.isin(entries.recipe[group.entries], helped)]
    return replace(group, entries=chosen, recipes=helped.astype(np.int64))


def _alike(entries: Entries, group: Group) -> Mask:
    """Tell which amounts are of the same name and unit, fitting or not."""
    of_unit = entries.unit == group.unit
    roles = {"the lye": (ALKALI,), "the liquid": (LIQUID,), "the fats": (FAT,), "lye and liquid": (ALKALI, LIQUID)}
    if group.name in roles:
        return np.asarray(of_unit & np.isin(entries.role, roles[group.name]))
    codes, keys = entries.fat_codes
    return np.asarray(of_unit & (codes == keys.index(group.name)))


def _sound(totals: Floats) -> Mask:
    seen = quantities(totals)
    superfat = 100 * (1 - np.exp(seen.superfat))
    concentration = 100 / (1 + np.exp(seen.water))
    fits_lye = np.isnan(superfat) | ((superfat > -3) & (superfat < 25))
    fits_water = np.isnan(concentration) | ((concentration > 18) & (concentration < 48))
    return np.asarray(fits_lye & fits_water)
