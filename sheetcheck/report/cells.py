"""How single results look in a cell, wherever they stand."""

from __future__ import annotations

import math

from sheetcheck.model import CellContent, Formula, Link, Signal, Styled
from sheetcheck.report.amounts import in_quotes
from sheetcheck.report.words import CHANGED, CHANGED_LONG, GRAMS_PER, verdict_in_words
from sheetcheck.words import tr

COLOURED = (Signal.DANGER, Signal.WARNING, Signal.CAUTION)
STYLE_OF_UNIT = {"g": "grams", "oz": "ounces", "kg": "thousandths", "lb": "thousandths"}
ALIKE = {"lb oz": "oz", "st": "lb", "mg": "g"}  # units whose amounts are shown in another of their kind
TWO_ALKALIS_WIDTH = 29.0  # characters
LONGEST_TEXT = 240  # characters of a text within a formula; the programs take 255

Number = Formula | float | str | None


def unit_of(own_unit: object, column_unit: str | None = None) -> str:
    """Return the mass unit that the amounts of a recipe are shown in."""
    unit = column_unit or own_unit
    shown = ALIKE.get(unit, unit) if isinstance(unit, str) else "g"
    return shown if shown in GRAMS_PER else "g"


def amount_cell(amount: Number, unit: str, *, with_unit: bool) -> CellContent:
    """Return an amount as a number, with its unit shown beside it where the heading does not say it."""
    if amount is None or (isinstance(amount, float) and math.isnan(amount)):
        return None
    held = amount.value if isinstance(amount, Formula) else amount
    if isinstance(held, str):  # two alkalis
        return Styled(amount, "text")
    return Styled(amount, f"in {unit}" if with_unit else STYLE_OF_UNIT[unit])


def percent_cell(value: Formula | float | None) -> CellContent:
    """Return a percentage with one decimal, or nothing."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return None
    return Styled(value, "percent")


def verdict_style(verdict: str, signal: str | None) -> str:
    """Return the look of a verdict: the colour of its signal word."""
    if signal in COLOURED:
        return str(signal)
    return verdict if verdict in ("fine", "not checked") else "text"


def verdict_cell(
    verdict: str,
    signal: str | None,
    unchanged: str | None = None,
    link: Link | None = None,
    *,
    little_margin: bool = False,
) -> Styled:
    """Return the verdict; with a condition under which it holds, a formula that says so when it does not."""
    text = verdict_in_words(verdict, signal, little_margin=little_margin)
    value: Formula | Link | str = text
    if unchanged is not None:
        value = Formula(f"IF({unchanged},{in_quotes(text)},{in_quotes(tr(CHANGED))})", text, link)
    elif link is not None:
        value = Link(link.sheet, link.cell, text)
    return Styled(value, verdict_style(verdict, signal))


def reason_cell(reason: str, verdict: str | None = None, style: str = "one line") -> Styled:
    """Return the reason; with the cell of a live verdict, a formula that follows it."""
    shown = reason if len(reason) <= LONGEST_TEXT else f"{reason[:LONGEST_TEXT].rsplit(' ', 1)[0]} …"
    if verdict is None:
        return Styled(shown or None, style)
    formula = f"IF({verdict}={in_quotes(tr(CHANGED))},{in_quotes(tr(CHANGED_LONG))},{in_quotes(shown)})"
    return Styled(Formula(formula, shown), style)
