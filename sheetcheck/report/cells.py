"""How single results look in a cell, wherever they stand."""

from __future__ import annotations

import math

from sheetcheck.model import CellContent, Formula, Link, Signal, Styled
from sheetcheck.report.amounts import in_quotes
from sheetcheck.report.words import CHANGED, CHANGED_LONG, GRAMS_PER

COLOURED = (Signal.DANGER, Signal.WARNING, Signal.CAUTION)
STYLE_OF_UNIT = {"g": "grams", "oz": "ounces", "kg": "thousandths", "lb": "thousandths"}
LONGEST_TEXT = 240  # characters of a text within a formula; the programs take 255

Number = Formula | float | None


def unit_of(own_unit: object, column_unit: str | None = None) -> str:
    """Return the mass unit that the amounts of a recipe are shown in."""
    if column_unit in GRAMS_PER:
        return str(column_unit)
    return own_unit if isinstance(own_unit, str) and own_unit in GRAMS_PER else "g"


def amount_cell(amount: Number, unit: str, *, with_unit: bool) -> CellContent:
    """Return an amount as a number, with its unit shown beside it where the heading does not say it."""
    if amount is None or (isinstance(amount, float) and math.isnan(amount)):
        return None
    return Styled(amount, f"in {unit}" if with_unit else STYLE_OF_UNIT[unit])


def percent_cell(value: Number) -> CellContent:
    """Return a percentage with one decimal, or nothing."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return None
    return Styled(value, "percent")


def range_text(low: float, high: float) -> str | None:
    """Return "2.1 to 6.0", or nothing."""
    if math.isnan(low) or math.isnan(high):
        return None
    return f"{low:.1f} to {high:.1f}"


def verdict_text(verdict: str, signal: str | None) -> str:
    """Return the verdict in words; a recipe that was not checked says so beside its signal word."""
    if signal not in COLOURED:
        return verdict
    return str(signal) if verdict == "flagged" else f"{signal}, {verdict}"


def verdict_style(verdict: str, signal: str | None) -> str:
    """Return the look of a verdict: the colour of its signal word."""
    if signal in COLOURED:
        return str(signal)
    return verdict if verdict in ("fine", "not checked") else "text"


def verdict_cell(verdict: str, signal: str | None, unchanged: str | None = None, link: Link | None = None) -> Styled:
    """Return the verdict; with a condition under which it holds, a formula that says so when it does not."""
    text = verdict_text(verdict, signal)
    value: Formula | Link | str = text
    if unchanged is not None:
        value = Formula(f"IF({unchanged},{in_quotes(text)},{in_quotes(CHANGED)})", text, link)
    elif link is not None:
        value = Link(link.sheet, link.cell, text)
    return Styled(value, verdict_style(verdict, signal))


def reason_cell(reason: str, verdict: str | None = None) -> Styled:
    """Return the reason; with the cell of a live verdict, a formula that follows it."""
    if verdict is None:
        return Styled(reason or None, "text")
    shown = reason if len(reason) <= LONGEST_TEXT else f"{reason[:LONGEST_TEXT].rsplit(' ', 1)[0]} …"
    formula = f"IF({verdict}={in_quotes(CHANGED)},{in_quotes(CHANGED_LONG)},{in_quotes(shown)})"
    return Styled(Formula(formula, shown), "text")


def count_of(number: int, noun: str) -> str:
    """Return "1 recipe", "2 recipes"."""
    return f"{number} {noun}{'s' if number != 1 else ''}"
