"""Rescaled amounts as they are written into cells and on weigh sheets."""

from __future__ import annotations

import math
import re

from sheetcheck.rescaling.rows import Line
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import later, tr

ALL_WEIGHTS = {
    "g": later("All weights in grams"),
    "oz": later("All weights in ounces"),
    "lb oz": later("All weights in pounds and ounces"),
}
OUNCES_PER_POUND = 16


def ingredient_name(line: Line) -> str:
    """Return the ingredient as the workbook names it, with the strength that it states elsewhere."""
    name = str(line.name or "")
    if math.isnan(line.strength) or line.strength == 1 or re.search(r"\d", name):
        return name
    return tr("{ingredient} {share} %", ingredient=name, share=plain(100 * line.strength, 1))


def amount_text(line: Line, unit: str) -> str:
    """Return a rescaled amount with its unit: "12.5 oz", "2 lb 3.5 oz", "4 tsp"; what was not read, as written."""
    if line.weighed:
        return weight_text(float(line.shown), unit)
    if math.isnan(line.scaled_value):
        return str(line.written or "")
    return f"{plain(line.scaled_value, 2)} {line.unit or ''}".strip()


def weight_text(shown: float, unit: str) -> str:
    """Return what the scale has to show, with its unit."""
    if unit != "lb oz":
        return f"{plain(shown, 3)} {unit}"
    pounds, ounces = pounds_and_ounces(shown)
    return f"{pounds} lb {plain(ounces, 3)} oz" if pounds else f"{plain(ounces, 3)} oz"


def pounds_and_ounces(ounces: float) -> tuple[int, float]:
    """Part ounces into whole pounds and the ounces left."""
    pounds = int((ounces + 1e-9) // OUNCES_PER_POUND)
    return pounds, round(max(ounces - pounds * OUNCES_PER_POUND, 0.0), 9)
