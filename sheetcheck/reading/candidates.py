"""What a text may mean: several meanings, each with a prior log-probability [nats], instead of one decision.

A maker writes `Olive oil`, `Oliv oli`, `Ol.`, `OO`, `olv`: the names of the tables are compared with the text in each
of these ways of writing, and every fit is a meaning. Beside them stand the meanings that no spelling gives: a fat
that no table has, a sum, the lye or the liquid under a word of her own, something that takes up no lye. Which of them
holds is weighed over the whole book (`reading/weighing`); here nothing is decided.

A new way of writing a name is one function that yields (key, nats, how telling), listed in `_WAYS`.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal, TypeAlias

from rapidfuzz import process
from rapidfuzz.distance import OSA

from sheetcheck.reading.headings import Heading
from sheetcheck.reading.names.forms import BRACKET, unqualified
from sheetcheck.reading.names.spellings import Name, index, spelled_as
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import split_heading_unit
from sheetcheck.reading.word_list import words
from sheetcheck.reading.words import is_total
from sheetcheck.reference import substances
from sheetcheck.reference.tables import rows

MeaningRole: TypeAlias = Literal["fat", "alkali", "liquid", "acid", "additive", "sum"]


@dataclass(frozen=True, slots=True)
class Meaning:
    """A role, the substance where one is meant, and how probable that is before any amount is looked at.

    `additive` bears on neither lye nor water: a scent, a clay, and whatever is no ingredient at all. `sum` repeats
    other amounts. A fat without a substance is one that no table has. `spelled` tells whether any letter of the text
    speaks for it, `way` in which way of writing it does.
    """

    role: MeaningRole
    substance: str | None
    prior: float  # nats
    spelled: bool = True
    way: str = ""


@dataclass(frozen=True, slots=True)
class Hand:
    """How a maker writes: the languages of her names, none where that is not known, and how often she writes in a way.

    Who leaves out the vowels of five names does so in the sixth; who writes `huile d'olive` means by `S` no shea.
    """

    languages: frozenset[str] = frozenset()
    ways: tuple[tuple[str, int], ...] = ()

    def speaks_for(self, way: str, spelling: str) -> float:
        """Return the nats that her other names speak for a name written so."""
        named_in = languages_of(spelling) if self.languages else frozenset()
        foreign = named_in and not self.languages & named_in
        return math.log1p(dict(self.ways).get(way, 0)) + (_FOREIGN if foreign else 0.0)


ANYONE = Hand()


# Priors, from memory of hand-kept books and not fitted: they need to be right to a nat or two, since a few rows
# outweigh them. How often makers write a name so, relative to writing it out:
_SLIP, _FAR_SLIP = -1.3, -2.2  # for each letter wrong, in a long and in a short word
_CUT_WITH_STOP, _CUT, _FEW_LETTERS = -0.3, -0.8, -1.0
_INITIALS, _NOT_CAPITALS = -1.0, -1.5
_NOT_EVERYDAY = -1.0
_FOREIGN = -1.5  # a name of a language in which the maker writes no other
_HUMPS = -0.5
_BARE = -0.5
_IN_ORDER = -2.5
_ONE_LETTER = -2.5
_ONE_WORD_OF_TWO, _AMONG_WORDS, _WORD_TOO_MANY, _KIND_OF = -2.0, -3.5, -1.0, -1.5
RARE = -3.0  # how much seldomer a fat that `usual.csv` does not list is met than an everyday one
_NO_SPELLING: Mapping[tuple[MeaningRole, str | None], float] = {
    ("additive", None): -1.0,
    ("fat", None): -2.5,
    ("sum", None): -3.0,
    ("liquid", None): -4.0,
    ("alkali", "sodium hydroxide"): -4.0,
    ("fat", "olive oil"): -4.5,  # the commonest fats, under a word that has nothing of their names
    ("fat", "coconut oil"): -4.5,
    ("fat", "palm oil"): -5.5,
    ("fat", "castor oil"): -5.5,
}
_SUM_SAID = 4.0  # nats that a word for a sum speaks for it
_CALLED_OIL = -1.5  # nats that a word for oil, butter, fat speaks for no ingredient
_MOST = 9

# How seldom a word that is no ingredient looks so like one, by the letters that agree [nats]: one word of four letters
# in ten is a letter away from a name, one of eight in a thousand.
_CHANCE = {2: 0.8, 3: 1.5, 4: 2.5, 5: 3.5, 6: 4.5, 7: 5.5}
_SELDOM = 6.5

_What: TypeAlias = tuple[MeaningRole, str | None]
Found: TypeAlias = Iterator[tuple[str, float, float, str]]  # key, prior, how telling the likeness is, the spelling


@lru_cache(maxsize=20000)
def candidates(text: str, hand: Hand = ANYONE) -> tuple[Meaning, ...]:
    """Return what a text may mean as the name of an amount, likeliest first; the priors add up to a probability of 1.

    `hand` is how its maker writes, as far as that is known.

    Examples
    --------
    >>> [m.substance for m in candidates("Oliv oli")][:1]
    ['olive oil']
    >>> candidates("soda")[0].substance
    'sodium hydroxide'
    """
    listed, ways, telling = _spelled(text, hand)
    for (role, key), prior in _NO_SPELLING.items():
        said = _SUM_SAID + telling if role == "sum" and is_total(text) else 0.0
        said += _CALLED_OIL if role == "additive" and _is_called_oil(text) else 0.0
        listed[role, key] = max(listed.get((role, key), -math.inf), prior + said - telling)
    total = math.log(sum(math.exp(prior) for prior in listed.values()))
    found = [Meaning(*what, prior - total, what in ways, ways.get(what, "")) for what, prior in listed.items()]
    return tuple(sorted(found, key=lambda m: -m.prior))


def placed(meanings: Sequence[Meaning], among_fats: float) -> tuple[Meaning, ...]:
    """Return meanings, likeliest first, with what its place tells: among fats (1), behind the lye (-1)."""
    told = [replace(m, prior=m.prior + among_fats * _PLACE.get(m.role, 0.0)) for m in meanings]
    total = math.log(sum(math.exp(m.prior) for m in told))
    return tuple(sorted((replace(m, prior=m.prior - total) for m in told), key=lambda m: -m.prior))


_PLACE: Mapping[MeaningRole, float] = {"fat": 0.7, "additive": -1.0}  # nats
_LIKELY = -0.8  # prior from which a meaning is taken for the likely one: nearly one half
_LONGEST_NAME, _MOST_WORDS = 28, 4


def likely_name(name: Name, text: str) -> Name:
    """Return what a doubtful name most likely means, `read as`; the name itself where nothing is likely."""
    best = _likely(text)
    return Name(best.role, best.substance, "read as", strength=name.strength) if best is not None else name


def likely_heading(heading: Heading, text: str) -> Heading:
    """Return what a doubtful heading most likely means, `read as`; the heading itself where nothing is likely."""
    best = _likely(heading.text or text)
    return replace(heading, role=best.role, substance=best.substance, certainty="read as") if best else heading


def _likely(text: str) -> Meaning | None:
    if not 1 < len(text) <= _LONGEST_NAME or len(text.split()) > _MOST_WORDS or text[:1].isdigit():
        return None
    best = candidates(text)[0]
    return best if best.role in ("fat", "alkali", "liquid") and best.substance and best.prior >= _LIKELY else None


def usual(key: str) -> float:
    """Return how often a substance is met in home-made soap, in nats below the commonest."""
    return _usual().get(key, RARE if substances()[key].role in ("fat", "liquid") else -1.0)


@cache
def _usual() -> Mapping[str, float]:
    return {row["key"]: float(row["nats"]) for row in rows("usual.csv")}


def _meaning(key: str, prior: float) -> Meaning:
    substance = substances()[key]
    role: MeaningRole = substance.role
    if substance.kind == "refused" and role == "alkali" and not substance.solution_of:
        role = "additive"  # a carbonate makes no soap in the cold
    if role == "liquid" and not substance.water >= max(substance.sugar, _WATERY):
        role = "additive"
    return Meaning(role, key, prior)


_WATERY = 0.4  # share of water below which a liquid is none to dissolve the lye in


# --------------------------------------------------------------------------- by spelling


def _is_called_oil(text: str) -> bool:
    """Tell whether a text calls what it names an oil, a butter, a fat: `Trish's oil blend`, `walnotenolie`."""
    listed = fold(text).split()
    return any(word in _FATTY or word.endswith(_FATTY_ENDS) for word in listed)


@dataclass(frozen=True, slots=True)
class _Text:
    """A text in the forms that the ways of writing look at."""

    words: tuple[str, ...]
    stops: tuple[bool, ...]  # which words end in a full stop
    solid: str  # the words without spaces
    capitals: bool
    letters: int
    humps: tuple[str, ...]  # of a word such as `CoO` or `PKernO`: its parts from capital to capital


def _spelled(text: str, hand: Hand) -> tuple[dict[_What, float], dict[_What, str], float]:
    """Return each substance that a text may be a spelling of, with its prior and its way of writing.

    The third is how telling the best likeness is.
    """
    known = [_meaning(key, nats) for key, nats in _lye_word(fold(text))]
    if known:
        return {(m.role, m.substance): m.prior for m in known}, {(m.role, m.substance): "lye word" for m in known}, 2.0
    form = _form(text)
    if form is None:
        return {}, {}, 0.0
    best: dict[str, tuple[float, float, str]] = {}
    for way in _WAYS:
        for key, prior, telling, spelling in way(form):
            written = prior + hand.speaks_for(way.__name__, spelling)
            best[key] = max(best.get(key, (-math.inf, 0.0, "")), (written, telling, way.__name__), key=_likeliest)
    # Of several the usual one is likelier; that one is rare makes it no less an ingredient.
    likely = {key: prior + telling + usual(key) for key, (prior, telling, _) in best.items()}
    if not likely:
        return {}, {}, 0.0
    first = max(likely, key=lambda key: likely[key])
    telling = best[first][1]
    shift = best[first][0] - likely[first]
    found: dict[_What, float] = {}
    ways: dict[_What, str] = {}
    for key in sorted(likely, key=lambda key: -likely[key])[:_MOST]:
        meaning = _meaning(key, likely[key] + shift)
        what = meaning.role, meaning.substance if meaning.role != "additive" else None
        if meaning.prior > found.get(what, -math.inf):
            found[what], ways[what] = meaning.prior, best[key][2]
    return found, ways, telling


def _likeliest(found: tuple[float, float, str]) -> float:
    return found[0] + found[1]


def _chance(letters: int) -> float:
    return _CHANCE.get(letters, 0.0 if letters < 2 else _SELDOM)


def _form(text: str) -> _Text | None:
    bare = clean(BRACKET.sub(" ", split_heading_unit(clean(text))[0])) or clean(text)
    bare = re.sub(r"[#%*]|\b\d+(?:[.,/]\d+)?\b", " ", bare)
    parts = [(fold(part), part.endswith(".")) for part in re.split(r"[\s/_'-]+|(?<=\.)(?=\w)", bare) if fold(part)]
    kept = unqualified(" ".join(_as_qualifier(word) for word, _ in parts)).split()
    if kept and len(kept) < len(parts):
        parts = [part for part in parts if part[0] in kept]
    solid = "".join(word for word, _ in parts).replace(" ", "")
    if not 1 <= len(solid) <= 40 or len(parts) > 5 or any(c in bare for c in "£$€"):
        return None
    letters = re.sub(r"[^\w]", "", bare)
    humped = len(parts) == 1 and _HUMPED.fullmatch(letters)
    humps = tuple(fold(part) for part in _HUMP.findall(letters)) if humped else ()
    return _Text(tuple(w for w, _ in parts), tuple(s for _, s in parts), solid, letters.isupper(), len(letters), humps)


@lru_cache(maxsize=4096)
def _as_qualifier(word: str) -> str:
    """Return the qualifier that a word is a slip of (`perllen`), else the word."""
    if len(word) < _LONG or word in _names() or word in words("changes"):
        return word
    found = process.extractOne(word, words("qualifier").keys(), scorer=OSA.distance, score_cutoff=1)
    return word if found is None else found[0]


_LONG = 5  # letters of a word in which one may be wrong
_HUMP, _HUMPED = re.compile("[A-Z][a-z]*"), re.compile("(?=.*[a-z][A-Z])(?:[A-Z][a-z]*){2,4}")


@cache
def languages_of(spelling: str) -> frozenset[str]:
    """Return the languages in which a folded spelling names a substance."""
    return _languages().get(spelling, frozenset())


@cache
def _languages() -> Mapping[str, frozenset[str]]:
    found: defaultdict[str, set[str]] = defaultdict(set)
    for substance in substances().values():
        for language, names in substance.names.items():
            for name in names:
                for form in spelled_as(name):
                    found[form].add(language)
    return {form: frozenset(languages) for form, languages in found.items()}


@cache
def _first_names() -> Mapping[str, frozenset[str]]:
    """Return by what a substance is called first of all, in each language."""
    return {
        key: frozenset(form for names in each.names.values() for form in spelled_as(names[0]))
        for key, each in substances().items()
    }


@cache
def _names() -> Mapping[str, tuple[str, ...]]:
    """Return the keys of every spelling that may bear on the lye, or that must not be taken for one that does.

    Fats also stand there without the word for an oil or a butter: `son de riz`, `crusca di riso`, `Reiskeim`.
    """
    named = {spelling: keys for spelling, keys in index().items() if len(spelling) > 2}
    bare: defaultdict[str, set[str]] = defaultdict(set)
    for spelling, keys in named.items():
        left = _without_its_kind(spelling)
        if left and left not in index() and all(substances()[key].role == "fat" for key in keys):
            bare[left].update(keys)
    return named | {left: tuple(sorted(keys)) for left, keys in bare.items()}


def _without_its_kind(spelling: str) -> str:
    """Return what is left of a name without the word for an oil or a butter, "" where nothing is."""
    first, *rest = _no_of(tuple(spelling.split()))
    left = " ".join(rest) if rest and first in _GENERIC_BEFORE else _COMPOUND.sub("", first) if not rest else ""
    return left if len(left) > _SHORTEST_BARE and left != spelling and left not in _GENERIC else ""


_SHORTEST_BARE = 3  # letters
_COMPOUND = re.compile(r"(?:oel|ol|olie|butter|boter)$")


@cache
def _by_letter() -> Mapping[str, tuple[str, ...]]:
    joined = {spelling.replace(" ", "") for spelling in _names() if " " in spelling}  # no word that is cut short
    found: dict[str, list[str]] = {}
    for spelling in _names():
        if spelling not in joined:
            found.setdefault(spelling[0], []).append(spelling)
    return {letter: tuple(listed) for letter, listed in found.items()}


def _keys(spelling: str, prior: float, letters: int) -> Found:
    prior += 0.0 if spelling in index() else _BARE
    return ((key, prior, _chance(letters), spelling) for key in _names()[spelling])


def _misspelt(text: _Text) -> Found:
    """Match a letter wrong, left out, put in, or two exchanged: not more than one letter in four."""
    name = " ".join(text.words)
    if not 3 <= len(name) <= 40:
        return
    most = max(1, len(name) // 4)
    for spelling, distance, _ in process.extract(
        name, _names().keys(), scorer=OSA.distance, score_cutoff=most, limit=24
    ):
        shorter = min(len(spelling), len(name))
        if distance == 0 or shorter >= 3 * distance:
            slip = _SLIP if shorter > 6 * distance else _FAR_SLIP
            yield from _keys(spelling, distance * slip, shorter - 2 * max(distance - 1, 0))


def _cut_short(text: _Text) -> Found:
    """Match the beginnings of the words of a name; a word such as `oil` or `butter` may be left out."""
    for spelling in _by_letter().get(text.solid[0], ()):
        prior = _beginnings(text, spelling.split())
        if prior is not None:
            yield from _keys(spelling, prior, len(text.solid))
    for generic in _GENERIC_BEFORE:  # `H. d'olive`, `Ac. oliva`
        if len(text.words) > 1 and generic.startswith(text.words[0]):
            rest = replace(text, words=_no_of(text.words[1:]), stops=_behind(text))
            for spelling in _by_letter().get(rest.words[0][:1], ()) if rest.words else ():
                prior = _beginnings(rest, spelling.split())
                if prior is not None:
                    yield from _keys(spelling, prior - 0.5, len(text.solid))


def _no_of(listed: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(word for word in listed if word not in ("d", "de", "di", "du", "do", "da"))


def _behind(text: _Text) -> tuple[bool, ...]:
    kept = zip(text.words[1:], text.stops[1:], strict=True)
    return tuple(stop for word, stop in kept if word not in ("d", "de", "di", "du", "do", "da"))


_GENERIC = frozenset({"oil", "butter", "fat", "ol", "fett", "seed", "milk", "huile", "aceite", "olio", "olie", "oleo"})
_FATTY = _GENERIC - {"seed", "milk"} | {"beurre", "burro", "manteca", "manteiga", "vet", "graisse", "grasa", "grasso"}
_FATTY_ENDS = ("oil", "ol", "butter", "fett", "olie", "vet", "talg", "schmalz")
_LEFT_OUT = _GENERIC | {  # what may be missing at the end of a name cut short: `Sodium`, `Idr.`
    *("hydroxide", "hydroxid", "hydroxyde", "hydroxyd", "sodio", "sodique", "potassium", "potasio", "potassio"),
    *("caustica", "caustique", "di", "de"),
}
_GENERIC_BEFORE = ("huile", "aceite", "olio", "oleo", "beurre", "manteca", "burro")


def _bare(text: _Text) -> Found:
    """Match a name that leaves out that it is an oil: `son de riz`, `crusca di riso`, `Reiskeim`."""
    for name in {" ".join(text.words), " ".join(_no_of(text.words))}:
        if name in _names() and name not in index():
            yield from _keys(name, 0.0, len(text.solid))


def _beginnings(text: _Text, names: list[str]) -> float | None:
    if len(text.words) > len(names) or any(name not in _LEFT_OUT for name in names[len(text.words) :]):
        return None
    prior, letters = 0.0, 0
    for word, stop, name in zip(text.words, text.stops, names, strict=False):
        if word == name:
            letters += 1 if name in _GENERIC else len(word)
        elif name.startswith(word):
            letters += len(word)
            prior += _CUT_WITH_STOP if stop else _CUT if len(word) > 2 else 2 * _CUT
        else:
            return None
    return prior + (0.0 if letters >= 4 else _FEW_LETTERS if letters > 1 else _ONE_LETTER)


def _initials(text: _Text) -> Found:
    """Match the first letters of the words of a name: `OO`, `C.O.`, `pko`, `L` for lard."""
    if not 1 <= len(text.solid) <= 4 or len(text.words) not in (1, len(text.solid)):
        return
    for spelling in _by_letter().get(text.solid[0], ()):
        names = spelling.split()
        if len(names) == len(text.solid) and "".join(name[0] for name in names) == text.solid:
            prior = _INITIALS + (0.0 if text.capitals else _NOT_CAPITALS)
            for key, nats, telling, _ in _keys(
                spelling, prior, len(text.solid) + (text.capitals and len(text.solid) > 2)
            ):
                # one letter may begin a name in every language: the everyday one is the likeliest
                rare = not key.startswith(spelling) if len(names) == 1 else spelling not in _first_names()[key]
                yield key, nats + _NOT_EVERYDAY * rare, telling, spelling


def _humps(text: _Text) -> Found:
    """Match the beginnings of the words of a name, each with a capital: `CoO`, `PaKO`."""
    for spelling in _by_letter().get(text.solid[0], ()) if text.humps else ():
        names = spelling.split()
        if len(names) == len(text.humps) and all(map(str.startswith, names, text.humps)):
            yield from _keys(spelling, _HUMPS, len(text.solid) + 1)


def _letters_in_order(text: _Text) -> Found:
    """Match the sounding letters of a word in their order: `clv`, `cnut`, `shea bttr`."""
    if len(text.solid) < 3:
        return
    for spelling in _by_letter().get(text.solid[0], ()):
        names = spelling.split()
        if len(names) - len(text.words) in (0, 1, 2) and all(name in _LEFT_OUT for name in names[len(text.words) :]):
            pairs = list(zip(text.words, names, strict=False))
            if all(_in_order(word, name) for word, name in pairs) and any(w != n for w, n in pairs):
                yield from _keys(spelling, _IN_ORDER, len(text.solid) - 1)


def _in_order(letters: str, word: str) -> bool:
    rest = iter(word)
    sounds = word[:1] + re.sub("[aeiouy]", "", word[1:])  # `ntrm` is all that sounds of `natrium`
    enough = letters == word or len(letters) * 3 >= len(word) or (len(letters) > 2 and sounds.startswith(letters))
    return letters[:1] == word[:1] and enough and all(letter in rest for letter in letters)


def _one_of_its_words(text: _Text) -> Found:
    """Match a name among words that mean nothing here, or its telling word alone: `my good olive`, `kernel`."""
    if len(text.words) == 1:
        for spelling in _by_word().get(text.solid, ()):
            yield from _keys(spelling, _ONE_WORD_OF_TWO, 4)
        return
    for size in range(len(text.words) - 1, 1, -1):
        for start in range(len(text.words) - size + 1):
            name, more = " ".join(text.words[start : start + size]), text.words[:start] + text.words[start + size :]
            if name in _names() and not any(word in words("changes") for word in more):
                yield from _keys(name, _WORD_TOO_MANY * len(more), len(name))
    for place, word in enumerate(text.words):
        if word in _names() and (word not in _GENERIC or _is(word, "liquid")):
            a_kind_of = _is(word, "liquid") and place in (0, len(text.words) - 1)  # `top-up water`, `eau du puits`
            yield from _keys(word, _KIND_OF if a_kind_of else _AMONG_WORDS, 4)
        for meaning in _lye_word(word):
            yield meaning[0], meaning[1] + _AMONG_WORDS, 4, word


def _is(spelling: str, role: str) -> bool:
    return all(substances()[key].role == role for key in _names()[spelling])


def _ends_in_a_liquid(text: _Text) -> Found:
    """Match a liquid at the end of a word: `Heublumentee`, `Stutenmilch`."""
    for start in range(2, len(text.solid) - 2) if len(text.words) == 1 else ():
        end = text.solid[start:]
        if end in _names() and _is(end, "liquid"):
            yield from _keys(end, _AMONG_WORDS, 4)


@lru_cache(maxsize=4096)
def _lye_word(text: str) -> tuple[tuple[str, float], ...]:
    """Return what a word that stands where lye stands may mean, with its prior: `caustic`, `soda`, `crystals`."""
    known = words("lye word").get(text, "")
    said = [(key, float(nats)) for key, _, nats in (each.rpartition(":") for each in known.split("|")) if key]
    if not said and text in words("dry form"):
        said = [("sodium hydroxide", _BY_ITS_FORM), ("potassium hydroxide", _BY_ITS_FORM - 3.0)]
    if not said and len(text) >= _LONG and " " not in text and text not in _names():
        listed = (*words("lye word"), *words("dry form"))
        near = process.extractOne(text, listed, scorer=OSA.distance, score_cutoff=1)
        said = [(key, nats + _SLIP) for key, nats in _lye_word(near[0])] if near else []
    return tuple(said)


_BY_ITS_FORM = -1.5  # of `crystals`, `flakes`, `beads` by themselves


@cache
def _by_word() -> Mapping[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for spelling in _names():
        for word in spelling.split():
            if len(word) > 2 and word not in _GENERIC and " " in spelling:
                found.setdefault(word, []).append(spelling)
        for start in range(3, len(spelling) - 3) if " " not in spelling else ():  # `Wachs` of `Bienenwachs`
            if spelling[start:] not in _GENERIC:
                found.setdefault(spelling[start:], []).append(spelling)
    return {word: tuple(listed) for word, listed in found.items()}


_WAYS: tuple[Callable[[_Text], Found], ...] = (
    _misspelt,
    _cut_short,
    _bare,
    _initials,
    _humps,
    _letters_in_order,
    _one_of_its_words,
    _ends_in_a_liquid,
)
