"""Acids that words name beside the ingredients, and how much of each: `30 g citric acid dissolved in the water`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TypeAlias

from sheetcheck.reading.amounts.texts import amount_only
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import dimension
from sheetcheck.reading.word_list import any_of
from sheetcheck.reference import substances

_LONGEST_NAME = 5  # words
_WORDS_OF_AMOUNT = 4  # `1 1/2 level tsp`
_CLAUSE = re.compile(r"[;\n!?]|\.(?!\d)|,(?!\d)| - ")
_STRENGTH = re.compile(r"\(?\b\d{1,3}(?:[.,]\d+)? ?%\)?(?=$| )")
_EDGE = "():=,;+/~-"
_OF = frozenset({"of", "de", "d", "di", "da", "van", "von", "pure", "about", "the"})

_Words: TypeAlias = Sequence[str]


@dataclass(frozen=True, slots=True)
class Said:
    """An acid in a remark: its key, the words that tell of it, and its weight, "" where none is told."""

    substance: str
    name: str
    amount: str


@lru_cache(maxsize=65536)
def acids_said(text: str) -> tuple[Said, ...]:
    """Return the acids that a remark names as part of its recipe.

    >>> [(said.substance, said.amount) for said in acids_said("30 g citric acid dissolved in the water")]
    [('citric acid, anhydrous', '30 g')]
    >>> acids_said("no vinegar this time, moulds wiped with lemon juice")
    ()
    """
    if not _worth_a_look(text):
        return ()
    return tuple(said for clause in _CLAUSE.split(clean(text)) for said in _in_clause(clause))


def _worth_a_look(text: str) -> bool:
    return not _first_words().isdisjoint(fold(text).split())


def _in_clause(clause: str) -> Iterator[Said]:
    words = clause.split()
    for start, end, key in _named(words):
        about = fold(" ".join([*words[:start], *words[end:]]))
        another_is_meant = re.search(any_of("in place of") + r"(?: \w+)? $", fold(" ".join(words[:start])) + " ")
        if re.search(any_of("not in the pot"), about) or another_is_meant:
            continue
        yield _said(key, words[:start], words[start:end], words[end:])


def _named(words: Sequence[str]) -> Iterator[tuple[int, int, str]]:
    """Yield where in a text an acid is named, the longest name first, and which."""
    start = 0
    while start < len(words):
        for end in range(min(start + _LONGEST_NAME, len(words)), start, -1):
            key = _names().get(fold(" ".join(words[start:end])))
            if key is not None:
                yield start, end, key
                start = end - 1
                break
        start += 1


def _said(key: str, before: _Words, name: _Words, after: _Words) -> Said:
    """Take the weight or volume right before or behind a name for its amount; the rest of the clause may qualify it."""
    before, name, after = _with_its_strength(before, name, after)
    while before and fold(before[-1]) in _OF:
        before = before[:-1]
    for count in range(min(_WORDS_OF_AMOUNT, len(before)), 0, -1):
        if _weighs(text := " ".join(before[-count:]).strip(_EDGE)):
            return Said(key, _words(name, after), text)
    colon = next((place for place, word in enumerate(after, 1) if word.endswith((":", "="))), 0)
    for start in (0, colon):  # `citric acid 30 g`, `citric acid 50 % solution: 40 g`
        for count in range(min(_WORDS_OF_AMOUNT, len(after) - start), 0, -1):
            if _weighs(text := " ".join(after[start : start + count]).strip(_EDGE)):
                return Said(key, _words(name, after[:start], after[start + count :]), text)
    return Said(key, _words(name), "")


def _with_its_strength(before: _Words, name: _Words, after: _Words) -> tuple[_Words, _Words, _Words]:
    """Take a per cent right before or behind a name as part of it: `100 g of 10 % vinegar`, `vinegar (5 %) 100 g`."""
    ahead, behind = _STRENGTH.search(" ".join(before)), _STRENGTH.match(" ".join(after))
    if ahead is not None and not ahead.string[ahead.end() :]:
        return ahead.string[: ahead.start()].split(), [*name, *ahead[0].split()], after
    if behind is not None:
        return before, [*name, *behind[0].split()], behind.string[behind.end() :].split()
    return before, name, after


def _words(*parts: Sequence[str]) -> str:
    return " ".join(word.strip(_EDGE) for part in parts for word in part).strip()


def _weighs(text: str) -> bool:
    amount = amount_only(text)
    unit = amount.readings[0].unit if amount else None
    return unit is not None and dimension(unit) in ("mass", "volume")


@cache
def acids() -> frozenset[str]:
    """Return what takes up lye and is no fat: the acids, and what is like them (baking soda)."""
    return frozenset(key for key, substance in substances().items() if substance.role == "acid")


@cache
def _names() -> dict[str, str]:
    """Return every name of an acid, folded, that means nothing else."""
    names = {fold(name): key for key in acids() for names in substances()[key].names.values() for name in names}
    return {name: key for name, key in names.items() if identify(name).substance == key}


@cache
def _first_words() -> frozenset[str]:
    return frozenset(name.split()[0] for name in _names())
