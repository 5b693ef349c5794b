"""Names as the tables of substances have them, and how a name is told: `Name`."""

import math
import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import words
from sheetcheck.reference import name_index, substances

Certainty: TypeAlias = Literal["exact", "read as", "ambiguous", "unknown"]


@dataclass(frozen=True, slots=True)
class Name:
    """What a name means.

    `substance` is a key of the tables where `certainty` is `exact` or `read as`, else None; it is None as well for
    additions that are known by kind only (a scent, two herbs). `candidates` are the keys that an ambiguous name may
    mean. `strength` is the share of pure substance that the name gives (`NaOH (97%)` is 0.97), NaN where it gives none.
    """

    kind: str | None
    substance: str | None
    certainty: Certainty
    candidates: tuple[str, ...] = ()
    strength: float = math.nan


UNKNOWN = Name(None, None, "unknown")
ADDITION = Name("additive", None, "exact")


_OF = frozenset({"d", "de", "di", "da", "do", "du", "des", "del", "of", "van"})


def spelled_as(name: str) -> tuple[str, str, str]:
    """Return how a name stands in the index: folded, without its spaces, without its `of`: `huile coco`."""
    folded = fold(name)
    return folded, folded.replace(" ", ""), " ".join(word for word in folded.split() if word not in _OF)


@cache
def index() -> Mapping[str, tuple[str, ...]]:
    """Return the keys of every spelling, folded; spellings without their spaces stand there too."""
    found: dict[str, tuple[str, ...]] = {}
    for spelling, keys in name_index().items():
        for form in spelled_as(spelling):
            found[form] = tuple(dict.fromkeys((*found.get(form, ()), *keys)))
    for word, keys_of_word in words("doubtful name").items():  # one thing in the tables, several to makers
        found[word] = tuple(keys_of_word.split("|"))
    for word in words("no name"):  # a name in one language that is a common word in another
        found.pop(word, None)
    return found


@cache
def spellings() -> tuple[str, ...]:
    """Return every spelling, folded, with its spaces."""
    return tuple(map(fold, name_index()))


@cache
def by_first_letter() -> Mapping[str, tuple[str, ...]]:
    """Return the spellings by their first letter."""
    found: dict[str, list[str]] = defaultdict(list)
    for spelling in index():
        found[spelling[:1]].append(spelling)
    return {letter: tuple(spellings) for letter, spellings in found.items()}


@cache
def spellings_by_word() -> Mapping[str, tuple[frozenset[str], ...]]:
    """Return the spellings that hold a word, each as its set of words."""
    found: dict[str, list[frozenset[str]]] = defaultdict(list)
    for spelling in index():
        if len(spelling) > 2:
            together = frozenset(spelling.split())
            for word in together:
                found[word].append(together)
    return {word: tuple(spellings) for word, spellings in found.items()}


@cache
def by_words() -> Mapping[frozenset[str], tuple[str, ...]]:
    """Return the keys of every spelling, whatever the order of its words."""
    found: dict[frozenset[str], tuple[str, ...]] = {}
    for spelling, keys in index().items():
        bag = frozenset(spelling.split())
        found[bag] = tuple(dict.fromkeys((*found.get(bag, ()), *keys)))
    return found


def as_spelled(text: str) -> Name | None:
    """Look a name up with its accents: `thé` is tea, `the` is nothing."""
    keys = name_index().get(text.lower())
    return meaning(keys, "exact") if keys and not text.isascii() else None


def by_table(folded: str) -> Name | None:
    """Look a folded name up, with its spaces or without."""
    keys = index().get(folded) or index().get(folded.replace(" ", ""))
    return meaning(keys, "exact") if keys else None


def meaning(keys: tuple[str, ...], certainty: Certainty) -> Name:
    """Make a name of the keys that it may mean: ambiguous where these are several that bear on the lye."""
    if len(keys) == 1 and certainty != "ambiguous":
        return Name(substances()[keys[0]].kind, keys[0], certainty)
    kinds = {substances()[key].kind for key in keys}
    if kinds == {"additive"} and not any(substances()[key].naoh_per_g > 0 for key in keys):
        return ADDITION
    return Name(kinds.pop() if len(kinds) == 1 else None, None, "ambiguous", keys)


_INITIALS = re.compile(r"(?:[^\W\d_]\.? ?){2,4}")


def by_initials(text: str) -> Name | None:
    """Tell what two to four capitals may stand for (`OO`, `C.O.`): never certain without the maker's own legend."""
    bare = text.strip()
    if not bare.isupper() or not _INITIALS.fullmatch(bare):
        return None
    keys = _spelled_by_initials().get(fold(bare).replace(" ", ""), ())
    return meaning(keys, "ambiguous") if keys else None


@cache
def _spelled_by_initials() -> Mapping[str, tuple[str, ...]]:
    """Return the fats with a name of several words, by the first letters of these."""
    found: dict[str, list[str]] = defaultdict(list)
    for key, substance in substances().items():
        listed = fold(key).split()
        if len(listed) > 1 and substance.kind == "fat":
            found["".join(word[0] for word in listed)].append(key)
    return {initials: tuple(keys) for initials, keys in found.items()}


def kinds_of(word: str) -> set[str]:
    """Return the kinds of substances that a word names."""
    return {substances()[key].kind for key in index().get(word, ())}
