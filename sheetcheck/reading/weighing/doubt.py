"""Which words of a book are in doubt, and which of them stand in the same recipes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.reading.candidates import languages_of
from sheetcheck.reading.headings import languages_of_phrase, read_heading
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words

_DISSOLVED = ("sodium hydroxide solution", "potassium hydroxide solution")  # `soda (lye)` may be dry as well


@dataclass(frozen=True, slots=True)
class Word:
    """A doubtful word, and the lines of the frame of components under it."""

    text: str
    at: NDArray[np.int64]


def doubtful(components: pd.DataFrame, explained: Iterable[str], statements: pd.DataFrame) -> list[Word]:
    """Return the doubtful words of a book, but those that it explains, with their lines, in reading order."""
    c = components
    if c.empty:
        return []
    weighed = c["grams"].notna() & (c["grams"] > 0)
    named = c["name"].cat.categories
    told = statements.loc[statements["kind"] == "alkali strength", "recipe"].unique()
    mine = {fold(word) for word in explained}
    makers = [name for name in named if fold(str(name)) in words("lye word") and fold(str(name)) not in mine]
    likened = [name for name in named if _only_like(str(name)) and fold(str(name)) not in mine]
    initials = [name for name in named if _is_initials(str(name)) and fold(str(name)) not in mine]
    dissolved = c["substance"].isin(_DISSOLVED)
    gives = [name for name in named if any(map(str.isdigit, str(name)))]  # `Soda lye 36 °Bé`
    strength_told = dissolved & (c["strength"].notna() | c["recipe"].isin(told) | c["name"].isin(gives))
    doubt = (
        weighed
        & ~strength_told
        & (
            (c["role"] == "unknown")
            | (c["name_certainty"] == "ambiguous")
            | c["name"].isin(makers)
            | dissolved
            | ((c["name_certainty"] == "read as") & c["name"].isin(likened))
            | ((c["role"] == "additive") & c["name"].isin(initials))
        )
    )
    if not doubt.any():
        return []
    at = np.flatnonzero(doubt.to_numpy())
    of: dict[str, list[int]] = {}
    texts: dict[str, str] = {}
    sheets, columns, names = (c[name].iloc[at].tolist() for name in ("sheet", "column", "name"))
    for place, sheet, column, name in zip(at.tolist(), sheets, columns, names, strict=True):
        text = clean(name) if isinstance(name, str) else ""
        key = fold(text) or f"{sheet}!{column}"
        of.setdefault(key, []).append(place)
        texts.setdefault(key, text)
    return [Word(texts[key], np.array(places, dtype=np.int64)) for key, places in of.items()]


def languages_written(texts: Iterable[str]) -> frozenset[str]:
    """Return the languages in which a book says what substances and columns are called; none where none are told."""
    told: Counter[str] = Counter()
    for text in {fold(text) for text in texts if len(text) <= _LONGEST}:
        told.update(languages_of(text) or languages_of_phrase(text))
    most = max(told.values(), default=0)
    return frozenset(language for language, count in told.items() if count >= max(_OF_A_LANGUAGE * most, 1))


_LONGEST = 40  # characters
_OF_A_LANGUAGE = 0.4  # of what the language says that says most


def _is_initials(name: str) -> bool:
    """Tell whether an addition is known by its initials alone: `FO` may be flax oil."""
    return 0 < sum(map(str.isalpha, name)) <= _SHORT and name.replace(".", "").isupper()


_SHORT = 3  # letters


@lru_cache(maxsize=20000)
def _only_like(name: str) -> bool:
    """Tell whether nothing but likeness gives a word a meaning."""
    return read_heading(name).role is None


def sharing_recipes(components: pd.DataFrame, found: Sequence[Word]) -> Iterator[list[Word]]:
    """Group words that stand in one recipe, and those that such words stand beside."""
    recipe = components["recipe"].to_numpy()
    groups: list[tuple[set[int], list[Word]]] = []
    for word in found:
        mine = set(recipe[word.at].tolist())
        joined: list[Word] = [word]
        apart = []
        for theirs, listed in groups:
            if theirs & mine:
                mine |= theirs
                joined = [*listed, *joined]
            else:
                apart.append((theirs, listed))
        groups = [*apart, (mine, joined)]
    yield from (listed for _, listed in groups)
