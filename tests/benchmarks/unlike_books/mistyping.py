"""Slips of the fingers in words: a neighbouring key, a letter doubled, dropped, or two swapped."""

from __future__ import annotations

import random

KEYBOARDS = {
    "en": ("qwertyuiop", "asdfghjkl", "zxcvbnm"),
    "de": ("qwertzuiopü", "asdfghjklöä", "yxcvbnm"),
    "fr": ("azertyuiop", "qsdfghjklm", "wxcvbn"),
}
SHORTEST = 5  # a shorter word mistyped is another word


def mistyped(word: str, rng: random.Random, language: str = "en") -> str:
    """Return a word with one slip of the fingers past its first letter; a short word as it is."""
    places = [i for i in range(1, len(word)) if word[i].isalpha()]
    if sum(letter.isalpha() for letter in word) < SHORTEST or not places:
        return word
    at = rng.choice(places)
    slip = rng.choice(("neighbour", "doubled", "dropped", "swapped"))
    if slip == "neighbour":
        return word[:at] + rng.choice(_neighbours(word[at], language)) + word[at + 1 :]
    if slip == "doubled":
        return word[:at] + word[at] + word[at:]
    if slip == "dropped":
        return word[:at] + word[at + 1 :]
    following = at + 1 if at + 1 < len(word) else at - 1
    first, second = sorted((at, following))
    return word[:first] + word[second] + word[first] + word[second + 1 :]


def _neighbours(letter: str, language: str) -> list[str]:
    """Keys beside a letter; the letter itself where it is not on the keyboard."""
    rows = KEYBOARDS.get(language, KEYBOARDS["en"])
    for number, row in enumerate(rows):
        at = row.find(letter.lower())
        if at >= 0:
            beside = [row[i] for i in (at - 1, at + 1) if 0 <= i < len(row)]
            near = [rows[other] for other in (number - 1, number + 1) if 0 <= other < len(rows)]
            beside += [other[at] for other in near if at < len(other)]
            return [key.upper() if letter.isupper() else key for key in beside]
    return [letter]
