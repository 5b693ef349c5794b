"""Additions known by what they are and not by name: scents, plants used for theirs, teas."""

import re

from sheetcheck.reading.names.forms import unqualified
from sheetcheck.reading.names.spellings import ADDITION, Name, kinds_of
from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import any_of, words

LONGEST = 6  # a name has at most so many words that matter; longer texts are remarks

_CARRIED_BY = frozenset(
    {"oil", "oils", "ol", "ole", "huile", "aceite", "olio", "olie", "oleo", "sprig", "sprigs", "leaves", "drops"}
)


# Essential or fragrance oil in French, Spanish, Italian, Portuguese and German, where capitals or accents say so.
_SCENT_IN_CAPITALS = frozenset({"HE", "AE", "OE", "ÄÖ", "PÖ"})


def scent(text: str) -> Name | None:
    """Tell a fragrance or an essential oil: an addition, whatever fruit or nut it smells of."""
    folded = fold(text)
    if len(folded.split()) >= LONGEST:
        return None
    said = re.search(any_of("scent"), folded) or any(map(_is_short_for_scent, re.split(r"[\s\-/]+", text)))
    return ADDITION if said else None


def _is_short_for_scent(word: str) -> bool:
    bare = word.strip(" ,;:()").replace(".", "")
    return bare.upper() in _SCENT_IN_CAPITALS and (bare.isupper() or not bare.isascii())


def scented_plants(text: str) -> Name | None:
    """Tell plants whose oil is used for its smell, and nothing else: `tea tree oil`, `cedar + lemon`."""
    folded = fold(text)
    left = re.sub(any_of("scented plant"), " ", folded)
    others = [word for word in left.split() if word not in words("qualifier") and word not in _CARRIED_BY]
    return ADDITION if left != folded and not others else None


def brewed(text: str) -> Name | None:
    """Tell a tea or a decoction, whatever plant it is of: `Brennnesselsud`, `hibiscus tea`, `décoction d'ortie`."""
    listed = [word for word in unqualified(fold(text)).split() if len(word) > 2]
    if not 0 < len(listed) <= LONGEST:
        return None
    if listed[-1] in words("brewed, at the end"):
        plant = listed[:-1]
    elif listed[0] in words("brewed, at the front"):
        plant = listed[1:]
    else:
        plant = [re.sub(f"(?:{'|'.join(words('brewed, in one word'))})$", "", word) for word in listed]
        if len(plant) != 1 or plant == listed or not _is_plant(plant[0]):
            return None
    fatty = any(word in _CARRIED_BY or kinds_of(word) & {"fat", "alkali"} for word in plant)
    return Name("liquid", "tea", "read as") if plant and not fatty else None


def _is_plant(word: str) -> bool:
    forms = (word, word.removesuffix("n"), word.removesuffix("s"), f"{word}e")
    return any("additive" in kinds_of(form) or re.fullmatch(any_of("scented plant"), form) for form in forms)
