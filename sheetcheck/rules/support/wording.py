"""Numbers as a maker writes them: in her row's own unit, rounded as a kitchen scale shows them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

from sheetcheck.reading.units import to_grams
from sheetcheck.rules.support.rows import ComponentRow

_DECIMALS = {"oz": 2, "lb": 3, "kg": 3}
_OUNCES_PER_POUND = 16


def mass(grams: float, unit: str | None) -> str:
    """Say a mass in a unit of the sheet; in grams where that is no unit a batch is weighed in.

    >>> mass(307.9, "oz")
    '10.86 oz'
    """
    if unit == "lb oz":
        return _pounds_and_ounces(grams)
    unit = unit if unit in _DECIMALS else "g"
    value = grams / _grams_per(unit)
    return f"{plain(value, _DECIMALS.get(unit, 1 if abs(grams) < 1000 else 0))} {unit}"


def percent(value: float) -> str:
    """Say a share in percent; from 100 on without decimals.

    >>> percent(-2564.13), percent(5.26)
    ('-2,564 %', '5.3 %')
    """
    return f"{value:,.0f} %" if abs(value) >= 100 else f"{value:.1f} %"


def span(low: float, high: float) -> str:
    """Say a range in percent."""
    return percent(low) if math.isclose(low, high, abs_tol=0.05) else f"{percent(low)[:-2]} to {percent(high)}"


def plain(value: float, decimals: int) -> str:
    """Write a number with at most so many decimals."""
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def holds(line: ComponentRow) -> str:
    """Say what the cell of a component holds, with its unit where the cell does not say it itself."""
    text = line.written if isinstance(line.written, str) else f"{line.value:.10g}"
    if not isinstance(line.unit, str) or line.unit_from == "cell text" or text == "nan":
        return "" if text == "nan" else text
    return f"{text} {line.unit}"


def times(ratio: float) -> str:
    """Say how much more one amount is than another: "45 % more", "27 times as much"."""
    if ratio >= 3:
        return f"{plain(ratio, 0 if ratio >= 10 else 1)} times as much"
    return f"{plain(100 * (ratio - 1), 0 if ratio >= 1.1 else 1)} % more"


def listed(words: Sequence[str], most: int = 4) -> str:
    """Join words; beyond `most` only the count of the rest is told."""
    if len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} more"
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


@cache
def _grams_per(unit: str) -> float:
    return to_grams(1.0, unit)


def _pounds_and_ounces(grams: float) -> str:
    ounces = round(grams / _grams_per("oz"), 2)
    pounds, rest = divmod(ounces, _OUNCES_PER_POUND)
    return f"{pounds:.0f} lb {plain(rest, 2)} oz" if pounds else f"{plain(rest, 2)} oz"
