"""A number with its unit, or a compound of them (`2 lb 3 oz`), at one place of a text."""

import math
import re
from dataclasses import dataclass, replace
from functools import cache

from sheetcheck.reading.amounts.numbers import Number, number_at, word_number_at
from sheetcheck.reading.text import clean, fold, fold_letters
from sheetcheck.reading.units.unit_list import (
    LB_OZ,
    Dimension,
    dimension,
    per_unit,
    unit_of_spelling,
    unit_pattern,
    units,
)
from sheetcheck.reading.word_list import phrase_or_bracket, words
from sheetcheck.words import later, tr

OZ_PER_LB = 16
HOTTEST_CUPS = 20.0  # from here on `38 C` may be degrees
_WRITTEN_FIRST = frozenset({"g", "kg", "mg", "oz", "lb"})  # `gr. 340`; but `St 3` is three pieces


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read an amount.

    `unit` is a symbol of the list of units, `lb oz` for a compound (`value` is then in pounds), None for a bare number.
    `grams` is NaN for volumes, shares and bare numbers, `millilitres` for all but volumes. `decimals` are those
    written, of the last number in a compound; of a fraction, those that it needs (½ is 1, ¾ is 2).
    """

    value: float
    unit: str | None
    grams: float
    millilitres: float
    decimals: int

    @property
    def measures(self) -> Dimension | None:
        """What it measures, None for a bare number."""
        return dimension(self.unit) if self.unit else None

    @property
    def base(self) -> float:
        """Grams of a weight, millilitres of a volume."""
        return self.millilitres if math.isnan(self.grams) else self.grams

    def times(self, count: int) -> "Reading":
        """Return so many times the amount: 12 bars of 4 oz."""
        return replace(self, value=self.value * count, grams=self.grams * count, millilitres=self.millilitres * count)

    def __str__(self) -> str:
        if self.unit == LB_OZ:
            pounds = math.floor(abs(self.value))
            return f"{math.copysign(pounds, self.value):g} lb {(abs(self.value) - pounds) * OZ_PER_LB:.6g} oz"
        return f"{self.value:.10g} {self.unit or ''}".strip()


class Refused(ValueError):  # noqa: N818  # says what happened, and never leaves the reading of amounts
    """A text that is no amount; says why in the maker's words, in her language when it is asked."""

    def __init__(self, sentence: str, **parts: object) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.parts = {name: str(part) for name, part in parts.items()}

    def __str__(self) -> str:
        """Say why."""
        return tr(self.sentence, **self.parts)


@dataclass(frozen=True, slots=True)
class Written:
    """A text cleaned, and folded letter by letter, so that places in both are the same."""

    text: str
    folded: str

    @classmethod
    def of(cls, text: str) -> "Written":
        """Clean and fold a text."""
        plain = clean(text)
        return cls(plain, fold_letters(plain))


@dataclass(frozen=True, slots=True)
class Quantity:
    """What stands at a place: one reading, or two where the number has two; and where it ends."""

    readings: tuple[Reading, ...]
    end: int


@dataclass(frozen=True, slots=True)
class _Part:
    number: Number
    unit: str | None
    end: int
    unit_first: bool = False

    @property
    def base(self) -> float:
        return self.number.values[0] * per_unit(self.unit or "")

    def __str__(self) -> str:
        return f"{self.number.values[0]:.10g} {self.unit}"


def make_reading(value: float, unit: str | None, decimals: int) -> Reading:
    """Make a reading of a number and its unit."""
    measured = dimension(unit) if unit else None
    base = value * per_unit(unit) if unit else math.nan
    grams, millilitres = base if measured == "mass" else math.nan, base if measured == "volume" else math.nan
    return Reading(value, unit, grams, millilitres, decimals)


_SIGN = re.compile(r"([-+])( ?)")


def quantity_at(written: Written, start: int, *, decimal_comma: bool | None) -> Quantity:
    """Read the quantity that begins at a place of a text.

    Raises
    ------
    Refused
        Where no number stands there, or it is not one amount.
    """
    sign = _SIGN.match(written.text, start)
    if sign and sign[2]:
        raise Refused(
            later("the dash before “{text}” may be a minus or a mark in a list"), text=written.text[sign.end() :]
        )
    part = _part_at(written, sign.end() if sign else start, decimal_comma=decimal_comma)
    if part is None:
        raise _no_number(written, start)
    parts = [part]
    while (following := _next_part(written, parts, decimal_comma=decimal_comma)) is not None:
        parts.append(following)
    readings = _compound(parts) if len(parts) > 1 else _single(part)
    if sign and sign[1] == "-":
        readings = tuple(make_reading(-r.value, r.unit, r.decimals) for r in readings)
    return Quantity(readings, parts[-1].end)


# --------------------------------------------------------------------------- one number and its unit


@cache
def _unit() -> re.Pattern[str]:
    return re.compile(" ?(?P<unit>" + unit_pattern() + ")")


def _part_at(written: Written, start: int, *, decimal_comma: bool | None) -> _Part | None:
    number = number_at(written.text, start, decimal_comma=decimal_comma) or word_number_at(written.folded, start)
    if number is None:
        return _unit_first(written, start, decimal_comma=decimal_comma)
    unit = _unit().match(written.folded, number.end)
    if unit is None:
        if not number.in_words:
            return _Part(number, None, number.end)
        following = fold(written.text[number.end :]).partition(" ")[0]
        if following in words("no measure"):
            raise Refused(words("no measure")[following], text=following)
        return None
    spelled = written.text[unit.start("unit") : unit.end()]
    if spelled == "C" and number.values[0] >= HOTTEST_CUPS:
        raise Refused(later("“{text}” may be cups or degrees"), text=written.text)
    symbol, end = _qualified(written, unit_of_spelling(spelled), unit.end())
    return _Part(number, symbol, end)


def _unit_first(written: Written, start: int, *, decimal_comma: bool | None) -> _Part | None:
    """Read a weight whose unit stands before it, spelled out or cut short: `gr. 340`, `kg 1,2`."""
    unit = _unit().match(written.folded, start)
    spelled = written.text[unit.start("unit") : unit.end()] if unit else ""
    symbol = unit_of_spelling(spelled)
    if unit is None or symbol is None or not spelled[0].isalpha() or symbol not in _WRITTEN_FIRST:
        return None
    space = " " if written.text[unit.end() :].startswith(" ") else ""
    number = number_at(written.text, unit.end() + len(space), decimal_comma=decimal_comma)
    if number is None or not (space or spelled.endswith(".")) or _unit().match(written.folded, number.end):
        return None
    return _Part(number, symbol, number.end, unit_first=True)


def _qualified(written: Written, symbol: str | None, end: int) -> tuple[str | None, int]:
    """Step over `by weight`, and turn `oz by volume` into fluid ounces."""
    while by_weight := phrase_or_bracket("by weight").match(written.folded, end):
        end = by_weight.end()
    by_volume = phrase_or_bracket("by volume").match(written.folded, end)
    if by_volume is None:
        return symbol, end
    if symbol is None or dimension(symbol) == "volume":
        return symbol, by_volume.end()
    if symbol != "oz":
        raise Refused(later("“{text}” gives a weight by volume"), text=written.text)
    return "floz", by_volume.end()


def _no_number(written: Written, start: int) -> Refused:
    if re.compile(r"[0-9.,'lOoI|]*[0-9][0-9.,'lOoI|]*").match(written.text, start):
        return Refused(later("“{text}” is not written as a number"), text=written.text)
    first = fold(written.text).partition(" ")[0]
    reason = words("no measure").get(first)
    return Refused(reason, text=first) if reason else Refused(later("“{text}” is not an amount"), text=written.text)


# --------------------------------------------------------------------------- several parts

_JOINER = re.compile(r" ?(?:,|&|\band\b|\bund\b|\bet\b)? ?(?=[0-9.])")


def _next_part(written: Written, parts: list[_Part], *, decimal_comma: bool | None) -> _Part | None:
    """Read the next part of a compound (`… 3 oz`), if the text goes on with one."""
    last = parts[-1]
    joiner = _JOINER.match(written.folded, last.end)
    if last.unit is None or last.unit_first or joiner is None:
        return None
    part = _part_at(written, joiner.end(), decimal_comma=decimal_comma)
    return part if part is not None and part.unit is not None and _goes_with(last, part) else None


def _goes_with(last: _Part, part: _Part) -> bool:
    """Tell whether a part can follow in a compound: a smaller unit of the same system."""
    larger, smaller = units()[last.unit or ""], units()[part.unit or ""]
    if larger.system != smaller.system or dimension(larger.symbol) != dimension(smaller.symbol):
        return False
    if per_unit(smaller.symbol) >= per_unit(larger.symbol) or len(last.number.values + part.number.values) > 2:
        return False
    if part.base >= per_unit(larger.symbol) and math.isclose(part.base, last.base, rel_tol=0.03):
        return False  # `2 lb 32 oz` says the same twice
    if part.base >= per_unit(larger.symbol) or last.number.decimals[0]:
        raise Refused(later("“{text}” is not how an amount is written: check both numbers"), text=f"{last} {part}")
    return True


def _single(part: _Part) -> tuple[Reading, ...]:
    number = part.number
    return tuple(make_reading(v, part.unit, d) for v, d in zip(number.values, number.decimals, strict=True))


def _compound(parts: list[_Part]) -> tuple[Reading, ...]:
    first = parts[0].unit or ""
    pounds = first == "lb" and parts[-1].unit == "oz"
    total = sum(part.base for part in parts) / per_unit(first)
    return (make_reading(total, LB_OZ if pounds else first, parts[-1].number.decimals[0]),)
