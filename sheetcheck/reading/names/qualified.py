"""What words beside a name say of how much lye a gram takes up: `(raw)`, `light`, `10 % fat`, `50 % solution`.

No such word is dropped: it gives a share (of acid, of fat), or leaves it open between a least and a most, which is then
asked about. The words are those of `reference/qualifiers.csv`; a word that is part of the substance's own name says
nothing more.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from math import isfinite, nan

from sheetcheck.reading.text import clean, fold
from sheetcheck.reference import Substance, substances
from sheetcheck.reference.tables import rows
from sheetcheck.words import later

_NUMBER = r"(?<![\d.,:/])(\d{1,3}(?:[.,]\d+)?)"
_PERCENT = re.compile(
    rf"{_NUMBER} ?(?:%|per ?cent|pct\b|prozent(?:ige?[rs]?)?|pour ?cent|por ?ciento|per ?cento|procent|por ?cento)"
    r"[- ]*((?:\w+\.?[- ]?)?)",
    re.IGNORECASE,
)
_HALVES = re.compile(r"(?<![\d:/])(?:1 ?: ?1|50 ?[/:] ?50)(?![\d:/])")
_FAT = frozenset(
    (
        "fat", "fett", "f", "fet", "mg", "m", "matiere", "matieres", "grasa", "grasas", "materia", "grassi", "grasso",
        "vet", "gordura", "fettgehalt", "butterfat", "milchfett", "milkfat",
    )
)  # fmt: skip
_WATER = frozenset(["water", "wasser", "eau", "agua", "acqua"])
_OF_ELSE = frozenset(
    (
        "of", "von", "der", "des", "de", "du", "di", "del", "dei", "van", "da", "do", "ppo", "superfat", "sf",
        "uberfettung", "extra", "excess", "less", "discount", "more", "off",
    )
)  # fmt: skip
_MOST_FAT = {"milk": 0.12, "cream": 0.6}  # a bare per cent above it is no share of fat
_HOW_MUCH_WATER = later("how much of it is water? Write the two apart")
_ALL = 0.95  # `100 % goat milk`


@dataclass(frozen=True, slots=True)
class Qualified:
    """What a text says of a gram of a substance.

    `strength` is the share of pure acid, `fat` the share of fat in a liquid, NaN where nothing
    is said. `least` and `most` are factors on what a gram takes up: both 1 where nothing is left open. `ask` is the
    question then, in English.
    """

    strength: float = nan
    fat: float = nan
    least: float = 1.0
    most: float = 1.0
    ask: str = ""


NOTHING_SAID = Qualified()


@dataclass(frozen=True, slots=True)
class _Row:
    words: tuple[str, ...]
    of: frozenset[str]
    alone: bool
    least: float
    most: float
    answered: str
    ask: str
    other: str  # key of what else a word alone may mean


@cache
def _table() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            tuple(row["words"].split("|")),
            frozenset(row["of"].split("|")),
            bool(row["alone"]),
            float(row["least"]),
            float(row["most"]),
            row["answered"],
            row["ask"],
            row["other"],
        )
        for row in rows("qualifiers.csv")
    )


def questions() -> Iterator[str]:
    """Yield the questions of the table, in English."""
    yield from (row.ask for row in _table())


@lru_cache(maxsize=65536)
def qualified(text: str, key: str | None) -> Qualified:
    """Return what a text says of a substance besides naming it.

    Examples
    --------
    >>> qualified("Cream (10 % fat)", "cream").fat
    0.1
    >>> said = qualified("Beef fat (raw)", "tallow")
    >>> said.least, said.most
    (0.6, 1.0)
    >>> qualified("Citric acid 50 % solution", "citric acid, anhydrous").strength
    0.5
    """
    substance = substances().get(key or "")
    if substance is None or substance.role not in ("fat", "liquid", "acid"):
        return NOTHING_SAID
    kinds = _kinds(substance)
    strength, fat, share = _percentages(clean(text), substance)
    said = _beyond_the_name(fold(text), substance)
    open_rows = [
        row
        for row in _table()
        if row.of & kinds
        and not (row.answered == "strength" and isfinite(strength))
        and not (row.answered == "fat" and isfinite(fat))
        and (fold(text) in row.words if row.alone else any(f" {word} " in said for word in row.words))
    ]
    if not open_rows and share == 1 and not (isfinite(strength) or isfinite(fat)):
        return NOTHING_SAID
    least, most = share, max([row.most for row in open_rows], default=share if substance.role == "fat" else 1.0)
    for row in open_rows:
        least = min(least, row.least)
    ask = open_rows[0].ask if open_rows else _HOW_MUCH_WATER if least < most else ""
    return Qualified(strength, fat, least, most, ask)


@cache
def doubtful_alone() -> Mapping[str, str]:
    """Return the names, folded, that may mean another thing where they stand alone, each with the key of that thing.

    >>> doubtful_alone()["avocado"]
    'avocado, mashed'
    """
    return {word: row.other for row in _table() if row.alone for word in row.words}


def qualifies(text: str, key: str | None) -> bool:
    """Tell whether a text says anything of a substance that bears on what a gram of it takes up."""
    said = qualified(text, key)
    return isfinite(said.strength) or isfinite(said.fat) or (said.least, said.most) != (1.0, 1.0)


@lru_cache(maxsize=65536)
def may_qualify(text: str) -> bool:
    """Tell quickly whether a text is worth a closer look, of whatever substance."""
    return "%" in text or any(f" {word} " in f" {fold(text)} " for word in _phrases())


def without_qualifiers(text: str) -> tuple[str, tuple[str, ...]]:
    """Take off a text what may say something of a gram; return the rest, and the words that were taken off.

    >>> without_qualifiers("Citric acid (50 % solution)")
    ('citric acid', ('solution',))
    """
    rest, taken = f" {fold(_HALVES.sub(' ', _PERCENT.sub(_keep_the_word, clean(text))))} ", []
    for word in _phrases():
        if f" {word} " in rest:
            rest = rest.replace(f" {word} ", " ")
            taken.append(word)
    return " ".join(rest.split()), tuple(taken)


def _keep_the_word(percentage: re.Match[str]) -> str:
    word = percentage[2]
    return " " if fold(word) in _FAT | _WATER else f" {word}"


def say_of(words: Iterable[str], key: str | None) -> bool:
    """Tell whether all of these words say something of a substance, and make no other of it."""
    substance = substances().get(key or "")
    if substance is None:
        return False
    kinds = _kinds(substance)
    known = {word for row in _table() if row.of & kinds for word in row.words}
    return known.issuperset(words)


@cache
def _phrases() -> tuple[str, ...]:
    """Return every word and phrase of the table, the longest first."""
    return tuple(sorted({word for row in _table() for word in row.words if not row.alone}, key=len, reverse=True))


def _kinds(substance: Substance) -> frozenset[str]:
    kinds = {substance.key}
    if substance.role == "acid":
        kinds.add("acid")
    if substance.role == "liquid" and substance.fat > 0:
        kinds.add("fatty liquid")
    return frozenset(kinds)


def _percentages(text: str, substance: Substance) -> tuple[float, float, float]:
    """Return strength, share of fat, and the least factor, by the percentages in a text."""
    strength, fat, least = nan, nan, 1.0
    for found in _PERCENT.finditer(text):
        share, word = float(found[1].replace(",", ".")) / 100, fold(found[2]).split(" ")[0]
        if not 0 <= share <= 1 or word in _OF_ELSE:
            continue
        if word in _FAT:
            fat = share if substance.role != "acid" else fat
        elif word in _WATER:
            least = 1 - share if substance.role != "acid" else least
            strength = 1 - share if substance.role == "acid" else strength
        elif substance.role == "acid":
            strength = share
        elif substance.role == "liquid" and substance.fat > 0 and share < _ALL:
            most = _MOST_FAT["cream" if substance.fat_high >= _MOST_FAT["milk"] else "milk"]
            fat, least = (share, least) if share <= most else (fat, min(least, share))
    if _HALVES.search(text):
        strength, least = (0.5, least) if substance.role == "acid" else (strength, 0.5)
    if substance.role == "fat" and isfinite(fat):
        least, fat = min(least, fat / _fat_in(substance)), nan
    return strength, fat, least


def _fat_in(substance: Substance) -> float:
    return 0.8111 if substance.key == "butter" else 1.0  # source: see `butter-of-milk-fat`


def _beyond_the_name(folded: str, substance: Substance) -> str:
    """Return the words of a text, spaced, without the longest of the substance's own names in it."""
    text = f" {folded} "
    for name in _own_names(substance.key):
        if f" {name} " in text:
            return text.replace(f" {name} ", " | ", 1)
    return text


@cache
def _own_names(key: str) -> tuple[str, ...]:
    names = {fold(name) for names in substances()[key].names.values() for name in names}
    return tuple(sorted(names, key=len, reverse=True))
