"""How people shorten names: initials, first letters with or without a full stop, consonants."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from tests.benchmarks.unlike_books.data import JOINT

SMALL_WORDS = {"d", "de", "di", "du", "of", "al", "la", "il"}
VOWELS = "aeiouyàáâäèéêëìíîïòóôöœùúûü"


def parts(name: str) -> list[str]:
    """The words of a name; compounds taken apart at their joints, small words left out."""
    return [part for part in re.split(rf"[\s'’{JOINT}.()-]+", name) if part and part.lower() not in SMALL_WORDS]


def initials(name: str) -> str:
    """`coconut oil` -> `CO`."""
    return "".join(part[0] for part in parts(name)).upper()


def long_initials(name: str) -> str:
    """`coconut oil` -> `CoO`: where initials would be another's."""
    first, *others = parts(name)
    return first[:2].capitalize() + "".join(part[0] for part in others).upper()


def first_letters(name: str) -> str:
    """`coconut oil` -> `Coc`: the telling word, cut short."""
    return telling(name)[:3].capitalize()


def first_letters_and_stop(name: str) -> str:
    """`coconut oil` -> `Coc.`."""
    return first_letters(name) + "."


def more_letters(name: str) -> str:
    """`coconut oil` -> `Coco O`: more of the word, the rest as initials."""
    return " ".join((telling(name)[:4].capitalize(), *(p[0].upper() for p in parts(name) if p != telling(name))))


def consonants(name: str) -> str:
    """`coconut oil` -> `Ccnt`: the first letter, then what is no vowel."""
    word = telling(name)
    return (word[0] + "".join(letter for letter in word[1:] if letter.lower() not in VOWELS)).capitalize()


KINDS_OF_FAT = {
    "huile", "aceite", "olio", "olie", "öl", "oil", "beurre", "manteca", "burro", "butter", "boter", "graisse",
    "essentielle", "esencial", "essenziale", "etherische", "sweet", "white", "beef",
}  # fmt: skip


def telling(name: str) -> str:
    """The part of a name that tells it from others."""
    words = parts(name)
    return next((word for word in words if word.lower() not in KINDS_OF_FAT), words[0])


SCHEMES: Mapping[str, tuple[Callable[[str], str], ...]] = {  # a scheme, then what is done where two would be the same
    "initials": (initials, long_initials, more_letters),
    "first letters": (first_letters, more_letters),
    "first letters and stop": (first_letters_and_stop, more_letters),
    "consonants": (consonants, more_letters),
}
