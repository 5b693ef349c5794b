"""One cell or line of a recipe turned into an amount of something: the unit, the grams, and what could not be read."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite, nan

from sheetcheck.reading.amounts.amount import Reading, read_amount
from sheetcheck.reading.assemble import Component, stored_as
from sheetcheck.reading.names.identify import Name, identify
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.evidence import Said, resolve
from sheetcheck.reading.units.units import dimension, to_grams, unit_of_number_format
from sheetcheck.reading.word_list import any_of
from sheetcheck.reference import Substance, substances
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Kind

NOTHING = frozenset(
    fold(word)
    for word in (
        "", "none", "no", "nil", "n/a", "na", "x", "nothing", "0", "0.0", "0,0", "without", "ohne", "keine", "kein",
        "nichts", "entfällt", "sans", "aucun", "aucune", "rien", "sin", "ninguno", "ninguna", "nada", "senza",
        "nessuno", "nessuna", "niente", "geen", "zonder", "niets", "sem", "nenhum", "nenhuma",
    )
)  # fmt: skip
_BEARING = frozenset({"fat", "alkali", "liquid", "acid", "unknown"})
_AS_WATER = 0.97  # share of water from which a liquid weighs what water weighs
NO_STORED_VALUE = later(
    "a formula without a stored value: open the book in the spreadsheet program, save it, check again"
)


@dataclass(frozen=True, slots=True)
class Entry:
    """What an amount cell says, before it is known of what."""

    value: float
    unit: str | None
    unit_from: str | None
    units_said: Said | None
    grams: float
    other_grams: float
    decimals: int
    written: str | None
    stored: str
    rest: str = ""
    problem: str | None = None


def is_nothing(text: str) -> bool:
    """Tell whether a text in an amount cell says that there is none of it: blank, a dash, `none`, `ohne`."""
    return fold(text) in NOTHING


def is_blank_amount(cell: Cell | None) -> bool:
    """Tell whether an amount cell holds nothing: blank, zero, a dash, `none`."""
    if cell is None:
        return True
    if cell.kind is Kind.NUMBER:
        return cell.number == 0
    return cell.kind is Kind.TEXT and "?" not in cell.text and is_nothing(cell.text)


def read_entry(cell: Cell, said: Said, *, decimal_comma: bool | None = None) -> Entry:
    """Read one amount cell; `said` is what unit column, heading and sheet note say of it."""
    stored = stored_as(cell)
    if cell.kind is Kind.NUMBER:
        return _number_entry(cell, said, stored)
    if cell.kind is Kind.TEXT:
        return text_entry(cell.text, said, stored, decimal_comma=decimal_comma)
    return Entry(nan, None, None, None, nan, nan, 0, cell.text or None, stored, problem=_why_unreadable(cell))


def _why_unreadable(cell: Cell) -> str:
    if cell.kind is Kind.ERROR:
        return tr("an error value, {error}: mend the formula, save the book, check again", error=cell.text)
    if cell.kind is Kind.EMPTY_FORMULA:
        return tr(NO_STORED_VALUE)
    if cell.kind is Kind.DATE:
        return tr("a date ({date}), not an amount", date=cell.text)
    return tr("true or false, not an amount")


def _number_entry(cell: Cell, said: Said, stored: str) -> Entry:
    shown = unit_shown(cell.style.number_format)
    unit, place, contrary = resolve((("number format", shown), *said) if shown else said)
    value = cell.number * 100 if shown == "%" else cell.number
    grams = to_grams(value, unit) if unit and unit != "%" else nan
    return Entry(value, unit, place, contrary, grams, nan, decimals_of(value), None, stored)


@lru_cache(maxsize=1024)
def unit_shown(number_format: str) -> str | None:
    """Return the unit that a number format shows beside the number."""
    return unit_of_number_format(number_format) or ("%" if number_format.rstrip().endswith("%") else None)


def decimals_of(value: float) -> int:
    """Return how many decimals a typed number has, at most 6; formulas with endless decimals count as 6."""
    for places in range(6):
        if abs(value - round(value, places)) <= 1e-9 * max(1.0, abs(value)):
            return places
    return 6


# Units of which no kitchen scale or jug shows thousandths: `1.200 g` is sooner 1200 g than 1.2 g, where the book does
# not tell. The other reading is kept, and said.
SHOWN_WHOLE = frozenset({"g", "mL"})


def text_entry(text: str, said: Said, stored: str = "text", *, decimal_comma: bool | None = None) -> Entry:
    """Read an amount typed as text."""
    amount = read_amount(text, decimal_comma)
    if amount.readings:
        return _text_entry(text, said, stored, decimal_comma)
    problem = amount.why or tr("“{text}” is not an amount", text=clean(text))
    return Entry(nan, None, None, None, nan, nan, 0, text, stored, amount.rest, problem)


@lru_cache(maxsize=65536)
def _text_entry(text: str, said: Said, stored: str, decimal_comma: bool | None) -> Entry:  # noqa: FBT001 - a key
    amount = read_amount(text, decimal_comma)
    first = amount.readings[0]
    own = (("cell text", first.unit),) if first.unit else ()
    unit, place, contrary = resolve((*own, *said))
    second = amount.readings[1] if len(amount.readings) > 1 else amount.again
    if second is not None and amount.again is None and unit in SHOWN_WHOLE and first.decimals > second.decimals:
        first, second = second, first
    return Entry(
        value=first.value,
        unit=unit,
        unit_from=place,
        units_said=contrary,
        grams=_reading_grams(first, unit),
        other_grams=_other_grams(second, unit),
        decimals=first.decimals,
        written=text,
        stored=stored,
        rest=amount.rest,
    )


def _reading_grams(reading: Reading, unit: str | None) -> float:
    if reading.unit:
        return reading.grams
    return to_grams(reading.value, unit) if unit and unit != "%" else nan


def _other_grams(second: Reading | None, unit: str | None) -> float:
    if second is None:
        return nan
    grams = _reading_grams(second, unit)
    return second.value if unit is None else grams  # without a unit it waits as a number until the unit is known


# --------------------------------------------------------------------------- of what


@dataclass(frozen=True, slots=True)
class Ingredient:
    """What an amount is an amount of."""

    text: str
    role: str
    substance: str | None
    certainty: str
    row: int = 0
    column: int = 0
    strength: float = nan


def ingredient(text: str, name: Name, row: int = 0, column: int = 0) -> Ingredient:
    """Make an ingredient of a name as identified."""
    role, substance, strength = name.kind or "unknown", name.substance, name.strength
    if role == "refused":
        dissolved = substances()[substance].solution_of if substance else ""
        if dissolved and isfinite(strength):
            role, substance = substances()[dissolved].kind, dissolved
        else:
            role = "unknown"
    if role == "liquid" and mostly_sugar(substance):
        role = "additive"
    return Ingredient(text, role, substance, name.certainty, row, column, strength)


def mostly_sugar(substance: str | None) -> bool:
    """Tell whether a liquid is honey, syrup and the like: an addition, not liquid to dissolve the lye in."""
    known = substances().get(substance or "")
    return known is not None and known.kind == "liquid" and known.water < known.sugar


def in_grams(entry: Entry, substance: Substance | None, role: str) -> tuple[float, bool, str | None]:
    """Turn an entry into grams: grams, whether measured by volume, and why not where it could not be."""
    if entry.problem:
        return nan, False, entry.problem
    if isfinite(entry.grams) or entry.unit in (None, "%"):
        return entry.grams, False, None
    if substance is None and role == "liquid":
        substance = substances().get("water")  # what makers use instead of water is mostly water
    grams = to_grams(entry.value, entry.unit, substance)
    if not isfinite(grams) and role == "liquid" and substance is not None and substance.water >= _AS_WATER:
        grams = to_grams(entry.value, entry.unit, substances().get("water"))  # rose water, tea
    if isfinite(grams):
        return grams, True, None
    if role == "additive":
        return nan, True, None  # read; its weight bears on neither lye nor water
    return nan, True, tr("no weight is known for a {unit} of it: weigh it", unit=entry.unit)


def component(recipe: int, sheet: str, cell: Cell, entry: Entry, of: Ingredient) -> Component:
    """Build the line of an amount cell."""
    table = substances()
    of = _out_of_its_package(entry, _named_by_amount(entry, of))
    entry = _unless_taken_back(entry)
    grams, by_volume, problem = in_grams(entry, table.get(of.substance or ""), of.role)
    return Component(
        recipe=recipe,
        sheet=sheet,
        row=cell.row,
        column=cell.column,
        name_row=of.row,
        name_column=of.column,
        name=of.text,
        role=of.role,
        substance=of.substance,
        name_certainty=of.certainty,
        written=entry.written,
        stored=entry.stored,
        value=entry.value,
        unit=entry.unit,
        unit_from=entry.unit_from,
        units_said=entry.units_said,
        grams=grams,
        other_grams=entry.other_grams,
        by_volume=by_volume,
        strength=of.strength,
        decimals=entry.decimals,
        bears=of.role in _BEARING,
        problem=problem,
    )


def _named_by_amount(entry: Entry, of: Ingredient) -> Ingredient:
    """Let the amount's own words say more than its heading: `9 oz goat milk` in a column of liquids."""
    if not entry.rest or of.role not in ("alkali", "liquid", "fat", "unknown"):
        return of
    name = identify(entry.rest)
    if name.certainty != "exact" or name.kind != (of.role if of.role != "unknown" else name.kind) or name.kind is None:
        return of
    told = ingredient(entry.rest, name)
    return replace(told, text=clean(entry.rest), row=of.row, column=of.column)


_OF_THE_AMOUNT = ("cell text", "number format", "unit column")  # places that say the unit of this amount


def _out_of_its_package(entry: Entry, of: Ingredient) -> Ingredient:
    """Return what is in a package where it is weighed: `8 1/4 oz can lye` is lye, `1 can lye` nobody knows how much."""
    package = substances().get(of.substance or "")
    if package is None or not package.weighed or entry.unit_from not in _OF_THE_AMOUNT or entry.unit in (None, "%"):
        return of  # under a heading in ounces `1` may still be one can
    if dimension(entry.unit) != "mass":
        return of
    return replace(of, role=substances()[package.weighed].role, substance=package.weighed, certainty="read as")


def _unless_taken_back(entry: Entry) -> Entry:
    """Leave an amount unread whose own words say that it may not be meant: `12 oz (left out)`, `1 oz, optional`."""
    if not entry.rest or not re.search(any_of("takes back"), fold(entry.rest)):
        return entry
    problem = tr(
        "“{text}” says that it may be left out: write whether it is in the recipe", text=clean(entry.written or "")
    )
    return replace(entry, grams=nan, other_grams=nan, problem=problem)
