"""One cause for a whole book: its lye was reckoned in another way than it says.

Superfat taken off twice, or added; purity left out of account; another value for one fat; or lye that is off by the
same share everywhere. All are read from how far the lye of sound rows lies from what the stated superfat gives.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sheetcheck.reference import constants, substances
from sheetcheck.repairs.entries import ALKALI, FAT, FATS, MASS, MASS_UNITS, Entries, Floats, Ints
from sheetcheck.repairs.habits import Habits, quantities
from sheetcheck.repairs.stated import Statements
from sheetcheck.rules.support.wording import mass, percent, plain
from sheetcheck.words import later, tr

_ROWS = 5
_OFF = 0.03  # of the logarithm of lye: nearer is within what fats vary by
_NEAR = 0.012  # the same: scatter of rows that share a cause
_NAMED = 0.02  # the same: distance that a cause may leave unexplained, as makers' values for fats differ
_MOST = 0.7  # share of the rows that a cause has to explain


@dataclass(frozen=True)
class Cause:
    """What seems to be behind, for which rows (positions), and whether it leaves less margin than stated."""

    sentence: str  # with `{count}` for the number of rows
    parts: Mapping[str, str]
    about: str  # the fat or unit that it is about
    look_at: str
    rows: Ints
    less_margin: bool
    explains: bool  # whether these rows need no other explanation


def causes(entries: Entries, statements: Statements, habits: Habits) -> list[Cause]:
    """Return the causes found, the one about stated superfat first."""
    return [*_of_superfat(entries, statements), *_of_values(entries, statements, habits), *_of_size(entries)]


def _of_superfat(entries: Entries, statements: Statements) -> list[Cause]:
    """Compare how far lye lies from the stated superfat with what each known way of going wrong gives."""
    stated = np.where((statements.superfat > 0) & (statements.superfat < 40), statements.superfat, np.nan) / 100
    off = quantities(entries.totals).superfat - np.log1p(-stated)
    rows = np.flatnonzero(np.isfinite(off) & (np.abs(off) < 0.5))
    if len(rows) < _ROWS or abs(float(np.median(off[rows]))) < _OFF:
        return []
    share = stated[rows]
    ways = (
        (later("The superfat seems to have been taken off twice."), np.log1p(-share)),
        (
            later("The superfat seems to have been added to the lye and not taken off."),
            np.log1p(share) - np.log1p(-share),
        ),
        (later("No superfat seems to have been taken off."), -np.log1p(-share)),
        (later("The lye seems to have been reckoned as if it were pure."), np.log(_purity(entries)[rows])),
    )
    explained = [_Way(name, rows, off[rows] - given) for name, given in ways]
    best = min(explained, key=lambda way: abs(way.middle) + way.scatter)
    if not best.holds or abs(best.middle) > _NAMED:
        best = _Way("", rows, off[rows])
    return [best.cause(off)] if best.holds else []


@dataclass(frozen=True)
class _Way:
    """A way in which lye may have been reckoned, with what it leaves unexplained of each row's distance."""

    name: str
    rows: Ints
    rest: Floats

    @property
    def middle(self) -> float:
        return float(np.median(self.rest))

    @property
    def scatter(self) -> float:
        return 1.4826 * float(np.median(np.abs(self.rest - self.middle)))

    @property
    def like(self) -> Ints:
        """Rows that it explains."""
        return self.rows[np.abs(self.rest - self.middle) < 3 * _NEAR]

    @property
    def holds(self) -> bool:
        return self.scatter < _NEAR and len(self.like) >= max(_ROWS, _MOST * len(self.rows))

    def cause(self, off: Floats) -> Cause:
        middle = float(np.median(off[self.like]))
        parts = {"amount": percent(100 * abs(float(np.expm1(middle)))), "how": tr(self.name)}
        sentence = _LESS if middle < 0 else _MORE
        look_at = tr("how the lye was reckoned, in one of these recipes")
        return Cause(sentence, parts, self.name, look_at, self.like, less_margin=middle > 0, explains=True)


_LESS = later("In {count} recipes the lye is about {amount} less than the stated superfat gives. {how}")
_MORE = later("In {count} recipes the lye is about {amount} more than the stated superfat gives. {how}")


def _purity(entries: Entries) -> Floats:
    """Share of pure alkali in what each recipe calls its lye, 1 where it is taken as pure."""
    grams = np.bincount(entries.recipe, np.where(entries.role == ALKALI, entries.grams, 0.0), len(entries.index))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = entries.totals[:, MASS] / grams
    solution = share < _WEAKEST_SOLID
    return np.where(np.isfinite(share) & ~solution, np.clip(share, 0.5, 1), 1.0)


_WEAKEST_SOLID = 0.6


_MOSTLY = 0.5  # of the recipes
_BEYOND, _BEYOND_UNSTATED = 0.015, 0.035  # share by which a value lies outside its range


def _of_values(entries: Entries, statements: Statements, habits: Habits) -> list[Cause]:
    """Fats for which the maker's value lies outside what is published; less surely known where no superfat is."""
    codes, keys = entries.fat_codes
    stated = np.isfinite(statements.superfat).mean() > _MOSTLY
    margin = _BEYOND if stated else _BEYOND_UNSTATED
    found = []
    for code, key in enumerate(keys[: len(habits.fat_values)]):
        fat = substances().get(key)
        if fat is None:
            continue
        own = fat.sap_typical * float(habits.fat_values[code])
        if fat.sap_low * (1 - margin) <= own <= fat.sap_high * (1 + margin):
            continue
        rows = np.unique(entries.recipe[codes == code])
        if len(rows) >= _ROWS:
            found.append(_value(key, own, rows.astype(np.int64)))
    return found


def _value(key: str, own: float, rows: Ints) -> Cause:
    fat = substances()[key]
    ratio = constants().naoh_per_koh / 1000
    used, low, high = (plain(value * ratio, 3) for value in (own, fat.sap_low, fat.sap_high))
    return Cause(
        _OTHER_VALUE,
        {"fat": fat.name, "used": used, "low": low, "high": high},
        fat.name,
        tr("which value for {fat} you use, and where it comes from", fat=fat.name),
        rows,
        less_margin=own > fat.sap_high,
        explains=False,
    )


_OTHER_VALUE = later(
    "{count} recipes with {fat} seem to be reckoned with about {used} g of sodium hydroxide a gram; "
    "published values are {low} to {high}."
)


def _of_size(entries: Entries) -> list[Cause]:
    """Find a book whose batches are all of a size that only another unit gives: its ratios hold, its amounts do not."""
    fats = entries.totals[:, FATS]
    rows = np.flatnonzero(np.nan_to_num(fats) > 0)
    if len(rows) < _ROWS:
        return []
    middle = float(np.median(fats[rows]))
    for own, other in (("g", "oz"), ("oz", "g"), ("kg", "g"), ("lb", "oz")):
        meant = middle * MASS_UNITS[other] / MASS_UNITS[own]
        if _SIZES[0] < middle < _SIZES[1] or not _USUAL[0] < meant < _USUAL[1]:
            continue
        if np.mean(entries.unit[entries.role == FAT] == own) > _NEARLY_ALL:
            parts = {"amount": mass(middle, own), "unit": own, "other": other, "meant": mass(meant, own)}
            look_at = tr("the unit in the headings")
            return [Cause(_OTHER_SIZE, parts, own, look_at, rows, less_margin=True, explains=False)]
    return []


_OTHER_SIZE = later(
    "All batches are of about {amount} of fats, read as {unit}; as {other} it would be {meant}. "
    "The recipes are in balance either way."
)
_SIZES = (80.0, 25_000.0)  # g of fats: outside no one makes all batches at home; common practice, no source
_USUAL = (200.0, 8_000.0)
_NEARLY_ALL = 0.9

__all__ = ["Cause", "causes"]
