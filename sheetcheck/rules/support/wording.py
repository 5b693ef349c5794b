"""Numbers as a maker writes them: in her row's own unit, rounded as a kitchen scale shows them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

from sheetcheck.reading.units.units import to_grams
from sheetcheck.rules.support.rows import ComponentRow
from sheetcheck.words import number, tr

_DECIMALS = {"oz": 2, "lb": 3, "kg": 3}
_OUNCES_PER_POUND = 16


def mass(grams: float, unit: str | None) -> str:
    """Say a mass in a unit of the sheet; in grams where that is no unit a batch is weighed in.

    >>> mass(230.8, "oz")
    '8.14 oz'
    """
    if unit == "lb oz":
        return _pounds_and_ounces(grams)
    unit = unit if unit in _DECIMALS else "g"
    value = grams / _grams_per(unit)
    return f"{plain(value, _DECIMALS.get(unit, 1 if abs(grams) < 1000 else 0))} {unit}"


def percent(value: float) -> str:
    """Say a share in percent; from 100 on without decimals.

    >>> percent(2564.13), percent(5.26)
    ('2,564 %', '5.3 %')
    """
    return tr("{number} %", number=_share(value))


def span(low: float, high: float) -> str:
    """Say a range in percent."""
    if math.isclose(low, high, abs_tol=0.05):
        return percent(low)
    return tr("{low} to {high} %", low=_share(low), high=_share(high))


def _share(value: float) -> str:
    return number(value, 0 if abs(value) >= 100 else 1)


def plain(value: float, decimals: int) -> str:
    """Write a number with at most so many decimals."""
    needed = f"{value:.{decimals}f}".rstrip("0").partition(".")[2]
    return number(value, len(needed))


def holds(line: ComponentRow) -> str:
    """Say what the cell of a component holds, with its unit where the cell does not say it itself; always with a point.

    `is_number` tells whether it is a number that the maker sees with her own decimal mark.
    """
    text = line.written if isinstance(line.written, str) else f"{line.value:.10g}"
    if not isinstance(line.unit, str) or line.unit_from == "cell text" or text == "nan":
        return "" if text == "nan" else text
    return f"{text} {line.unit}"


def is_number(line: ComponentRow) -> bool:
    """Tell whether the cell of a component holds a number, and not a text that is shown as it stands."""
    return not isinstance(line.written, str)


def times(ratio: float) -> str:
    """Say how much more one amount is than another: "45 % more", "27 times as much"."""
    if ratio >= 3:
        return tr("{ratio} times as much", ratio=plain(ratio, 0 if ratio >= 10 else 1))
    return tr("{number} % more", number=plain(100 * (ratio - 1), 0 if ratio >= 1.1 else 1))


def joined(*sentences: str) -> str:
    """Put whole sentences one after the other."""
    return " ".join(filter(None, sentences))


def listed(words: Sequence[str], most: int = 4) -> str:
    """Join words; beyond `most` only the count of the rest is told."""
    if len(words) > most:
        return tr("{some} and {count} more", some=", ".join(words[:most]), count=number(len(words) - most, 0))
    if len(words) < 2:
        return "".join(words)
    return tr("{some} and {last}", some=", ".join(words[:-1]), last=words[-1])


def either(words: Sequence[str]) -> str:
    """Join words of which one holds."""
    if len(words) < 2:
        return "".join(words)
    return tr("{some} or {last}", some=either(words[:-1]), last=words[-1])


@cache
def _grams_per(unit: str) -> float:
    return to_grams(1.0, unit)


def _pounds_and_ounces(grams: float) -> str:
    ounces = round(grams / _grams_per("oz"), 2)
    pounds, rest = divmod(ounces, _OUNCES_PER_POUND)
    return f"{plain(pounds, 0)} lb {plain(rest, 2)} oz" if pounds else f"{plain(rest, 2)} oz"
