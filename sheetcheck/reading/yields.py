"""What a recipe is said to make: `makes 4 lb`, `Yield: 12 bars of 4 oz`. A weight is near that of all that goes in."""

from __future__ import annotations

import re
from functools import cache, lru_cache

import numpy as np
import pandas as pd

from sheetcheck.reading.amounts.amount import Reading, read_amount
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.unit_list import unit_pattern
from sheetcheck.reading.word_list import any_of

YIELD = "yield"
_BARS = re.compile(r"(?<![\d.,])([1-9]\d{0,2}) (?:[^\W\d]+ ){0,2}$")


@lru_cache(maxsize=65536)
def speaks_of_yield(text: str) -> bool:
    """Tell whether a text says what a recipe makes, and holds a number.

    >>> speaks_of_yield("Makes about 4 lb of soap"), speaks_of_yield("Weighs 4 lb when cured")
    (True, False)
    """
    return any(map(str.isdigit, text)) and re.match(any_of("yield"), fold(text)) is not None


@lru_cache(maxsize=65536)
def yield_said(text: str) -> Reading | None:
    """Return the weight that a text says a recipe makes, of all its bars together; None where it says none.

    >>> reading = yield_said("12 bars of 4 oz")
    >>> reading.value, reading.unit
    (48.0, 'oz')
    >>> yield_said("12 bars")
    """
    plain = clean(text)
    found = _weight().search(plain)
    if found is None:
        return None
    read = read_amount(_first_amount(plain[found.start() :]))
    if len(read.readings) != 1 or read.readings[0].measures != "mass":
        return None
    reading = read.readings[0]
    bars = _BARS.search(re.sub(r"[^\w.,]+", " ", plain[: found.start()]))
    return reading if bars is None else reading.times(int(bars[1]))


@cache
def _weight() -> re.Pattern[str]:
    return re.compile(rf"(?<![\w.,])\d[\d.,/]*(?: \d+/\d+)? ?(?:{unit_pattern()})(?!\w)", re.IGNORECASE)


def _first_amount(text: str) -> str:
    """Return the amount that a text begins with, with the ounces behind its pounds."""
    first = _weight().match(text)
    second = _weight().match(text, first.end() + 1) if first and text[first.end() : first.end() + 1] == " " else None
    last = second or first
    return text[: last.end()] if last else text


def without_counts(statements: pd.DataFrame) -> None:
    """Take out of the statements, in place, the yields that are a number of bars and no weight."""
    counts = (statements["kind"] == YIELD) & statements["unit"].isna()
    if counts.any():
        statements.loc[counts, "value"] = np.nan
