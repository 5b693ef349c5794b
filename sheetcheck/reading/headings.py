"""What a heading means: its role, its substance, its unit. Phrases of `reference/headings.csv` first, then names."""

import math
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from rapidfuzz import fuzz, process

from sheetcheck.reading.names.identify import Certainty, Name, abbreviation, identify, same_words
from sheetcheck.reading.names.qualified import qualifies
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import LONGEST_HEADING, dimension, split_heading_unit
from sheetcheck.reading.word_list import words
from sheetcheck.reference import substances
from sheetcheck.reference.tables import rows

CLOSE = 88.0  # similarity (0 to 100) from which a phrase counts as a slip of another


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading means.

    `role` is recipe, number, date, fat, alkali, liquid, acid, additive, fats total, batch total, superfat, lye
    concentration, liquid to lye, liquid share, share, ingredient, amount, unit, alkali strength, notes, ignore; None
    where it means nothing known. A refused substance has the role that it would play; an ambiguous role (`Total`,
    `Fats`) is the likelier of two and waits for the arithmetic. `text` is the heading without its unit; `strength` as
    in `Name`.
    """

    role: str | None
    substance: str | None
    unit: str | None
    certainty: Certainty
    text: str
    strength: float = math.nan


_NO_NAMES: Mapping[str, str] = {}


def read_heading(text: str, own_names: Mapping[str, str] = _NO_NAMES) -> Heading:
    """Return what a heading means.

    Parameters
    ----------
    text
        The heading; of `label: value` the label counts.
    own_names
        The maker's own words, each with the key or a name of a substance: they win.

    Examples
    --------
    >>> heading = read_heading("Lye (NaOH) g")
    >>> heading.role, heading.substance, heading.unit
    ('alkali', 'sodium hydroxide', 'g')
    >>> read_heading("Lye discount %").role
    'superfat'
    """
    if own_names:
        bare, unit = split_heading_unit(text)
        mine = {fold(word): meaning for word, meaning in own_names.items()}
        whole = mine.get(fold(text))
        meaning = whole or mine.get(fold(bare))
        if meaning:
            name = identify(meaning)
            bare, unit = (clean(text), None) if whole else (bare, unit)  # `Cas` as a name is no spoon
            return Heading(_role_of(name), name.substance, unit, name.certainty, bare, name.strength)
    read = _read(text)
    return read if read.role is not None else _beside_a_kind(read, own_names)


def _beside_a_kind(read: Heading, own_names: Mapping[str, str]) -> Heading:
    """Read a name beside a word that says what stands in its column: `Olive share %`, `Sheabutter Menge`."""
    words_of = read.text.split()
    for kind, rest in ((words_of[-1:], words_of[:-1]), (words_of[:1], words_of[1:])):
        role, doubtful = _phrases().get(fold(" ".join(kind)), (None, True))
        if not rest or doubtful or role not in ("share", "amount"):
            continue
        named = read_heading(" ".join(rest), own_names)
        if named.role == "fat" and role == "share":
            return replace(named, role="share", unit="%", text=read.text)
        if named.role in ("fat", "alkali", "liquid") and role == "amount":
            return replace(named, unit=read.unit, text=read.text)
    return read


@lru_cache(maxsize=65536)
def _read(text: str) -> Heading:
    whole = clean(text)
    if len(whole) > LONGEST_HEADING:
        return Heading(None, None, None, "unknown", whole)
    bare, unit = split_heading_unit(whole)
    found = _phrase(fold(whole), unit, bare)  # `lye % of lye+water`: here the unit belongs to the phrase
    if found is not None:
        return found
    if _MONEY.search(whole) or _RATE.search(whole):
        return Heading("ignore", None, unit, "exact", bare)
    if not bare and unit:
        return Heading("share" if unit == "%" else "amount", None, unit, "exact", bare)
    label, colon, _ = whole.partition(":")
    return (
        _by_phrase(bare, unit)
        or _by_name(bare, unit)
        or (_exact(_read(label)) if colon and label.strip() else None)
        or _by_parts(bare, unit)
        or _without_brackets(whole)
        or _abbreviated(bare, unit)
        or _misspelt(bare, unit)
        or Heading(None, None, unit, "unknown", bare)
    )


def _exact(heading: Heading) -> Heading | None:
    return heading if heading.certainty == "exact" else None


# --------------------------------------------------------------------------- phrases


@cache
def _phrases() -> Mapping[str, tuple[str, bool]]:
    """Return role and doubt of every phrase, folded."""
    return {
        fold(row["phrase"]): (row["role"], bool(row["doubtful"]))
        for row in rows("headings.csv")
        if row["role"] != "filler"
    }


def languages_of_phrase(folded: str) -> frozenset[str]:
    """Return the languages in which a folded text is a phrase of a heading."""
    return _languages().get(folded, frozenset())


@cache
def _languages() -> Mapping[str, frozenset[str]]:
    found: defaultdict[str, set[str]] = defaultdict(set)
    for row in rows("headings.csv"):
        found[fold(row["phrase"])].add(row["language"])
    return {phrase: frozenset(languages) for phrase, languages in found.items()}


@cache
def _fillers() -> frozenset[str]:
    return frozenset(fold(row["phrase"]) for row in rows("headings.csv") if row["role"] == "filler")


_NEVER_WEIGHED = frozenset({"lye concentration", "liquid to lye", "alkali strength", "liquid share"})
_MONEY = re.compile("[£$€¥]")
_RATE = re.compile(r"\b(?:per|pro|je|par|por) ?(?:kilo|kg|lbs?|pound|pfund|litre|liter|100 ?g)\b", re.IGNORECASE)
_BRACKET = re.compile(r"[(\[][^()\[\]]*[)\]]?")
_NUMBERED = re.compile(r"(.*[^\W\d_])\.? ?#? ?[0-9]{1,2}")
_ONE_OF_THEM = frozenset(
    {
        "what",
        "was",
        "quoi",
        "que",
        "cosa",
        "wat",
        "oil",
        "fat",
        "fett",
        "ol",
        "huile",
        "aceite",
        "olio",
        "vet",
        "olie",
        "oleo",
    }
)


def _forms(bare: str) -> Iterator[str]:
    """Yield the forms to look up, most faithful first: whole, without brackets, without fillers."""
    whole, outside = fold(bare), fold(_BRACKET.sub(" ", bare))
    yield whole
    yield outside
    for form in (whole, outside):
        yield " ".join(word for word in form.split() if word not in _fillers())


def _total_of(form: str) -> str | None:
    """Return which total a heading is that says nothing but a sum of fats or of a batch: `Weight of all oils`."""
    kinds = {words("word of a total").get(word) for word in form.split()}
    if None in kinds or not kinds & {"sum", "batch"}:
        return None
    if "fats" in kinds:
        return "fats total"
    return "batch total" if "sum" in kinds and kinds & {"batch", "soap"} else None


def _speaks_of_fats(form: str) -> bool:
    return any(words("word of a total").get(word) == "fats" for word in form.split())


def _phrase(form: str, unit: str | None, bare: str) -> Heading | None:
    role, doubtful = _phrases().get(form) or (_total_of(form), False)
    if role is None:
        return None
    weighed = unit is not None and unit != "%" and dimension(unit) == "mass"
    if weighed:  # a unit of weight tells a total from a name: `Fat` lists fats, `Fat (g)` sums them
        if role == "ingredient" and doubtful and not _speaks_of_fats(form):
            return None  # `Was (g)`: in Dutch it is wax, and nobody sums up `what`
        role = {"ingredient": "fats total", "recipe": "batch total"}.get(role, role)
        if role in _NEVER_WEIGHED and form == fold(bare):  # `Lye solution (g)` is the lye itself
            return None
        if role in ("superfat", "fat"):  # oil that is added, and nothing says which: no other rows can tell
            return Heading("fat", None, unit, "unknown", bare)
    if role == "fat":
        return Heading(role, None, unit, "unknown", bare)
    settled = weighed and role != "batch total"
    return Heading(role, None, unit, "ambiguous" if doubtful and not settled else "exact", bare)


def _by_phrase(bare: str, unit: str | None) -> Heading | None:
    for form in _forms(bare):
        numbered = _NUMBERED.fullmatch(form)
        if numbered and (numbered[1] in _ONE_OF_THEM or _phrases().get(numbered[1], ("",))[0] == "ingredient"):
            return Heading("amount" if unit else "ingredient", None, unit, "exact", bare)
        found = _phrase(form, unit, bare)
        if found is not None and not (found.role == "liquid to lye" and _is_liquid_for_lye(form, bare)):
            return found
    return None


def _is_liquid_for_lye(form: str, bare: str) -> bool:
    """Tell whether a heading like `water for the lye` names a liquid: without its small words it is like a ratio's."""
    return form != fold(bare) and identify(bare).kind == "liquid"


# --------------------------------------------------------------------------- substances, and several at once


def _by_name(bare: str, unit: str | None) -> Heading | None:
    name = identify(bare)
    role = _role_of(name)
    if name.certainty == "unknown" or (role is None and name.certainty != "ambiguous"):
        return None
    if unit == "%" and role == "fat":
        return Heading("share", name.substance, unit, name.certainty, bare)
    if unit == "%" and role == "alkali":  # of the solution, or of the fats
        return Heading("lye concentration", name.substance, unit, "ambiguous", bare)
    return Heading(role, name.substance, unit, name.certainty, bare, name.strength)


def _role_of(name: Name) -> str | None:
    if name.kind == "refused" and name.substance is not None:
        return substances()[name.substance].role
    return name.kind


def _by_parts(bare: str, unit: str | None) -> Heading | None:
    """Read parts that share a role: `Duft / Zusätze`, `Water/liquid`."""
    parts = [part for part in re.split(r"\s*(?:[/+&,;]|\band\b|\bund\b|\bor\b|\bet\b)\s*", bare) if part.strip()]
    read = [_by_phrase(part, unit) or _by_name(part, unit) for part in parts]
    known = [part for part in read if part is not None and part.role is not None]
    if len(parts) < 2 or len(known) < len(parts) or len({part.role for part in known}) > 1:
        return None
    named = {part.substance for part in known if part.substance}
    certainty: Certainty = "ambiguous" if len(named) > 1 else "read as" if named else "exact"
    return Heading(known[0].role, named.pop() if len(named) == 1 else None, unit, certainty, bare)


def _without_brackets(whole: str) -> Heading | None:
    """Read what stands outside the brackets: `fats g (from the sheet)`."""
    outside, unit = clean(_BRACKET.sub(" ", whole)), split_heading_unit(whole)[1]
    found = _exact(_read(outside)) if outside and len(outside) < len(whole) else None
    if found is None:
        return None
    text = whole if qualifies(whole, found.substance) else found.text  # `Cream (10 % fat)`
    return replace(found, unit=found.unit or unit, text=text)


def _abbreviated(bare: str, unit: str | None) -> Heading | None:
    pattern = abbreviation(_BRACKET.sub(" ", bare))
    if pattern is None:
        return None
    fitting = [phrase for phrase in _phrases_by_letter().get(pattern.pattern[0], ()) if pattern.fullmatch(phrase)]
    if len({_phrases()[phrase][0] for phrase in fitting}) != 1:
        return None
    found = _phrase(fitting[0], unit, bare)
    return replace(found, certainty="read as") if found and found.certainty == "exact" else found


def _misspelt(bare: str, unit: str | None) -> Heading | None:
    name = fold(_BRACKET.sub(" ", bare))
    if not 6 <= len(name) <= 30 or re.search(r"[0-9]", name):
        return None
    best = process.extractOne(name, _phrases_by_letter().get(name[0], ()), scorer=fuzz.ratio, score_cutoff=CLOSE)
    if best is None or not same_words(name, best[0]):
        return None
    found = _phrase(best[0], unit, bare)
    return replace(found, certainty="read as") if found and found.certainty == "exact" else found


@cache
def _phrases_by_letter() -> Mapping[str, tuple[str, ...]]:
    return {letter: tuple(p for p in _phrases() if p.startswith(letter)) for letter in {p[0] for p in _phrases()}}
