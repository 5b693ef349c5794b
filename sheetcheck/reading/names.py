"""Which substance a name means: the names of the tables first, then a cautious match. Never a guess in silence."""

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal, TypeAlias

from rapidfuzz import fuzz, process

from sheetcheck.reading.amounts import read_amount
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import any_of, words
from sheetcheck.reference import name_index, substances

Certainty: TypeAlias = Literal["exact", "read as", "ambiguous", "unknown"]

CLOSE = 88.0  # similarity (0 to 100) from which a spelling counts as a slip of another
APART = 6.0  # a second substance must be less similar by this much, or the name is ambiguous
LIKE = 70.0  # similarity from which one word counts as another
SHORTEST = 4  # letters that a word cut short must have kept
WORD_OF_ITS_OWN = 8  # letters from which a word is not easily another one
LONGEST = 6  # a name has at most so many words that matter; longer texts are remarks


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
_ADDITION = Name("additive", None, "exact")
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
        meaning = {fold(word): meaning for word, meaning in own_names.items()}.get(fold(text))
        if meaning is not None:
            return _identify(meaning)
    return _identify(text)


@lru_cache(maxsize=65536)
def _identify(text: str) -> Name:
    whole = clean(text)
    strength, plain = _split_strength(whole)
    name = _without_amount(plain)
    found = (
        _as_spelled(whole)
        or _by_table(fold(whole))
        or _by_table(fold(plain))
        or _by_table(fold(name))
        or _scent(name)
        or _by_forms(name)
        or _brewed(name)
        or _contained(name, others=0)
        or _scented_plants(name)
        or _abbreviated(name)
        or _misspelt(name)
        or _contained(name, others=1)
        or UNKNOWN
    )
    return _with_strength(found, strength)


# --------------------------------------------------------------------------- the tables


@cache
def _index() -> Mapping[str, tuple[str, ...]]:
    """Return the keys of every spelling, folded; spellings without their spaces stand there too."""
    index: dict[str, tuple[str, ...]] = {}
    for spelling, keys in name_index().items():
        for form in (fold(spelling), fold(spelling).replace(" ", "")):
            index[form] = tuple(dict.fromkeys((*index.get(form, ()), *keys)))
    for word, keys_of_word in words("doubtful name").items():  # one thing in the tables, several to makers
        index[word] = tuple(keys_of_word.split("|"))
    for word in words("no name"):  # a name in one language that is a common word in another
        index.pop(word, None)
    return index


@cache
def _spellings() -> tuple[str, ...]:
    """Return every spelling, folded, with its spaces."""
    return tuple(map(fold, name_index()))


@cache
def _by_first_letter() -> Mapping[str, tuple[str, ...]]:
    found: dict[str, list[str]] = defaultdict(list)
    for spelling in _index():
        found[spelling[:1]].append(spelling)
    return {letter: tuple(spellings) for letter, spellings in found.items()}


@cache
def _spellings_by_word() -> Mapping[str, tuple[frozenset[str], ...]]:
    """Return the spellings that hold a word, each as its set of words."""
    found: dict[str, list[frozenset[str]]] = defaultdict(list)
    for spelling in _index():
        if len(spelling) > 2:
            for word in spelling.split():
                found[word].append(frozenset(spelling.split()))
    return {word: tuple(spellings) for word, spellings in found.items()}


@cache
def _by_words() -> Mapping[frozenset[str], tuple[str, ...]]:
    """Return the keys of every spelling, whatever the order of its words."""
    index: dict[frozenset[str], tuple[str, ...]] = {}
    for spelling, keys in _index().items():
        bag = frozenset(spelling.split())
        index[bag] = tuple(dict.fromkeys((*index.get(bag, ()), *keys)))
    return index


def _as_spelled(text: str) -> Name | None:
    """Look a name up with its accents: `thé` is tea, `the` is nothing."""
    keys = name_index().get(text.lower())
    return _meaning(keys, "exact") if keys and not text.isascii() else None


def _by_table(folded: str) -> Name | None:
    keys = _index().get(folded) or _index().get(folded.replace(" ", ""))
    return _meaning(keys, "exact") if keys else None


def _meaning(keys: tuple[str, ...], certainty: Certainty) -> Name:
    if len(keys) == 1:
        return Name(substances()[keys[0]].kind, keys[0], certainty)
    kinds = {substances()[key].kind for key in keys}
    if kinds == {"additive"} and not any(substances()[key].naoh_per_g > 0 for key in keys):
        return _ADDITION
    return Name(kinds.pop() if len(kinds) == 1 else None, None, "ambiguous", keys)


# --------------------------------------------------------------------------- strength and amount

_PERCENT = re.compile(
    r"[@~]? ?(?<![0-9.,])([0-9]{1,3}(?:[.,][0-9]+)?) ?%(?: ?(?:pure|purity|strength|ig(?:en?|er|es)?|conc)\b)?"
)
_HALVES = re.compile(r"\b(?:1:1|50 ?[/:] ?50)\b")


def _split_strength(plain: str) -> tuple[float, str]:
    """Take a percentage off a name; `1:1` and `50/50` of a solution are equal weights."""
    found = _PERCENT.search(plain) or _HALVES.search(plain)
    if found is None:
        return math.nan, plain
    share = float(found[1].replace(",", ".")) / 100 if found.re is _PERCENT else 0.5
    left = re.sub(r"\( *\)", " ", f"{plain[: found.start()]} {plain[found.end() :]}")
    return (share if 0 < share <= 1 else math.nan), clean(left)


def _with_strength(name: Name, strength: float) -> Name:
    """Keep a strength where it is one; a solution of known strength is that much of what is dissolved in it."""
    if name.substance is None or math.isnan(strength):
        return name
    substance = substances()[name.substance]
    if substance.solution_of:
        return replace(name, kind="alkali", substance=substance.solution_of, strength=strength)
    return replace(name, strength=strength) if substance.kind in ("alkali", "acid") else name


_NO_MEASURE = re.compile(
    r"^(?:an? )?(?:small |large |good )?(?:handful|pinch|sprig|splash|bunch|knob|dash)s?(?: of)? ", re.IGNORECASE
)
_MAY_BE_AMOUNT = re.compile(r"(?<=\S)[ :,=(-]+(?=[0-9~])")


def _without_amount(text: str) -> str:
    """Take an amount off the front (`2 tsp charcoal`) or the end (`peppermint 15 drops`)."""
    before = read_amount(text)
    if before.readings and before.rest:
        return before.rest
    for cut in _MAY_BE_AMOUNT.finditer(text):
        after = read_amount(text[cut.end() :].rstrip(" )"))
        if after.readings and after.readings[0].unit and not after.rest:
            return text[: cut.start()]
    return _NO_MEASURE.sub("", text)


# --------------------------------------------------------------------------- forms of one name

_BRACKET = re.compile(r"[(\[]([^()\[\]]*)[)\]]?")
_INTO = re.compile(
    r"\b(?:in|into|im|dans|en|nel)\b(?: \w+)? (?:the )?(?:lye|water|milk|liquid|wasser|eau|agua|acqua)\b.*$",
    re.IGNORECASE,
)


def _by_forms(text: str) -> Name | None:
    """Look a name up without its brackets and qualifiers, where these are harmless."""
    inside, outside = " ".join(_BRACKET.findall(text)), _BRACKET.sub(" ", text)
    forms = [fold(text)] if _may_change(inside, outside) else [fold(text), fold(outside)]
    for form in dict.fromkeys((*forms, *map(_unqualified, forms))):
        found = _by_table(form) if form else None
        if found is not None:
            return found
    return None


def _may_change(inside: str, outside: str) -> bool:
    """Tell whether the words in brackets may make another substance of it: `olive oil (hydrogenated)`."""
    bare = _unqualified(fold(inside))
    if not bare or _index().get(bare, ()) == _index().get(_unqualified(fold(outside)), (None,)):
        return False
    beside = set(fold(outside).split())
    return bare in _index() or any(
        word in words("changes") or any(spelling & beside for spelling in _spellings_by_word().get(word, ()))
        for word in bare.split()
    )


def _unqualified(folded: str) -> str:
    return " ".join(word for word in folded.split() if word not in words("qualifier") and not word.isdigit())


# --------------------------------------------------------------------------- scents

_CARRIED_BY = frozenset(
    {"oil", "oils", "ol", "ole", "huile", "aceite", "olio", "olie", "oleo", "sprig", "sprigs", "leaves", "drops"}
)


def _scent(text: str) -> Name | None:
    """Tell a fragrance or an essential oil: an addition, whatever fruit or nut it smells of."""
    folded = fold(text)
    return _ADDITION if len(folded.split()) < LONGEST and re.search(any_of("scent"), folded) else None


def _scented_plants(text: str) -> Name | None:
    """Tell plants whose oil is used for its smell, and nothing else: `tea tree oil`, `cedar + lemon`."""
    folded = fold(text)
    left = re.sub(any_of("scented plant"), " ", folded)
    others = [word for word in left.split() if word not in words("qualifier") and word not in _CARRIED_BY]
    return _ADDITION if left != folded and not others else None


def _brewed(text: str) -> Name | None:
    """Tell a tea or a decoction, whatever plant it is of: `Brennnesselsud`, `hibiscus tea`, `décoction d'ortie`."""
    listed = [word for word in _unqualified(fold(text)).split() if len(word) > 2]
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
    fatty = any(word in _CARRIED_BY or _kinds(word) & {"fat", "alkali"} for word in plant)
    return Name("liquid", "tea", "read as") if plant and not fatty else None


def _is_plant(word: str) -> bool:
    forms = (word, word.removesuffix("n"), word.removesuffix("s"), f"{word}e")
    return any("additive" in _kinds(form) or re.fullmatch(any_of("scented plant"), form) for form in forms)


def _kinds(word: str) -> set[str]:
    return {substances()[key].kind for key in _index().get(word, ())}


# --------------------------------------------------------------------------- inside a longer name, and misspelt


def _contained(text: str, *, others: int) -> Name | None:
    """Find spellings inside a name, their words in any order, with so many other words that mean nothing here."""
    listed = _unqualified(fold(_INTO.sub("", text))).split()
    if not 0 < len(listed) <= LONGEST:
        return None
    left, found = set(listed), list[frozenset[str]]()
    for spelling in _longest_first(s for s in _sharing_a_word(left) if s <= left):
        if spelling <= left:
            found.append(spelling)
            left -= spelling
    if not found or len(left) > others or left & words("changes").keys():
        return None
    keys = tuple(dict.fromkeys(key for spelling in found for key in _by_words()[spelling]))
    if not left:
        return _meaning(keys, "exact")
    if len(listed) - len(left) < 2:
        return None
    confusable = _confusable(left, frozenset(listed) - left)
    return _meaning(tuple(dict.fromkeys((*keys, *confusable))), "read as")


def _sharing_a_word(present: set[str]) -> set[frozenset[str]]:
    return {spelling for word in present for spelling in _spellings_by_word().get(word, ())}


def _longest_first(spellings: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    return sorted(spellings, key=lambda spelling: (-len(spelling), -sum(map(len, spelling)), sorted(spelling)))


def _confusable(other: set[str], known: frozenset[str]) -> tuple[str, ...]:
    """Return the keys that a leftover word may point to: `palm kern oil` may be palm kernel oil."""
    return tuple(
        key
        for word in other
        for spelling in _longest_first(_sharing_a_word(set(known)))
        if any(_alike(word, theirs) for theirs in spelling - known)
        for key in _by_words()[spelling]
    )


def _alike(word: str, other: str) -> bool:
    return fuzz.ratio(word, other) >= LIKE or (len(word) > 2 and other.startswith(word))


def _abbreviated(text: str) -> Name | None:
    """Match words cut short by a full stop: `sunfl. oil`, `rice br.`."""
    pattern = abbreviation(_BRACKET.sub(" ", text))
    if pattern is None:
        return None
    fitting = [spelling for spelling in _spellings() if pattern.fullmatch(spelling)]
    keys = tuple(dict.fromkeys(key for spelling in fitting for key in _index().get(spelling, ())))
    return _meaning(keys, "read as") if keys else None


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


def _misspelt(text: str) -> Name | None:
    """Match a slip of the pen; a name that is nearly two substances is ambiguous."""
    name = _unqualified(fold(text))
    if not 6 <= len(name) <= 40 or len(name.split()) >= LONGEST:
        return None
    close = process.extract(
        name, _by_first_letter().get(name[0], ()), scorer=fuzz.ratio, score_cutoff=CLOSE - APART, limit=20
    )
    if not close or close[0][1] < CLOSE or not same_words(name, close[0][0]):
        return None
    near = [spelling for spelling, score, _ in close if close[0][1] - score < APART]
    return _meaning(tuple(dict.fromkeys(key for spelling in near for key in _index()[spelling])), "read as")


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
