"""One number as people write it: `9.42`, `1.250,5`, `1'250.5`, `9 1/2`, `1e3`, `two and a half`."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from sheetcheck.reference.tables import rows

_FRACTION = re.compile(
    r"(?:(?P<whole>[0-9]{1,4})(?:-| (?:(?:and|&|\+|und|et) )?))?"
    r"(?P<over>[0-9]{1,2}) ?/ ?(?P<under>[0-9]{1,2})(?![0-9/])"
)
_DENOMINATORS = frozenset({2, 3, 4, 5, 6, 8, 10, 16, 32})
_DECIMAL = re.compile(
    r"""(?P<spaced>[1-9][0-9]{0,2}(?:[ '][0-9]{3})+(?![0-9]))(?P<spaced_rest>[.,][0-9]+)?
      | (?P<commas>[1-9][0-9]{0,2}(?:(?:,[0-9]{3}){2,}(?![0-9])|,[0-9]{3}(?=\.[0-9])))(?P<commas_rest>\.[0-9]+)?
      | (?P<dots>[1-9][0-9]{0,2}(?:(?:\.[0-9]{3}){2,}(?![0-9])|\.[0-9]{3}(?=,[0-9])))(?P<dots_rest>,[0-9]+)?
      | (?P<either>[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9]))
      | (?P<plain>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?P<power>[eE][+-]?[0-9]{1,2}(?![0-9]))?
    """,
    re.VERBOSE,
)
_GOES_ON = re.compile(r"[.,'][0-9.,']|[0-9]|\.(?: |$)")


@dataclass(frozen=True, slots=True)
class Number:
    """A number at the start of a text: what it may be, decimals as written, where it ends."""

    values: tuple[float, ...]  # two where it has two readings
    decimals: tuple[int, ...]
    end: int
    in_words: bool = False


def number_at(text: str, start: int, *, decimal_comma: bool | None) -> Number | None:
    """Read the number that begins at a place of a clean text; None where none does, or where it is malformed."""
    fraction = _FRACTION.match(text, start)
    if fraction:
        return _fraction(fraction)
    found = _DECIMAL.match(text, start)
    if found is None or _GOES_ON.match(text, found.end()):
        return None
    if found["either"]:
        return _two_readings(found["either"], found.end(), decimal_comma=decimal_comma)
    for group in ("spaced", "commas", "dots"):
        if found[group]:
            rest = (found[f"{group}_rest"] or "").replace(",", ".")
            return Number((float(re.sub("[ ',.]", "", found[group]) + rest),), (max(len(rest) - 1, 0),), found.end())
    written = found["plain"].replace(",", ".")
    return Number((float(written + (found["power"] or "")),), (len(written.partition(".")[2]),), found.end())


def _two_readings(written: str, end: int, *, decimal_comma: bool | None) -> Number:
    thousands = float(re.sub("[.,]", "", written))
    parted = float(written.replace(",", "."))
    comma = "," in written
    if decimal_comma is not None:
        return Number((parted,), (3,), end) if decimal_comma == comma else Number((thousands,), (0,), end)
    return Number((thousands, parted), (0, 3), end) if comma else Number((parted, thousands), (3, 0), end)


def _fraction(found: re.Match[str]) -> Number | None:
    over, under = int(found["over"]), int(found["under"])
    if under not in _DENOMINATORS or not 0 < over < under:
        return None
    value = int(found["whole"] or 0) + over / under
    return Number((value,), (_decimals_of(over / under),), found.end())


def _decimals_of(part: float) -> int:
    """Return how many decimals a fraction of one needs, at most three."""
    return next((n for n in range(3) if round(part, n) == part), 3) if round(part * 32) == part * 32 else 2


# --------------------------------------------------------------------------- in words


def word_number_at(folded: str, start: int) -> Number | None:
    """Read a number in words: `one`, `half a`, `two and a half`, `a quarter of a`."""
    found = _number_words().match(folded, start)
    if found is None:
        return None
    counts, fractions = _word_values()
    part = found["part"] or found["more"]
    value = (counts[found["count"]] if found["count"] else 0.0) + (fractions[part] if part else 0.0)
    return Number((value,), (_decimals_of(fractions[part]) if part else 0,), found.end(), in_words=True)


@cache
def _word_values() -> tuple[Mapping[str, float], Mapping[str, float]]:
    table = [row for row in rows("words.csv") if row["kind"] in ("number", "fraction")]
    counts = {row["word"]: float(row["value"]) for row in table if row["kind"] == "number"}
    fractions = {row["word"]: float(row["value"]) for row in table if row["kind"] == "fraction"}
    return counts, fractions


@cache
def _number_words() -> re.Pattern[str]:
    counts, fractions = ("|".join(sorted(words, key=len, reverse=True)) for words in _word_values())
    article = r"(?:an?|une?|ein|eine[nms]?|una|un|een|uma?)"
    return re.compile(
        rf"(?:{article} )?(?P<part>{fractions})(?: (?:of )?(?:an?|the)\b)?(?![a-z])"
        rf"|(?P<count>{counts})(?: (?:and|und|et|y|e|en) (?:{article} )?(?P<more>{fractions}))?(?![a-z])"
    )
