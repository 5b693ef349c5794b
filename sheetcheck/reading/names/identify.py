"""Which substance a name means: the names of the tables first, then a cautious match. Never a guess in silence."""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from sheetcheck.reading.names.alike import abbreviated, abbreviation, contained, misspelt, same_words
from sheetcheck.reading.names.forms import (
    LEADERS,
    by_forms,
    split_strength,
    with_strength,
    without_amount,
    without_aside,
)
from sheetcheck.reading.names.qualified import say_of, without_qualifiers
from sheetcheck.reading.names.scents import brewed, scent, scented_plants
from sheetcheck.reading.names.spellings import UNKNOWN, Certainty, Name, as_spelled, by_initials, by_table
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words

__all__ = ["Certainty", "Name", "abbreviation", "identify", "same_words"]

_LONGEST_LABEL = 12  # letters
_LONGEST_WITH_REMARK = 400  # characters
_DENIES = frozenset({"no", "not", "without", "less", "or", "ohne", "sans", "sin", "senza", "zonder", "sem", "instead"})
_NO_NAMES: Mapping[str, str] = {}


def identify(text: str, own_names: Mapping[str, str] = _NO_NAMES) -> Name:
    """Return what an ingredient's name means.

    Parameters
    ----------
    text
        The name as the sheet has it; an amount before or after it does not matter (`2 tsp charcoal`).
    own_names
        The maker's own words, each with the key or a name of a substance: they win.

    Examples
    --------
    >>> identify("Palm kernal oil (organic)").substance
    'palm kernel oil'
    >>> identify("good lather").certainty
    'unknown'
    """
    if own_names:
        mine = {fold(word): meaning for word, meaning in own_names.items()}
        meaning = mine.get(fold(text)) or mine.get(fold(without_amount(clean(text))))
        if meaning is not None:
            return _identify(meaning)
    return _identify(text)


@lru_cache(maxsize=65536)
def _identify(text: str) -> Name:
    whole = clean(LEADERS.sub(" ", text))
    strength, plain = split_strength(whole)
    name = without_amount(plain)
    found = (
        as_spelled(whole)
        or by_table(fold(whole))
        or by_table(fold(plain))
        or by_table(fold(name))
        or scent(name)
        or by_initials(name)
        or by_forms(name)
        or by_forms(without_aside(name))
        or _with_qualifiers(whole)
        or _behind_a_label(name)
        or brewed(name)
        or contained(name, others=0)
        or scented_plants(name)
        or abbreviated(name)
        or misspelt(name)
        or contained(name, others=1)
        or _before_a_remark(name)
        or UNKNOWN
    )
    return with_strength(found, strength)


def _with_qualifiers(text: str) -> Name | None:
    """Read a name beside words that only say how much of it a gram holds: `citric acid (50 % solution)`."""
    rest, taken = without_qualifiers(text)
    if not rest or rest == fold(text):
        return None
    found = by_table(rest) or by_forms(rest)
    return found if found is not None and found.substance and say_of(taken, found.substance) else None


def _before_a_remark(text: str) -> Name | None:
    """Read what stands before a comma or dash, where words follow that name nothing: `tallow, rendered by Ann`."""
    if len(text) > _LONGEST_WITH_REMARK:
        return None
    head, sign, remark = re.split(r"(,| [-–] )", text, maxsplit=1) if re.search(r",| [-–] ", text) else (text, "", "")
    if not sign or set(fold(remark).split()) & words("changes").keys() or _identify(remark).kind is not None:
        return None
    found = _identify(head)
    return replace(found, certainty="read as") if found.certainty == "exact" and found.substance else None


def _behind_a_label(text: str) -> Name | None:
    """Read what stands behind a short label with a colon: `Fat: lard`, `OO: olive oil`."""
    label, colon, rest = text.partition(":")
    if not colon or not 0 < len(label.strip()) <= _LONGEST_LABEL or set(fold(label).split()) & _DENIES:
        return None
    found = _identify(rest)
    return found if found.certainty == "exact" and found.kind is not None else None
