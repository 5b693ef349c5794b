"""The words of `reference/words.csv`, by kind: small words that amounts, units and names are written with."""

import re
from collections.abc import Mapping
from functools import cache

from sheetcheck.reference.tables import rows


def words(kind: str) -> Mapping[str, str]:
    """Return the words of one kind, folded, each with what the table says of it: a value or a reason, else ""."""
    return _by_kind().get(kind, {})


@cache
def _by_kind() -> Mapping[str, Mapping[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for row in rows("words.csv"):
        found.setdefault(row["kind"], {})[row["word"]] = row["value"] or row["why"]
    return found


@cache
def any_of(kind: str) -> str:
    """Return a regular expression, for folded text, of the words of one kind: longest first, whole words only."""
    longest_first = sorted(words(kind), key=lambda word: (-len(word), word))
    return r"\b(?:" + "|".join(word.replace(" ", r"[ .]+") for word in longest_first) + r")(?![^\W_])"


@cache
def phrase_pattern(kind: str) -> re.Pattern[str]:
    """Return a pattern of the words of one kind with the dot, colon and spaces that may follow."""
    return re.compile(any_of(kind) + r"\.?:? *")


@cache
def phrase_or_bracket(kind: str) -> re.Pattern[str]:
    """Return a pattern of the words of one kind as they stand behind an amount, in brackets or not."""
    return re.compile(rf"[ .,-]*(?:\( *{any_of(kind)}\.? *\)|{any_of(kind)}\.?(?! ?[0-9]))")
