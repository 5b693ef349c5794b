"""The amounts of a book as arrays, one entry for each amount, with what the tables say about it."""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.chemistry.said import said_beside
from sheetcheck.chemistry.strength import with_strengths
from sheetcheck.chemistry.table import ACID, ADDITIVE, ALKALI, FAT, KOH, LIQUID, NAOH, ROLES, Codes, Mask, Table
from sheetcheck.model.frames import DEMAND_OFF
from sheetcheck.reference import constants
from sheetcheck.settings import Settings

_STRETCH = 200_000  # lines
STRONGEST_SOLUTION = 0.6  # alkali weaker than this is a solution: no solid is sold so weak, no lye at hand is stronger


@dataclass(frozen=True, slots=True)
class Lines:
    """The amounts of a book. A share that is not known is NaN and makes the total of its recipe NaN.

    What the tables say is looked up when it is asked for: of a large book, all of it at once would fill the memory.
    """

    recipes: int
    recipe: Codes  # position of the recipe in the frame of recipes
    grams: Floats  # NaN where unread; 0 where unread and without bearing on lye and water
    is_fat: Mask
    is_alkali: Mask
    is_liquid: Mask
    is_naoh: Mask
    is_koh: Mask
    is_unnamed_alkali: Mask  # lye, and nothing says which
    is_acid: Mask
    in_words: Mask  # name and amount are the words of one cell: `with vinegar instead of water`
    is_silent: Mask  # takes up or brings lye, and no one can say how much: sodium silicate
    bears: Mask
    strength: Floats  # of alkali: share of pure alkali, NaN for KOH of unstated purity
    stated: Floats  # the strength that the sheet states, NaN where it states none
    off: Floats  # how far off the demand may be since the name leaves two fats open [g NaOH for 1 g]
    fat_said: Floats  # the share of fat that the sheet states of a liquid, NaN where it states none
    least: Floats  # factors on what 1 g takes up, by words beside its name: `(raw)`, `light`, `diluted`
    most: Floats
    table: Table
    code: npt.NDArray[np.int16]  # number of the substance in the table

    @property
    def low(self) -> Floats:
        """Lowest demand [g NaOH that 1 g takes up]."""
        return np.maximum(self._demand(self.table.low) - self.off, 0.0)

    @property
    def typical(self) -> Floats:
        """Typical demand [g NaOH that 1 g takes up]."""
        return self._demand(self.table.typical)

    @property
    def high(self) -> Floats:
        """Highest demand [g NaOH that 1 g takes up]."""
        return self._demand(self.table.high) + self.off

    @property
    def published(self) -> Floats:
        """Typical demand by the published value [g NaOH that 1 g takes up]."""
        return self._demand(self.table.published)

    @property
    def doubtful(self) -> Floats:
        """What 1 g may take up besides [g NaOH]."""
        of_table = np.where(self._is_said, 0.0, np.nan_to_num(self.table.doubtful[self.code]))
        if not np.any(self.least < self.most):
            return of_table
        whole = np.nan_to_num(self._whole(self.table.typical))
        return np.where(self.least < self.most, (whole + of_table) * self.most - whole * self.least, of_table)

    @property
    def fat(self) -> Floats:
        """Share of fat that is not listed as a fat."""
        by_table = self.table.fat[self.code] * self.least
        return self._inside(np.where(np.isnan(self.fat_said), by_table, self.fat_said))

    @property
    def water(self) -> Floats:
        """Share of water."""
        of_acid = np.where(self._pure_acid_is_known, 1 - self.stated, self.table.water[self.code])
        of_lye = np.where(self.strength < STRONGEST_SOLUTION, 1 - self.strength, 0.0)
        fat = self.table.fat[self.code]
        more = np.where(np.isnan(self.fat_said), 1.0, (1 - self.fat_said) / (1 - np.nan_to_num(fat)))
        return np.where(self.is_alkali, of_lye, self._inside(np.minimum(of_acid * more, 1.0)))

    @property
    def sugar(self) -> Floats:
        """Share of sugar."""
        return self._inside(self.table.sugar[self.code])

    @property
    def alcohol(self) -> Floats:
        """Share of alcohol."""
        return self._inside(self.table.alcohol[self.code])

    @property
    def density(self) -> Floats:
        """Density [g/mL]; 1 for additions of unknown density that have no bearing on lye and water."""
        found = self.table.density[self.code]
        return np.where(~self.bears & np.isnan(found), 1.0, found)

    @property
    def source_of_spread(self) -> Codes:
        """The fat whose range of demand it is: lines with the same number are not independent."""
        return self.table.source_of_spread[self.code]

    @property
    def _pure_acid_is_known(self) -> Mask:
        return ~np.isnan(self.table.per_g_pure[self.code] * self.stated)

    @property
    def _is_said(self) -> Mask:
        """Whether the sheet says how much of it there is in a gram: the strength of an acid, the fat in a cream."""
        return self._pure_acid_is_known | ~np.isnan(self.fat_said)

    def _demand(self, values: Floats) -> Floats:
        return self._whole(values) * self.least

    def _whole(self, values: Floats) -> Floats:
        """Return what 1 g takes up by the table, or by the strength or fat that is said."""
        pure_acid = self.table.per_g_pure[self.code] * self.stated
        found = np.where(np.isnan(pure_acid), values[self.code], pure_acid)
        of_fat = self.table.per_g_fat[self.code] * self.fat_said
        found = np.where(np.isnan(of_fat), found, of_fat)
        return np.where(self.is_alkali | self.is_silent, 0.0, self._of_what_bears(found))

    def _inside(self, share: Floats) -> Floats:
        return np.where(self.is_alkali | self.is_fat, 0.0, self._of_what_bears(share))

    def _of_what_bears(self, share: Floats) -> Floats:
        return np.where(np.isnan(share) & ~self.bears, 0.0, share)

    def of(self, share: Floats) -> Floats:
        """Return grams times a share: nothing where the share is none, whether the amount was read or not."""
        return np.where(share == 0, 0.0, self.grams * share)

    def total(self, per_line: Floats, which: Mask | None = None) -> Floats:
        """Add up a value of each line by recipe."""
        recipe, value = (self.recipe, per_line) if which is None else (self.recipe[which], per_line[which])
        return np.bincount(recipe, value, self.recipes).astype(np.float64)

    def added(self, total: "Callable[[Lines], Floats]") -> Floats:
        """Add up a total over stretches of the lines: what it looks up for all at once would fill the memory."""
        found = np.zeros(self.recipes)
        for start in range(0, len(self.code), _STRETCH):
            found += total(self.only(slice(start, start + _STRETCH)))
        return found

    def any(self, which: Mask) -> Mask:
        """Return the recipes that have a line of this kind."""
        return np.bincount(self.recipe[which], minlength=self.recipes) > 0

    def spread(self) -> tuple[Floats, Floats]:
        """Return how far down and up the demand of each recipe may be from typical [g NaOH].

        Distances are added for one fat, and combined in quadrature over different fats.
        """
        down, up = np.zeros(self.recipes), np.zeros(self.recipes)
        source = self.source_of_spread
        for fat in np.flatnonzero(np.bincount(source)):  # one fat at a time: all at once would fill the memory
            lines = self.only((source == fat) & (self.grams != 0))
            typical = lines.typical
            down += lines.total(lines.of(typical - lines.low)) ** 2
            up += lines.total(lines.of(lines.high - typical)) ** 2
        return np.sqrt(down), np.sqrt(up)

    def only(self, which: Mask | slice) -> "Lines":
        """Return some of the lines."""
        of_each_line = {f.name: getattr(self, f.name) for f in fields(self) if f.name not in ("recipes", "table")}
        return replace(self, **{name: values[which] for name, values in of_each_line.items()})


def read_lines(index: pd.Index, components: pd.DataFrame, table: Table, settings: Settings) -> Lines:
    """Look up every amount of a book in the tables.

    A substance that is known counts as what it is, whatever column it stands in; one that is not counts as its role,
    with its shares unknown where it bears on lye or water. A liquid that is called just that is taken as water.
    """
    components = with_strengths(components)
    said = said_beside(components)
    code = _plain_liquid_is_water(table.codes(components["substance"]), components, table)
    strength = components["strength"].to_numpy(dtype=np.float64)
    stated = keep("purity", np.where(np.isnan(strength), said.strength, strength))
    role, meant = pd.Categorical(components["role"], categories=ROLES).codes, table.role[code]
    is_silent = table.refused[code] & (meant == ADDITIVE)
    bears = components["bears"].to_numpy(dtype=bool) | is_silent
    grams = keep("mass", components["grams"].to_numpy(dtype=np.float64))
    is_fat = (role == FAT) | ((meant == FAT) & (role != LIQUID))
    is_alkali = (role == ALKALI) | (meant == ALKALI)
    is_naoh, is_koh = (np.equal(code, table.number(key)) for key in (NAOH, KOH))
    return Lines(
        recipes=len(index),
        recipe=index.get_indexer(pd.Index(components["recipe"])),
        grams=np.where(np.isnan(grams) & ~bears, 0.0, grams),
        is_fat=is_fat,
        is_alkali=is_alkali,
        is_liquid=role == LIQUID,
        is_naoh=is_naoh,
        is_koh=is_koh,
        is_unnamed_alkali=(role == ALKALI) & (code < 0),
        is_acid=(role == ACID) | (meant == ACID),
        in_words=_in_words(components),
        is_silent=is_silent,
        bears=bears,
        strength=np.where(np.isnan(stated), _usual_strength(is_naoh, is_koh, settings), stated),
        stated=stated,
        off=np.nan_to_num(components[DEMAND_OFF].to_numpy()) if DEMAND_OFF in components else np.zeros(len(components)),
        fat_said=said.fat,
        least=said.least,
        most=said.most,
        table=table,
        code=code.astype(np.int16),
    )


def _plain_liquid_is_water(code: Codes, components: pd.DataFrame, table: Table) -> Codes:
    """Take a liquid that is known to be one, and no more, as water: a column headed `Liquid`."""
    plain = (
        (code < 0) & (components["role"] == "liquid").to_numpy() & (components["name_certainty"] == "exact").to_numpy()
    )
    return np.where(plain, table.number("water"), code)


def _in_words(components: pd.DataFrame) -> Mask:
    """Tell which amounts stand in the cell that names them; none where the frame does not say where names stand."""
    if not {"row", "column", "name_row", "name_column"} <= set(components):
        return np.zeros(len(components), dtype=bool)
    same = (components["row"] == components["name_row"]) & (components["column"] == components["name_column"])
    return same.to_numpy(dtype=bool)


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
