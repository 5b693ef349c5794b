"""Which unit an amount is in, where several places may say it, and what to take where none does.

Order of trust: the text of the cell, its number format, a unit column, the heading, a note on the sheet (the nearest
above), the setting. Where no place says anything and no unit is set, the sizes of the batches of the whole book tell.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.assemble import own_units
from sheetcheck.reading.units.units import to_grams
from sheetcheck.words import tr

if TYPE_CHECKING:
    import pandas as pd

Said = tuple[tuple[str, str], ...]  # (where from, unit), in order of trust

_TRUST = ("cell text", "number format", "unit column", "heading", "sheet note", "setting")
_SAME_SCALE = ({"oz", "lb", "lb oz", "st"}, {"g", "kg", "mg"})

# Fats of one batch in a home workshop, common practice, no source: about 200 g to 10 kg.
_LEAST_FATS_G, _MOST_FATS_G = 150.0, 20_000.0
_USUAL_FATS_G = 1_200.0
_ENOUGH_RECIPES = 3
_TITLE_ABOVE = 2  # rows above its headings in which a table is titled


def resolve(said: Said) -> tuple[str | None, str | None, Said | None]:
    """Choose the unit: `said` in any order of places -> unit, where from, and all that was said where it disagrees."""
    if not said:
        return None, None, None
    ranked = tuple(sorted(said, key=lambda s: _TRUST.index(s[0])))
    place, unit = ranked[0]
    contrary = tuple(s for s in ranked[1:] if _contradicts(place, unit, s[1]))
    return unit, place, (ranked[0], *contrary) if contrary else None


def _contradicts(place: str, unit: str, other: str) -> bool:
    if unit == other:
        return False
    # "2 lb 3 oz" typed in an ounce column says itself what it is: nobody misreads it.
    return not (place == "cell text" and any(unit in scale and other in scale for scale in _SAME_SCALE))


@dataclass(slots=True)
class SheetNotes:
    """Places of a sheet that state the unit of what stands below them, in order of rows."""

    rows: list[int] = field(default_factory=list)
    units: list[str] = field(default_factory=list)
    onward: bool = False  # whether one of them stands among recipes: it speaks of what follows
    title: str | None = None  # what the sheet's own name says
    sizes: list[float] = field(default_factory=list)  # fats of a usual batch of each table read so far [g]

    def add(self, row: int, unit: str) -> None:
        """Keep what a row states."""
        at = int(np.searchsorted(self.rows, row, side="right"))
        self.rows.insert(at, row)
        self.units.insert(at, unit)

    def at(self, row: int) -> str | None:
        """Return the unit that the nearest note above (else the sheet's only note, else its name) states for a row."""
        at = int(np.searchsorted(self.rows, row, side="right")) - 1
        if at >= 0:
            return self.units[at]
        return self.units[0] if len(self.units) == 1 and not self.onward else self.title

    def below(self, heading_row: int, row: int) -> str | None:
        """Return the unit stated between a heading and a row: such a note is newer than the heading."""
        at = int(np.searchsorted(self.rows, row, side="right")) - 1
        return self.units[at] if at >= 0 and self.rows[at] > heading_row else None

    def go_on(self, heading_row: int, first: int, size: float) -> None:
        """Settle, in place, whether a unit stated over one table goes on for the next, which states none of its own.

        Else what the head of the sheet states holds again. Batches of one maker are much alike: the unit is taken with
        which those of this table are nearer to those of the tables above it.

        Parameters
        ----------
        heading_row, first
            Row of the headings of the table, and of the first table of the sheet.
        size
            Fats of a usual batch, as a bare number.
        """
        at_head = self.units[0] if self.rows and self.rows[0] < first else self.title
        above = self.at(heading_row)
        own = any(heading_row - _TITLE_ABOVE <= row <= heading_row for row in self.rows)
        if not own and at_head and above and at_head != above and size > 0 and self.sizes:
            usual = float(np.median(self.sizes))
            if _times(size, at_head, usual) < _times(size, above, usual):
                self.add(heading_row, at_head)
        if (unit := self.at(heading_row)) and size > 0:
            self.sizes.append(to_grams(size, unit))


def _times(size: float, unit: str, usual_g: float) -> float:
    """Return how many times larger or smaller than usual a batch is, as a logarithm."""
    return float(abs(np.log(to_grams(size, unit) / usual_g)))


# --------------------------------------------------------------------------- nobody says the unit


@dataclass(frozen=True, slots=True)
class Guess:
    """The unit taken for amounts that have none, and why."""

    unit: str
    why: str
    sheets: frozenset[str]


def fill_in(
    components: pd.DataFrame,
    statements: pd.DataFrame,
    group_of: NDArray[np.int64],
    default_unit: str | None,
    said: Guess | None = None,
) -> list[Guess]:
    """Give a unit to all amounts and totals that have none, in place.

    Parameters
    ----------
    group_of
        The group of each recipe, by its number: the missing units of a group are worked out together.
    said
        What a sheet without recipes says of all amounts; a unit that is set goes before it.

    Returns
    -------
    list of Guess
        One for each unit that was worked out or set.
    """
    lacking = (components["unit"].isna() & components["value"].notna() & components["problem"].isna()).to_numpy()
    totals = _totals_lacking(statements)
    if not lacking.any() and not totals.any():
        return []
    own = np.full(len(group_of), None, dtype=object) if default_unit else own_units(components, len(group_of) - 1)
    said = None if default_unit else said
    chosen = (
        dict.fromkeys(groups_of(group_of), said) if said else _chosen_units(components, lacking, group_of, default_unit)
    )
    of_group = np.array([chosen[int(g)].unit if int(g) in chosen else None for g in group_of], dtype=object)
    unit_of = np.where(own == None, of_group, own)  # noqa: E711 - compared element by element
    for frame, rows in ((components, lacking), (statements, totals)):
        recipe = frame["recipe"].to_numpy()[rows]
        unit_from = np.where((own[recipe] == None) & bool(said), "sheet note", "setting")  # noqa: E711 - as above
        _write_units(frame, rows, unit_of[recipe], unit_from)
    return _said(components, lacking, own, group_of, chosen)


def _said(
    components: pd.DataFrame,
    lacking: NDArray[np.bool_],
    own: NDArray[np.object_],
    group_of: NDArray[np.int64],
    chosen: dict[int, Guess],
) -> list[Guess]:
    """Return what was taken and why, with the sheets it was taken on."""
    recipe, sheet = components["recipe"].to_numpy()[lacking], components["sheet"].to_numpy()[lacking]
    by_row = own[recipe] != None  # noqa: E711 - compared element by element
    said = []
    if by_row.any():
        why = tr("where an amount has no unit, that of the other amounts of its recipe was taken")
        said.append(Guess("", why, frozenset(sheet[by_row])))
    for group, guess in chosen.items():
        sheets = frozenset(sheet[~by_row & (group_of[recipe] == group)])
        if sheets:
            said.append(Guess(guess.unit, guess.why, sheets))
    return said


def _totals_lacking(statements: pd.DataFrame) -> NDArray[np.bool_]:
    totals = statements["kind"].isin(("fats total", "batch total"))
    return (totals & statements["unit"].isna() & statements["value"].notna()).to_numpy()


def _write_units(
    frame: pd.DataFrame, rows: NDArray[np.bool_], units: NDArray[np.object_], unit_from: NDArray[np.str_]
) -> None:
    factor_of = {u: to_grams(1.0, u) for u in set(units.tolist()) if u}
    factors = np.array([factor_of.get(u, np.nan) for u in units.tolist()], dtype=float)
    grams = frame["value"].to_numpy()[rows] * factors
    _write_words(frame, rows, "unit", units)
    if "grams" not in frame:
        frame.loc[rows, "value"] = grams
        return
    frame.loc[rows, "grams"] = grams
    _write_words(frame, rows, "unit_from", unit_from.astype(object))
    other = frame["other_grams"].to_numpy()[rows] * factors  # a second reading of the bare number waits as a number
    frame.loc[rows, "other_grams"] = other


def _write_words(frame: pd.DataFrame, rows: NDArray[np.bool_], column: str, words: NDArray[np.object_]) -> None:
    new = set(words.tolist()) - {None, *frame[column].cat.categories}
    frame[column] = frame[column].cat.add_categories(sorted(new))
    frame.loc[rows, column] = words


def groups_of(group_of: NDArray[np.int64]) -> list[int]:
    """Return the groups that there are, in order."""
    return sorted({int(g) for g in group_of})


def _chosen_units(
    components: pd.DataFrame, lacking: NDArray[np.bool_], group_of: NDArray[np.int64], default_unit: str | None
) -> dict[int, Guess]:
    groups = groups_of(group_of)
    if default_unit:
        why = tr("no unit stands there; {unit} is set", unit=default_unit)
        return {g: Guess(default_unit, why, frozenset()) for g in groups}
    fats = lacking & (components["role"] == "fat").to_numpy()
    if not fats.any():
        fats = lacking
    totals = components[fats].groupby("recipe")["value"].sum()
    doubtful = components[lacking & (components["role"] == "unknown").to_numpy()].groupby("recipe")["value"].sum()
    if doubtful.sum() > totals.sum():  # words still to be weighed: fats, and sums of them
        totals = totals.add(doubtful / 2, fill_value=0.0)
    family = _family(components)
    whole = _unit_for(totals.to_numpy(), family)
    chosen = {}
    of_total = group_of[totals.index.to_numpy()]
    for group in groups:
        own = totals.to_numpy()[of_total == group]
        unit = _unit_for(own, family) if len(own) >= _ENOUGH_RECIPES else whole
        sizes = own if len(own) else totals.to_numpy()
        size = f"{np.median(sizes):g}" if len(sizes) else ""
        why = tr("no unit stands there; fats of about {size} in a batch are most likely {unit}", size=size, unit=unit)
        chosen[group] = Guess(unit, why, frozenset())
    return chosen


def _family(components: pd.DataFrame) -> str | None:
    """Tell whether the amounts of this book that do have a unit are mostly metric or mostly ounces and pounds."""
    imperial = components["unit"].isin(("oz", "lb", "lb oz")).sum()
    metric = components["unit"].isin(("g", "kg")).sum()
    if imperial == metric:
        return None
    return "imperial" if imperial > metric else "metric"


def _unit_for(totals: NDArray[np.float64], family: str | None) -> str:
    """Return the unit in which batches of these sizes are what a home workshop makes."""
    size = float(np.median(totals)) if len(totals) else np.nan
    if not np.isfinite(size) or size <= 0:
        return "oz" if family == "imperial" else "g"
    units = {"imperial": ("oz", "lb"), "metric": ("g", "kg")}.get(family or "", ("g", "oz", "lb", "kg"))
    every = ("g", "oz", "lb", "kg")
    possible = [[u for u in of if _LEAST_FATS_G <= to_grams(size, u) <= _MOST_FATS_G] for of in (units, every)]
    usual = possible[0] or possible[1] or list(every)
    return min(usual, key=lambda u: (abs(np.log(to_grams(size, u) / _USUAL_FATS_G)), usual.index(u)))
