"""Amounts as people type them: a strict grammar of our own. What it cannot read it refuses, and says why."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from sheetcheck.reading.amounts.numbers import number_at
from sheetcheck.reading.amounts.quantities import (
    Quantity,
    Reading,
    Refused,
    Written,
    make_reading,
    quantity_at,
)
from sheetcheck.reading.text import fold, fold_letters
from sheetcheck.reading.units.unit_list import unit_of_spelling, unit_pattern
from sheetcheck.reading.word_list import any_of, phrase_or_bracket, phrase_pattern, words
from sheetcheck.reference import name_index
from sheetcheck.words import later

__all__ = ["Amount", "Reading", "read_amount"]

MOST_GRAMS = 200_000.0  # of two readings, one past 200 kg is not meant in a small batch: `1.250 kg` is 1.25 kg
SAME = 0.01  # two statements of one amount agree within this share, whatever their decimals
ROUNDED = 0.03  # … and within the rounding of both, up to this share
NEARLY = 0.05  # … or this, where one of them says `about`


@dataclass(frozen=True, slots=True)
class Amount:
    """What an amount says: no reading where it was refused (`why` tells), two where it can be read in two ways.

    `rest` is what stands after the amount (`16 oz olive oil`); it is for the caller to see that it fits. `again` is a
    second statement of the weight that is not the same weight: `10 oz (238 g)`.
    """

    readings: tuple[Reading, ...]
    rest: str
    approximate: bool
    refused: Refused | None = None
    again: Reading | None = None

    @property
    def why(self) -> str | None:
        """Why it was refused, in the maker's words; None where it was read."""
        return None if self.refused is None else str(self.refused)


@lru_cache(maxsize=65536)
def read_amount(text: str, decimal_comma: bool | None = None) -> Amount:  # noqa: FBT001  # reads well as a second word
    """Read an amount: `9.42 oz`, `2 lb 3 oz`, `1½ tsp`, `1.250,5 g`, `500 g (17.6 oz)`, `one pound`, `5 %`.

    Parameters
    ----------
    text
        The text of a cell, or a part of it that begins with the amount.
    decimal_comma
        Whether this book writes `1,5` for one and a half, where that is known: settles `1.250 g`.

    Returns
    -------
    Amount
        With one reading; two where the book has to decide; none where it was refused. Never raises.

    Examples
    --------
    >>> read_amount("1 lb 8 oz lard").rest
    'lard'
    >>> [reading.grams for reading in read_amount("1.250 g").readings]
    [1.25, 1250.0]
    >>> read_amount("500-520 g").why
    '“500-520 g” is a range: write the amount that was weighed'
    """
    simple = _SIMPLE.fullmatch(text)
    if simple:
        decimals = simple[2] or ""
        reading = make_reading(float(simple[1] + decimals), unit_of_spelling(simple[3]), max(len(decimals) - 1, 0))
        return Amount((reading,), "", approximate=False)
    try:
        return _read(Written.of(text), decimal_comma=decimal_comma)
    except Refused as refused:
        # Amounts are kept for later, and the frames of a traceback would hold the whole workbook with them.
        return Amount((), "", approximate=False, refused=refused.with_traceback(None))


_MORE_THAN_ONE = later("“{text}” holds more than one amount")
_SECOND_WITHOUT_UNIT = later("“{text}” has a second number without a unit")
_ERROR_VALUE = re.compile(r"#[A-Z][A-Z0-9/]*[!?]?")
_DOUBT = re.compile(r" ?(?:\( ?\?+ ?\)|\?+)")  # `8 oz?` is read, and said to be in doubt
_NEARLY_OR_IS = re.compile(r"(?:[~=] ?)*")
_SIMPLE = re.compile(r"([0-9]+)(\.(?:[0-9]{1,2}|[0-9]{4,}))? ?(g|G|kg|KG|oz\.?|Oz|OZ|lbs?\.?|ml|%)")


def _read(written: Written, *, decimal_comma: bool | None) -> Amount:
    if not written.text:
        raise Refused(later("nothing is written"))
    if _ERROR_VALUE.fullmatch(written.text):
        raise Refused(later("“{text}” is an error value"), text=written.text)
    start, approximate = _nearness(written, 0)
    quantity = quantity_at(written, start, decimal_comma=decimal_comma)
    if quantity.end == len(written.text):
        return Amount(_plausible(quantity.readings), "", approximate=approximate)
    near = phrase_or_bracket("nearness").match(written.folded, quantity.end)
    near = _DOUBT.match(written.folded, near.end() if near else quantity.end) or near
    end = near.end() if near else quantity.end
    second, rest = _restated(written, end, decimal_comma=decimal_comma)
    _refuse_if_more(written, end, quantity, restated=second is not None)
    readings, unsure, again = quantity.readings, approximate or near is not None, None
    if second is not None:
        readings, again = _agreed(readings, second.readings, written, near=unsure or second.approximate)
        if again is not None and not _IN_TWO_UNITS.match(written.text, end):
            raise _disagree(readings[0], again, written)
        unsure |= second.approximate
    else:
        rest = _rest(written, end, quantity)
    return Amount(_plausible(readings), rest, approximate=unsure, again=again)


def _nearness(written: Written, start: int) -> tuple[int, bool]:
    """Step over `~`, `approx`, `about` and the like."""
    signs = _NEARLY_OR_IS.match(written.text, start)
    end = signs.end() if signs else start
    word = phrase_pattern("approximate").match(written.folded, end)
    return (word.end() if word else end), word is not None or "~" in written.text[start:end]


def _plausible(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    likely = tuple(reading for reading in readings if not reading.grams > MOST_GRAMS)
    return likely or readings


# --------------------------------------------------------------------------- the same amount said twice

_TEMPERATURE = r"(?:°|deg(?:rees?)?\b|F\b)"
_DEGREES = re.compile(rf"[0-9.,]+ ?{_TEMPERATURE}")
_OPENS_SECOND = re.compile(r" ?(?P<sign>[(\[/=|;,~])? ?")
_IN_TWO_UNITS = re.compile(r" ?[(\[/=|]")  # `10 oz (283 g)`: the same once more, and not another


def _restated(written: Written, end: int, *, decimal_comma: bool | None) -> tuple[Amount | None, str]:
    """Read a second statement of the amount, in brackets or after `/`, `=`, `or`; and what follows it."""
    opened = _OPENS_SECOND.match(written.text, end)
    if opened is None or opened.end() == end:
        return None, ""
    bracket = opened["sign"] in ("(", "[")
    alternative = phrase_pattern("alternative").match(written.folded, opened.end())
    start, near = _nearness(written, alternative.end() if alternative else opened.end())
    if number_at(written.text, start, decimal_comma=decimal_comma) is None or _DEGREES.match(written.text, start):
        return None, ""
    close = re.compile(r"[)\]]").search(written.text, start) if bracket else None
    inside_end = close.start() if close else len(written.text)
    inside = Written(written.text[:inside_end], written.folded[:inside_end])
    second = quantity_at(inside, start, decimal_comma=decimal_comma)
    if second.readings[0].unit == "%":
        return None, ""
    left = inside.text[second.end :].strip(" .,;:-")
    if left and (bracket or re.search(r"[0-9]", left)):
        raise Refused(_MORE_THAN_ONE, text=written.text)
    return Amount(second.readings, "", near), left or written.text[inside_end + 1 :].strip(" .,;:-")


def _agreed(
    ours: tuple[Reading, ...], theirs: tuple[Reading, ...], written: Written, *, near: bool
) -> tuple[tuple[Reading, ...], Reading | None]:
    """Return the readings of the first statement that the second agrees with; a weight wins over a volume.

    Two weights in two units that do not agree are both returned: the recipe may tell which is meant.
    """
    first, second = ours[0], theirs[0]
    if first.unit is None or second.unit is None:
        raise Refused(_SECOND_WITHOUT_UNIT, text=written.text)
    if second.measures == "mass" and (first.measures == "volume" or first.unit == "%"):
        return theirs, None  # `50 % = 500 g`: the weight is what goes into the pot
    if first.measures != second.measures:
        return ours, None
    agreeing = tuple(one for one in ours if any(_agree(one, other, near=near) for other in theirs))
    if not agreeing and first.measures == "mass" and first.unit != second.unit:
        return (first,), second
    if not agreeing:
        raise _disagree(first, second, written)
    return agreeing, None


def _disagree(first: Reading, second: Reading, written: Written) -> Refused:
    said = later("“{text}” gives two amounts that do not agree: {first} is not {second}")
    return Refused(said, text=written.text, first=first, second=second)


def _agree(one: Reading, other: Reading, *, near: bool) -> bool:
    size = max(abs(one.base), abs(other.base))
    rounding = _half_step(one) + _half_step(other)
    return abs(one.base - other.base) <= max(SAME * size, min(rounding, (NEARLY if near else ROUNDED) * size))


def _half_step(reading: Reading) -> float:
    """Return half of the last decimal written, in grams or millilitres."""
    smallest = "oz" if reading.unit == "lb oz" else reading.unit
    return make_reading(0.5 * 10.0**-reading.decimals, smallest, 0).base


# --------------------------------------------------------------------------- what else may stand after an amount


@cache
def _no_amount() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Return what may follow a number and make it no amount, each with what it is."""
    patterns = {
        r"[£€$¥]": later("“{text}” is money"),
        rf"(?:-|\.\.+|{any_of('range')}) ?[0-9]": later("“{text}” is a range: write the amount that was weighed"),
        r"[x×*@] ?[0-9]|x\b|×": later("“{text}” has to be multiplied: write the product"),
        r"\+ ?[0-9]|(?:plus|minus|less|weniger) [0-9a-z]": later("“{text}” leaves a sum to be done: write the result"),
        rf"/ ?(?:{unit_pattern()})": later("“{text}” is a rate and not an amount"),
    }
    return tuple((re.compile(pattern), what) for pattern, what in patterns.items())


_NO_BARE_NUMBER = (
    (re.compile(r"°|degrees?\b|grad\b|f\b"), later("“{text}” is a temperature")),
    (re.compile(r"(?:eur|usd|gbp|chf|pence|p|cents?)\b"), later("“{text}” is money")),
)


def _refuse_if_more(written: Written, end: int, quantity: Quantity, *, restated: bool) -> None:
    """Refuse a range, a rate, a sum, money, a temperature, a unit that is not known."""
    tail = written.folded[end:].lstrip(" ")
    if restated or not tail:
        return
    bare = quantity.readings[0].unit is None
    for pattern, what in (*_no_amount(), *(_NO_BARE_NUMBER if bare else ())):
        if pattern.match(tail):
            raise Refused(what, text=written.text)
    for kind in ("rate", "limit", "refused unit", *(("no measure",) if bare else ())):
        found = phrase_pattern(kind).match(tail.lstrip("(, "))
        if found:
            raise Refused(words(kind)[fold(found[0])], text=written.text)
    glued = re.match(r"[^\W\d_]+", written.text[end:])
    if bare and glued:
        raise Refused(later("“{unit}” is not a unit that is known"), unit=glued[0])


_SECOND_NUMBER = re.compile(rf"[ !*]*[(\[]? ?[0-9](?![0-9.,]* ?(?:%|{_TEMPERATURE}))")
_OF = re.compile(r"^(?:(?:of|von|de|di|do|da|van) |d')", re.IGNORECASE)


def _rest(written: Written, end: int, quantity: Quantity) -> str:
    """Return the words after the amount, which must not hold another one."""
    tail = written.text[end:]
    if _SECOND_NUMBER.match(tail):
        raise Refused(_SECOND_WITHOUT_UNIT, text=written.text)
    if _another_amount().search(fold_letters(tail)):
        raise Refused(_MORE_THAN_ONE, text=written.text)
    rest = _OF.sub("", tail.strip(" .,;:!*-"))
    if quantity.readings[0].unit is None and not _names_a_substance(rest):
        raise Refused(
            later("“{text}”: “{unit}” is not a unit that is known"), text=written.text, unit=rest.split(" ")[0]
        )
    return rest


@cache
def _another_amount() -> re.Pattern[str]:
    return re.compile(r"(?<![0-9a-z.,])[0-9][0-9.,/ ]* ?(?!%)(?:" + unit_pattern() + ")")


@cache
def _first_words_of_names() -> frozenset[str]:
    return frozenset(fold(spelling).partition(" ")[0] for spelling in name_index())


def _names_a_substance(rest: str) -> bool:
    first = fold(rest).partition(" ")[0]
    return not first or first in _first_words_of_names() or first in words("qualifier")
