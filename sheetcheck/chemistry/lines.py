"""The amounts of a book as arrays, one entry for each amount, with what the tables say about it."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.chemistry.strength import with_strengths
from sheetcheck.chemistry.table import ADDITIVE, ALKALI, FAT, KOH, LIQUID, NAOH, ROLES, Codes, Mask, Table
from sheetcheck.reference import constants
from sheetcheck.settings import Settings

STRONGEST_SOLUTION = 0.6  # alkali weaker than this is a solution: no solid is sold so weak, no lye at hand is stronger


@dataclass(frozen=True, slots=True)
class Lines:
    """The amounts of a book. A share that is not known is NaN and makes the total of its recipe NaN."""

    recipes: int
    recipe: Codes  # position of the recipe in the frame of recipes
    grams: Floats  # NaN where unread; 0 where unread and without bearing on lye and water
    is_fat: Mask
    is_alkali: Mask
    is_liquid: Mask
    is_naoh: Mask
    is_koh: Mask
    is_silent: Mask  # takes up or brings lye, and no one can say how much: sodium silicate
    strength: Floats  # of alkali: share of pure alkali, NaN for KOH of unstated purity
    low: Floats  # g NaOH that 1 g takes up
    typical: Floats
    high: Floats
    published: Floats
    doubtful: Floats  # g NaOH that 1 g may take up besides
    fat: Floats  # share of fat that is not listed as a fat
    water: Floats  # share of water
    sugar: Floats
    alcohol: Floats
    density: Floats  # g/mL; 1 for additions of unknown density that have no bearing on lye and water
    source_of_spread: Codes

    def of(self, share: Floats) -> Floats:
        """Return grams times a share: nothing where the share is none, whether the amount was read or not."""
        return np.where(share == 0, 0.0, self.grams * share)

    def total(self, per_line: Floats, which: Mask | None = None) -> Floats:
        """Add up a value of each line by recipe."""
        recipe, value = (self.recipe, per_line) if which is None else (self.recipe[which], per_line[which])
        return np.bincount(recipe, value, self.recipes).astype(np.float64)

    def any(self, which: Mask) -> Mask:
        """Return the recipes that have a line of this kind."""
        return np.bincount(self.recipe[which], minlength=self.recipes) > 0

    def spread(self) -> tuple[Floats, Floats]:
        """Return how far down and up the demand of each recipe may be from typical [g NaOH].

        Distances are added for one fat, and combined in quadrature over different fats.
        """
        down, up = self.typical - self.low, self.high - self.typical
        which = ((down != 0) | (up != 0)) & (self.grams != 0)
        fats = self.source_of_spread.max(initial=0) + 1
        term, place = np.unique(self.recipe[which] * fats + self.source_of_spread[which], return_inverse=True)

        def combined(distance: Floats) -> Floats:
            added = np.bincount(place, self.grams[which] * distance[which], len(term))
            return np.sqrt(np.bincount(term // fats, added**2, self.recipes))

        return combined(down), combined(up)


def read_lines(index: pd.Index, components: pd.DataFrame, table: Table, settings: Settings) -> Lines:
    """Look up every amount of a book in the tables.

    A substance that is known counts as what it is, whatever column it stands in; one that is not counts as its role,
    with its shares unknown where it bears on lye or water. A liquid that is called just that is taken as water.
    """
    components = with_strengths(components)
    code = _plain_liquid_is_water(table.codes(components["substance"]), components, table)
    stated = keep("purity", components["strength"].to_numpy(dtype=np.float64))
    role, meant = pd.Categorical(components["role"], categories=ROLES).codes, table.role[code]
    is_silent = table.refused[code] & (meant == ADDITIVE)
    bears = components["bears"].to_numpy(dtype=bool) | is_silent
    grams = keep("mass", components["grams"].to_numpy(dtype=np.float64))
    is_fat = (role == FAT) | ((meant == FAT) & (role != LIQUID))
    is_alkali = (role == ALKALI) | (meant == ALKALI)
    is_naoh, is_koh = (np.equal(code, table.number(key)) for key in (NAOH, KOH))
    strength = np.where(np.isnan(stated), _usual_strength(is_naoh, is_koh, settings), stated)
    pure_acid = table.per_g_pure[code] * stated
    by_strength = ~np.isnan(pure_acid)

    takes_none, dry = is_alkali | is_silent, is_alkali | is_fat

    def share(values: Floats, *, none: Mask = takes_none, where_strength_is_stated: Floats | None = None) -> Floats:
        found = values[code]
        if where_strength_is_stated is not None:
            found = np.where(by_strength, where_strength_is_stated, found)
        return np.where(none | (np.isnan(found) & ~bears), 0.0, found)

    return Lines(
        recipes=len(index),
        recipe=index.get_indexer(pd.Index(components["recipe"])),
        grams=np.where(np.isnan(grams) & ~bears, 0.0, grams),
        is_fat=is_fat,
        is_alkali=is_alkali,
        is_liquid=role == LIQUID,
        is_naoh=is_naoh,
        is_koh=is_koh,
        is_silent=is_silent,
        strength=strength,
        low=share(table.low, where_strength_is_stated=pure_acid),
        typical=share(table.typical, where_strength_is_stated=pure_acid),
        high=share(table.high, where_strength_is_stated=pure_acid),
        published=share(table.published, where_strength_is_stated=pure_acid),
        doubtful=np.nan_to_num(table.doubtful[code]),
        fat=share(table.fat, none=dry),
        water=np.where(
            is_alkali,
            np.where(strength < STRONGEST_SOLUTION, 1 - strength, 0.0),
            share(table.water, none=dry, where_strength_is_stated=1 - stated),
        ),
        sugar=share(table.sugar, none=dry),
        alcohol=share(table.alcohol, none=dry),
        density=np.where(~bears & np.isnan(table.density[code]), 1.0, table.density[code]),
        source_of_spread=table.source_of_spread[code],
    )


def _plain_liquid_is_water(code: Codes, components: pd.DataFrame, table: Table) -> Codes:
    """Take a liquid that is known to be one, and no more, as water: a column headed `Liquid`."""
    plain = (
        (code < 0) & (components["role"] == "liquid").to_numpy() & (components["name_certainty"] == "exact").to_numpy()
    )
    return np.where(plain, table.number("water"), code)


def _usual_strength(is_naoh: Mask, is_koh: Mask, settings: Settings) -> Floats:
    koh = np.nan if settings.koh_purity is None else settings.koh_purity / 100
    return np.where(is_naoh, settings.naoh_purity / 100, np.where(is_koh, koh, np.nan))


def weakest(lines: Lines) -> Floats:
    """Return the strength of each alkali, with KOH of unstated purity at the weakest that is sold."""
    unknown = lines.is_koh & np.isnan(lines.strength)
    return np.where(unknown, constants().koh_purity_low / 100, lines.strength)


def purest(lines: Lines) -> Floats:
    """Return the strength of each alkali, with KOH of unstated purity taken as pure."""
    return np.where(lines.is_koh & np.isnan(lines.strength), 1.0, lines.strength)
