"""The maker's own measures, from her settings: `dipper lard = 205 g`, `small pot = 1.4 L`, `stick = 4 oz`.

What they come to is read by pint, which is loaded only where there are any. They are put in before a sheet is read: a
cell that says `2 dippers` is read as `410 g`, and the reading says so.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sheetcheck.errors import SettingError
from sheetcheck.model import address
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.unit_list import unit_of_spelling
from sheetcheck.reference.tables import FOLDER
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Grid, Kind, Workbook

_EXAMPLE = later("say what weight or volume it is, for example 205 g or 1.4 L")
_COUNT = r"(?P<count>[0-9¼½¾⅓⅔⅛⅜⅝⅞][0-9.,/ ¼½¾⅓⅔⅛⅜⅝⅞]*|an?\b|one\b)\s*"
_ONE = frozenset({"a", "an", "one"})
_PLACES_SHOWN = 6


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure of the maker's own.

    Parameters
    ----------
    name
        In small letters: "dipper".
    substance
        What alone it is a measure of; None where it is one of anything.
    amount, unit
        What it comes to: grams, or millilitres.
    written
        As the settings say it.
    """

    name: str
    substance: str | None
    amount: float
    unit: str
    written: str


def with_own_measures(workbook: Workbook, said: Mapping[str, str]) -> Workbook:
    """Return the workbook with the maker's own measures as weights and volumes, and a notice for each that was met.

    Parameters
    ----------
    said
        What she calls them, alone or with the ingredient they are for, and what they come to.

    Raises
    ------
    SettingError
        A measure that is no weight or volume, or that is a unit already.
    """
    if not said:
        return workbook
    measures = read_measures(said)
    met: defaultdict[Measure, list[str]] = defaultdict(list)

    def note(measure: Measure, grid: Grid, index: int) -> None:
        met[measure].append(f"{grid.name}!{address(int(grid.row[index]), int(grid.column[index]))}")

    grids = tuple(_put_in(grid, measures, note) for grid in workbook.grids)
    return replace(workbook, grids=grids, notices=(*workbook.notices, *(_said(*one) for one in met.items())))


def _said(measure: Measure, places: list[str]) -> str:
    shown = ", ".join(places[:_PLACES_SHOWN]) + (", …" if len(places) > _PLACES_SHOWN else "")
    return tr("Your own measure {measure} was used: {places}.", measure=measure.written, places=shown)


def read_measures(said: Mapping[str, str]) -> tuple[Measure, ...]:
    """Read measures as the settings name them; those of one ingredient come first, the longest names before others."""
    import pint  # noqa: PLC0415 - takes longer to load than a small book to read

    registry: Any = pint.UnitRegistry(None)
    registry.load_definitions((FOLDER / "units.txt").read_text(encoding="utf-8").splitlines())
    found = []
    for called, amount in said.items():
        where = f"units.{called}"
        name, substance = _name(called, where)
        try:
            quantity = registry.Quantity(re.sub(r"^\s*=?\s*", "", amount))
        except Exception as error:  # pint's own, and those of Python's parser that it lets through
            raise SettingError(where, tr(_EXAMPLE)) from error
        unit, of = ("g", "gram") if quantity.check("[mass]") else ("mL", "milliliter")
        if not (quantity.check("[mass]") or quantity.check("[volume]")) or not quantity.m > 0:
            raise SettingError(where, tr(_EXAMPLE))
        if substance is None and name.replace(" ", "_").isidentifier():
            registry.define(f"{name.replace(' ', '_')} = {quantity.m_as(of)!r} * {of}")  # others may build on it
        found.append(Measure(name, substance, float(quantity.m_as(of)), unit, f"{called} = {amount}"))
    return tuple(sorted(found, key=lambda m: (m.substance is None, -len(m.name))))


def _name(called: str, where: str) -> tuple[str, str | None]:
    """Part what a measure is called from the ingredient it is for: `dipper of lard`."""
    words = re.sub(r"^1\s+", "", clean(called).lower()).split()
    for first in range(1, len(words)):
        substance = identify(" ".join(words[first:])).substance
        if substance is not None:
            name = " ".join(w for w in words[:first] if w != "of")
            break
    else:
        name, substance = " ".join(words), None
    if not name or unit_of_spelling(name) is not None:
        raise SettingError(where, tr("is a unit already; give your own measure another name"))
    return name, substance


# --------------------------------------------------------------------------- into a sheet


def _put_in(grid: Grid, measures: tuple[Measure, ...], note: Callable[[Measure, Grid, int], None]) -> Grid:
    text, number, changed = grid.text.copy(), grid.number.copy(), False
    for index, measure, count, rest in _found(grid, measures):
        note(measure, grid, index)
        changed = True
        amount = f"{count * measure.amount:.2f}".rstrip("0").rstrip(".")
        if count == count:  # noqa: PLR0124 - NaN: the count stands in the cell before
            text[index] = f"{amount} {measure.unit} {rest}".strip()
        else:
            text[index] = measure.unit
            number[index - 1] = round(number[index - 1] * measure.amount, 2)
    return replace(grid, text=text, number=number) if changed else grid


def _found(grid: Grid, measures: tuple[Measure, ...]) -> Iterator[tuple[int, Measure, float, str]]:
    """Yield where a measure stands: its position, the count (NaN: in the number before it), what follows it."""
    patterns = [(measure, _pattern(measure.name)) for measure in measures]
    for index in np.flatnonzero(grid.kind == Kind.TEXT):
        written = clean(str(grid.text[index]))
        for measure, pattern in patterns:
            match = pattern.fullmatch(written)
            if match is None or not _is_for(measure, match["rest"], grid, int(index)):
                continue
            if match["count"] and (count := _count(match["count"].strip())) > 0:
                yield int(index), measure, count, match["rest"]
            elif not (match["count"] or match["rest"]) and _number_before(grid, int(index)):
                yield int(index), measure, np.nan, ""
            break


def _pattern(name: str) -> re.Pattern[str]:
    after = r"(?:e?s)?\.?(?:\s+of\b)?(?:\s+|$)(?P<rest>.*)"
    return re.compile(rf"(?:{_COUNT})?{re.escape(name)}{after}", re.IGNORECASE)


def _count(said: str) -> float:
    if said.lower() in _ONE:
        return 1.0
    readings = read_amount(f"{said} g").readings
    return readings[0].value if len(readings) == 1 else 0.0


def _number_before(grid: Grid, index: int) -> bool:
    return bool(
        index > 0
        and grid.kind[index - 1] == Kind.NUMBER
        and grid.row[index - 1] == grid.row[index]
        and grid.column[index - 1] == grid.column[index] - 1
    )


def _is_for(measure: Measure, rest: str, grid: Grid, index: int) -> bool:
    """Tell whether a cell's measure is one of what it names itself, its row or the heading above it."""
    if measure.substance is None:
        return True
    if rest:
        return identify(rest).substance == measure.substance
    row, column = grid.row[index], grid.column[index]
    beside = np.flatnonzero((grid.row == row) & (grid.kind == Kind.TEXT) & (grid.column < column))
    above = np.flatnonzero((grid.column == column) & (grid.kind == Kind.TEXT) & (grid.row < row))
    names = (identify(str(grid.text[at])).substance for at in (*beside[::-1][:2], *above[::-1]))
    return next((name for name in names if name is not None), None) == measure.substance
