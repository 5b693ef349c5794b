"""Rescaled amounts as they are written into cells and on weigh sheets."""

from __future__ import annotations

import math
import re

from sheetcheck.chemistry.volume import ML_PER_CUBIC_INCH
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.units import unit_of_spelling
from sheetcheck.rescaling.rows import Line
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import later, tr

ALL_WEIGHTS = {
    "g": later("All weights in grams"),
    "oz": later("All weights in ounces"),
    "lb oz": later("All weights in pounds and ounces"),
    "lb": later("All weights in pounds"),
    "kg": later("All weights in kilograms"),
}
_PER_TABLE_UNIT = {"lb": 16.0, "kg": 1000.0}  # ounces, grams
OUNCES_PER_POUND = 16
_AFTER_NUMBER = re.compile(r"[\d.,/ ]+(.*)")
_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def ingredient_name(line: Line) -> str:
    """Return the ingredient as the workbook names it, with the strength that it states elsewhere.

    A name that means what it does only in her book (`OO`, explained on another sheet) has the substance beside it: the
    rescaled book is read by itself.
    """
    name = str(line.name or "")
    if isinstance(line.substance, str):
        named = (name, f"{name} ({line.substance})", line.substance)
        name = next((n for n in named if identify(n).substance == line.substance), name)
    if math.isnan(line.strength) or line.strength == 1 or re.search(r"\d", name):
        return name
    return tr("{ingredient} {share} %", ingredient=name, share=plain(100 * line.strength, 2))


def amount_text(line: Line, unit: str) -> str:
    """Return a rescaled amount with its unit: "12.5 oz", "2 lb 3.5 oz", "4 tsp"; what was not read, as written."""
    if line.weighed and unit in _PER_TABLE_UNIT:
        return f"{plain(in_table_unit(float(line.shown), unit), 6)} {unit}"
    if line.weighed:
        pounds = bool(line.fraction) and line.unit == "lb"
        return weight_text(float(line.shown), unit, fraction=bool(line.fraction), pounds=pounds)
    if math.isnan(line.scaled_value):
        return str(line.written or "")
    return f"{_number(line.scaled_value, 2, fraction=bool(line.fraction))} {_measure(line)}".strip()


def _measure(line: Line) -> str:
    """Return the measure of what is not weighed in the maker's own word: `Tasse`, `tbsp`."""
    said = _AFTER_NUMBER.match(clean(line.written)) if isinstance(line.written, str) else None
    own = said[1].partition(clean(line.name or " "))[0].strip(" ,;") if said else ""
    return own if own and unit_of_spelling(own) == line.unit else line.unit or ""


def in_table_unit(shown: float, unit: str) -> float:
    """Return what the scale has to show in the unit of a table: pounds and kilograms with decimals."""
    return round(shown / _PER_TABLE_UNIT.get(unit, 1.0), 9)


def weight_text(shown: float, unit: str, *, fraction: bool = False, pounds: bool = False) -> str:
    """Return what the scale has to show, with its unit.

    Parameters
    ----------
    shown
        Grams, or ounces; of pounds and ounces, all in ounces.
    fraction
        Whether the maker writes fractions: "4 ¾ oz" for 4.75, where it is an even one.
    pounds
        Whether she writes fractions of a pound: "2 ¼ lb" for 36 oz.
    """
    if unit == "lb oz" and pounds and _even(shown / OUNCES_PER_POUND):
        return f"{_number(shown / OUNCES_PER_POUND, 3, fraction=True)} lb"
    if unit != "lb oz":
        return f"{_number(shown, 3, fraction=fraction)} {unit}"
    whole, ounces = pounds_and_ounces(shown)
    rest = f"{_number(ounces, 3, fraction=fraction)} oz"
    if whole and not ounces:
        return f"{plain(whole, 0)} lb"
    return f"{plain(whole, 0)} lb {rest}" if whole else rest


def volume_text(ml: float, *, in_ounces: bool) -> str:
    """Return a volume: in litres, and for a book in ounces in cubic inches before them."""
    litres = plain(ml / 1000, 2)
    if not in_ounces:
        return tr("{litres} L", litres=litres)
    return tr("{inches} cubic inches ({litres} L)", inches=plain(ml / ML_PER_CUBIC_INCH, 0), litres=litres)


def _even(value: float) -> bool:
    """Tell whether a number is a whole one and eighths."""
    return abs(value * 8 - round(value * 8)) < 1e-6


def _number(value: float, decimals: int, *, fraction: bool) -> str:
    whole, eighths = divmod(round(value * 8), 8)
    if not fraction or not eighths or not _even(value):
        return plain(value, decimals)
    return f"{whole} {_EIGHTHS[eighths]}" if whole else _EIGHTHS[eighths]


def pounds_and_ounces(ounces: float) -> tuple[int, float]:
    """Part ounces into whole pounds and the ounces left."""
    pounds = int((ounces + 1e-9) // OUNCES_PER_POUND)
    return pounds, round(max(ounces - pounds * OUNCES_PER_POUND, 0.0), 9)
