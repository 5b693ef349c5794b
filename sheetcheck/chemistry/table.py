"""The substances of the reference tables as arrays, so that a book's amounts look theirs up by number."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.acids import MAY_TAKE_UP
from sheetcheck.chemistry.demand import naoh_per_g
from sheetcheck.chemistry.ranges import Floats
from sheetcheck.model import OwnValue
from sheetcheck.reference import Substance, substances

Codes = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]

ROLES = ("fat", "alkali", "liquid", "acid", "additive", "unknown")
FAT, ALKALI, LIQUID, ACID, ADDITIVE, UNKNOWN = range(len(ROLES))
NAOH = "sodium hydroxide"
KOH = "potassium hydroxide"


@dataclass(frozen=True)
class Table:
    """One entry for each substance, and a last one, found by the code -1, for what is not known."""

    keys: pd.Index
    role: Codes  # number in ROLES of what it is, or was meant as
    refused: Mask  # recognised, and it cannot be computed with
    low: Floats  # g NaOH that 1 g takes up, all told
    typical: Floats
    high: Floats
    published: Floats  # typical by the published value, where `typical` is the maker's own
    per_g_pure: Floats  # of an acid: g NaOH that 1 g of it takes up when pure; NaN for anything else
    per_g_fat: Floats  # g NaOH that 1 g of the fat in a liquid takes up; NaN for what has none
    doubtful: Floats  # g NaOH that 1 g may take up besides, and may not: borax, vinegar of unknown strength
    fat: Floats  # share of fat that is not listed as a fat: 0 for fats
    water: Floats
    sugar: Floats
    alcohol: Floats
    density: Floats  # g/mL
    source_of_spread: Codes  # the fat whose range it is: terms with the same number are not independent

    def codes(self, keys: pd.Series) -> Codes:
        """Return the number of each key; -1 for None and for a key that is not in the tables."""
        words = keys.astype("category").cat
        return np.append(self.keys.get_indexer(words.categories), -1)[words.codes]

    def number(self, key: str) -> int:
        """Return the number of one substance."""
        return int(self.keys.get_indexer(pd.Index([key]))[0])


@lru_cache(maxsize=16)
def table(own_values: tuple[OwnValue, ...] = ()) -> Table:
    """Build the arrays.

    Parameters
    ----------
    own_values
        The maker's own saponification values, used in place of the typical one. A value outside the published range is
        left out: it would be a way to hide free lye.
    """
    listed = list(substances().values())
    keys = pd.Index([s.key for s in listed])
    known = Known(listed)
    published = known.column("sap_typical")
    typical = _with_own(published, listed, own_values)
    return Table(
        keys=keys,
        role=np.array([*(ROLES.index(s.role) for s in listed), UNKNOWN], dtype=np.intp),
        refused=np.array([*(s.kind == "refused" for s in listed), False]),
        low=_and_unknown(known.demand(known.column("sap_low"), "low")),
        typical=_and_unknown(known.demand(typical)),
        high=_and_unknown(known.demand(known.column("sap_high"), "high")),
        published=_and_unknown(known.demand(published)),
        per_g_pure=_and_unknown(known.per_g_pure()),
        per_g_fat=_and_unknown(np.where(known.is_fat, np.nan, naoh_per_g(typical))),
        doubtful=_and_unknown(known.doubtful()),
        fat=_and_unknown(np.where(known.is_fat, 0.0, known.fat)),
        water=_and_unknown(known.water()),
        sugar=_and_unknown(np.nan_to_num(known.column("sugar"))),
        alcohol=_and_unknown(np.nan_to_num(known.column("alcohol"))),
        density=_and_unknown(known.column("density")),
        source_of_spread=np.array([*(_whose_range(s, listed) for s in listed), len(listed)], dtype=np.intp),
    )


class Known:
    """The substances that are known, with what is missing in their rows filled in where nothing is meant by it."""

    def __init__(self, listed: Sequence[Substance]) -> None:
        self.listed = listed
        self.is_fat = np.array([s.role == "fat" for s in listed])
        self.refused = np.array([s.kind == "refused" for s in listed])
        self.fat = np.where(self.is_fat, 1.0, np.nan_to_num(self.column("fat")))

    def column(self, name: str) -> Floats:
        """Return one figure of all substances."""
        return np.array([getattr(s, name) for s in self.listed], dtype=np.float64)

    def demand(self, saponification_value: Floats, end: str = "") -> Floats:
        """Return the g NaOH that 1 g takes up: its fat by saponification value, its acid by what it neutralises.

        Of what is refused it is not known, unless its row says that it takes up none: alcohol. At the low or high `end`
        of what is sold it is that of the least or most fat and acid; what has no usual share has no high end, all above
        the least is in doubt.
        """
        of_fat = np.where(self.fat > 0, self._fat_at(end) * naoh_per_g(saponification_value), 0.0)
        of_acid = np.where(self.is_fat, 0.0, np.nan_to_num(self.column("naoh_per_g") * self._acid_at(end)))
        unknown = self.refused & np.isnan(self.column("naoh_per_g"))
        return np.where(unknown, np.nan, of_fat + of_acid)

    def doubtful(self) -> Floats:
        """Return the g NaOH that 1 g may take up besides what it surely does."""
        most = np.where(self.fat > 0, self.column("fat_high") * naoh_per_g(self.column("sap_typical")), 0.0)
        most += np.nan_to_num(self.per_g_pure() * self.column("strength_high"))
        unknown = np.array([s.unknown for s in self.listed])
        known = np.array([MAY_TAKE_UP.get(s.key, 0.0) for s in self.listed])
        return np.where(unknown, most - self.demand(self.column("sap_typical")), known)

    def _fat_at(self, end: str) -> Floats:
        """Return the share of fat at an end of what is sold."""
        return np.where(self._no_end(end) | self.is_fat, self.fat, self.column(f"fat_{end}" if end else "fat"))

    def _acid_at(self, end: str) -> Floats:
        """Return the strength at an end of what is sold, as a factor on the usual one; 1 for what is no acid."""
        factor = self.column(f"strength_{end}" if end else "usual_strength") / self.column("usual_strength")
        return np.where(self._no_end(end) | np.isnan(factor), 1.0, factor)

    def _no_end(self, end: str) -> Mask:
        return np.array([not end or (end == "high" and s.unknown) for s in self.listed])

    def per_g_pure(self) -> Floats:
        """Return the g NaOH that 1 g of the pure acid takes up; NaN for anything but an acid."""
        is_acid = np.array([s.kind == "acid" for s in self.listed])
        return np.where(is_acid, self.column("naoh_per_g") / self.column("usual_strength"), np.nan)

    def water(self) -> Floats:
        """Return the share of water: not known for a refused liquid, none where a row says nothing of it."""
        unknown = self.refused & ~self.is_fat
        return np.where(unknown, np.nan, np.nan_to_num(self.column("water")))


def _and_unknown(values: Floats) -> Floats:
    return np.append(values, np.nan)


def _with_own(published: Floats, listed: Sequence[Substance], own_values: Sequence[OwnValue]) -> Floats:
    numbers = {s.key: number for number, s in enumerate(listed)}
    values = published.copy()
    for own in own_values:
        number = numbers.get(own.substance)
        if number is not None and listed[number].sap_low <= own.mg_koh_per_g <= listed[number].sap_high:
            values[number] = own.mg_koh_per_g
    return values


def _whose_range(substance: Substance, listed: Sequence[Substance]) -> int:
    """Return the number of the fat whose range this is; all milks share that of milk fat."""
    numbers = {s.key: number for number, s in enumerate(listed)}
    if substance.role != "fat" and substance.fat > 0:
        for other in listed:
            if (other.role == "fat" or other.fat > 0) and _range_of(other) == _range_of(substance):
                return numbers[other.key]
    return numbers[substance.key]


def _range_of(substance: Substance) -> tuple[float, float, float]:
    return substance.sap_low, substance.sap_typical, substance.sap_high
