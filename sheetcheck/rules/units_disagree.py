"""Two places state different units for one amount.

Why it matters
--------------
The heading says ounces and the cell says grams: whoever weighs follows one of the two, and an ounce is 28 grams.

Example
-------
A column headed "Lye (oz)" with a cell that is formatted to show "228 g".

What to do
----------
Make both say the same. The finding tells which of the two readings fits the rest of the recipe.

Source
------
Common practice, no source. What is believed first: the text of the cell, its number format, a unit column, the
heading, a note on the sheet, the setting.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.reading.units.units import dimension, to_grams
from sheetcheck.rules.support.balance import balances, would_balance
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import ComponentRow, first_component
from sheetcheck.rules.support.wording import joined, listed
from sheetcheck.words import as_typed, later, tr

TITLE = later("Two units for one amount")
NEEDS = ()
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find contradicting units: NOTICE where the recipe balances as it was read, CAUTION elsewhere."""
    lines = evidence.components[evidence.components["units_said"].notna()]
    spoonful = (lines["unit_from"] == "cell text") & lines["by_volume"]  # says itself that it is not a weight
    lines = lines[~spoonful]
    sound = lines["recipe"].map(balances(evidence)).astype(bool) | ~lines["bears"]
    said = lines["units_said"].map(str)
    return [
        _contradiction(evidence, group, signal)
        for signal, mask in ((Signal.CAUTION, ~sound), (Signal.NOTICE, sound))
        for group in by_cause(lines.assign(said=said)[mask], ["sheet", "column", "said"])
    ]


def _contradiction(evidence: Evidence, lines: pd.DataFrame, signal: Signal) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    says = listed([tr(_SAYS[where], unit=unit) for where, unit in first.units_said or ()])
    fitting = first.unit if signal is Signal.NOTICE else _fitting_unit(evidence, first)
    disagree = tr("Units disagree for {place}, {text}: {says}.", place=place, text=place.holds, says=says)
    return finding(
        __name__,
        signal,
        place,
        list(lines["recipe"]),
        joined(disagree, _read_as(first, fitting)),
        expected=f"{as_typed(first.value)} {fitting}" if fitting else tr("one unit"),
        look_at=tr("the unit in each of these places"),
    )


def _read_as(line: ComponentRow, fitting: str | None) -> str:
    """Say how it was read and, where lye or water depends on it, with which unit the recipe balances."""
    if not line.bears:
        return tr("It was read as {unit}.", unit=line.unit)
    if fitting is None:
        return tr("It was read as {unit}; with neither does the recipe balance.", unit=line.unit)
    return tr("It was read as {unit}; with {fitting} the recipe balances.", unit=line.unit, fitting=fitting)


_SAYS = {
    "cell text": later("the cell text says {unit}"),
    "number format": later("the number format says {unit}"),
    "unit column": later("the unit column says {unit}"),
    "heading": later("the heading says {unit}"),
    "sheet note": later("the sheet note says {unit}"),
    "setting": later("the setting says {unit}"),
}


def _fitting_unit(evidence: Evidence, line: ComponentRow) -> str | None:
    """Return the unit among those said with which the recipe balances; None where none does."""
    others = [unit for _, unit in line.units_said or () if unit != line.unit and dimension(unit) == "mass"]
    return next((unit for unit in others if would_balance(evidence, line, to_grams(line.value, unit))), None)
