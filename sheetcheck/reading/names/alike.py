"""Names that the tables hold nearly: inside a longer name, cut short, misspelt. Never a guess in silence."""

import re
from collections.abc import Iterable

from rapidfuzz import fuzz, process

from sheetcheck.reading.names.forms import BRACKET, INTO, unqualified
from sheetcheck.reading.names.scents import LONGEST
from sheetcheck.reading.names.spellings import (
    Name,
    by_first_letter,
    by_words,
    index,
    meaning,
    spellings,
    spellings_by_word,
)
from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import words

CLOSE = 88.0  # similarity (0 to 100) from which a spelling counts as a slip of another
APART = 6.0  # a second substance must be less similar by this much, or the name is ambiguous
LIKE = 70.0  # similarity from which one word counts as another
SHORTEST = 4  # letters that a word cut short must have kept
WORD_OF_ITS_OWN = 8  # letters from which a word is not easily another one


def contained(text: str, *, others: int) -> Name | None:
    """Find spellings inside a name, their words in any order, with so many other words that mean nothing here."""
    listed = unqualified(fold(INTO.sub("", text))).split()
    if not 0 < len(listed) <= LONGEST:
        return None
    left, found = set(listed), list[frozenset[str]]()
    for spelling in _longest_first(s for s in _sharing_a_word(left) if s <= left):
        if spelling <= left:
            found.append(spelling)
            left -= spelling
    if not found or len(left) > others or left & words("changes").keys():
        return None
    keys = tuple(dict.fromkeys(key for spelling in found for key in by_words()[spelling]))
    if not left:
        return meaning(keys, "exact")
    if len(listed) - len(left) < 2:
        return None
    confusable = _confusable(left, frozenset(listed) - left)
    return meaning(tuple(dict.fromkeys((*keys, *confusable))), "read as")


def _sharing_a_word(present: set[str]) -> set[frozenset[str]]:
    return {spelling for word in present for spelling in spellings_by_word().get(word, ())}


def _longest_first(spellings: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    return sorted(spellings, key=lambda spelling: (-len(spelling), -sum(map(len, spelling)), sorted(spelling)))


def _confusable(other: set[str], known: frozenset[str]) -> tuple[str, ...]:
    """Return the keys that a leftover word may point to: `palm kern oil` may be palm kernel oil."""
    return tuple(
        key
        for word in other
        for spelling in _longest_first(_sharing_a_word(set(known)))
        if any(_alike(word, theirs) for theirs in spelling - known)
        for key in by_words()[spelling]
    )


def _alike(word: str, other: str) -> bool:
    return fuzz.ratio(word, other) >= LIKE or (len(word) > 2 and other.startswith(word))


def abbreviated(text: str) -> Name | None:
    """Match words cut short by a full stop: `sunfl. oil`, `rice br.`."""
    pattern = abbreviation(BRACKET.sub(" ", text))
    if pattern is None:
        return None
    fitting = [spelling for spelling in spellings() if pattern.fullmatch(spelling)]
    keys = tuple(dict.fromkeys(key for spelling in fitting for key in index().get(spelling, ())))
    return meaning(keys, "read as") if keys else None


def abbreviation(text: str) -> re.Pattern[str] | None:
    """Return a pattern, for folded text, of what a text with words cut short by a full stop stands for; else None."""
    parts = [(fold(word), word.endswith(".")) for word in text.split()]
    if (
        not any(cut for _, cut in parts)
        or any(not word or " " in word for word, _ in parts)
        or len(parts[0][0]) < SHORTEST
    ):
        return None
    return re.compile(" ".join(re.escape(word) + (r"\w*" if cut else "") for word, cut in parts))


def misspelt(text: str) -> Name | None:
    """Match a slip of the pen; a name that is nearly two substances is ambiguous."""
    name = unqualified(fold(text))
    if not 6 <= len(name) <= 40 or len(name.split()) >= LONGEST:
        return None
    close = process.extract(
        name, by_first_letter().get(name[0], ()), scorer=fuzz.ratio, score_cutoff=CLOSE - APART, limit=20
    )
    if not close or close[0][1] < CLOSE or not same_words(name, close[0][0]):
        return None
    near = [spelling for spelling, score, _ in close if close[0][1] - score < APART]
    return meaning(tuple(dict.fromkeys(key for spelling in near for key in index()[spelling])), "read as")


def same_words(written: str, spelling: str) -> bool:
    """Tell whether every word has its like: `palm kernal oil` and `palm kernel oil`, not `good lather` and `goat …`.

    One short word alone must end as the other does: `Oliver` is no olive.
    """
    mine, theirs = written.split(), spelling.split()
    if len(mine) != len(theirs):
        return 1 in (len(mine), len(theirs))  # written as one word, or in two
    if len(mine) == 1 and len(written) < WORD_OF_ITS_OWN and written[-1] != spelling[-1]:
        return False
    return all(fuzz.ratio(one, other) >= LIKE for one, other in zip(mine, theirs, strict=True))
