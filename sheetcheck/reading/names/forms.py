"""One name in its forms: without its strength, its amount, its brackets, what it is mixed into, its qualifiers."""

import math
import re
from dataclasses import replace

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.names.spellings import Name, by_table, index, spellings_by_word
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words
from sheetcheck.reference import substances

LEADERS = re.compile(r"[._…]{3,}|…")  # `Olive oil ....... 500 g`
_NO_STRENGTH = re.compile(
    r"(?=[^%]*%)[(\[]?.*\b(?:super ?fat|sf|discount|less|short|[uü]e?berf|[uü]f\b|unter|surgra|sobre|sovra|sconto|over"
    r"vet).*",
    re.IGNORECASE,
)
_PERCENT = re.compile(
    r"[@~]? ?(?<![0-9.,])([0-9]{1,3}(?:[.,][0-9]+)?) ?%(?: ?(?:pure|purity|strength|ig(?:en?|er|es)?|conc)\b)?"
)
_HALVES = re.compile(r"\b(?:1:1|50 ?[/:] ?50)\b")


def split_strength(plain: str) -> tuple[float, str]:
    """Take a percentage off a name; `1:1` and `50/50` of a solution are equal weights, a superfat is no strength."""
    bracket = next((b for b in re.findall(r"[(\[][^()\[\]]*[)\]]", plain) if _NO_STRENGTH.fullmatch(b)), None)
    if bracket:
        return math.nan, clean(plain.replace(bracket, " "))
    found = _PERCENT.search(plain) or _HALVES.search(plain)
    if found is None:
        return math.nan, plain
    share = float(found[1].replace(",", ".")) / 100 if found.re is _PERCENT else 0.5
    left = re.sub(r"\( *\)", " ", f"{plain[: found.start()]} {plain[found.end() :]}")
    return (share if 0 < share <= 1 else math.nan), clean(left)


def with_strength(name: Name, strength: float) -> Name:
    """Keep a strength where it is one; a solution of known strength is that much of what is dissolved in it."""
    if name.substance is None or math.isnan(strength):
        return name
    substance = substances()[name.substance]
    if substance.solution_of:
        return replace(name, kind="alkali", substance=substance.solution_of, strength=strength)
    return replace(name, strength=strength) if substance.role in ("alkali", "acid") else name


_NO_MEASURE = re.compile(
    r"^(?:an? )?(?:small |large |good )?(?:handful|pinch|sprig|splash|bunch|knob|dash)s?(?: of)? ", re.IGNORECASE
)
_MAY_BE_AMOUNT = re.compile(r"(?<=\S)[ :,=(-]+(?=[0-9~])")


def without_amount(text: str) -> str:
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

BRACKET = re.compile(r"[(\[]([^()\[\]]*)[)\]]?")
INTO = re.compile(
    r"\b(?:in|into|im|dans|en|nel|for|with|für|mit|zur?|pour|para|per|con|voor)\b(?: \w+)? ?"
    r"\b(?:the |die |la |de )?(?:lye|water|milk|liquid|lauge|wasser|soude|eau|sosa|soda|agua|acqua|loog)\b.*$",
    re.IGNORECASE,
)


_WHEN = re.compile(
    r"[ ,-]+(?:added )?\b(?:at|to|after|for|in|beim|bei|im|zum|zur|à la|a la|alla|al|na) (?:the )?(?:light )?"
    r"(?:trace|end|leim|spur|trazo|traza|nastro|last)\b.*$",
    re.IGNORECASE,
)


_TEMPERATURE = re.compile(
    r"[ ,(]+(?:(?:at|bei|à|a|bij|op) )?-?[0-9]{1,3}(?:[.,][0-9]+)? ?(?:°|º|deg(?:rees?)?\b) ?[CF]\b\)?", re.IGNORECASE
)


_FROM = re.compile(r"(?<=\w)[ ,]+(?:from|out of|aus|uit|vom|del grifo|du robinet)\b.*$", re.IGNORECASE)


def without_aside(text: str) -> str:
    """Leave out when, how warm or into what something goes: `water for the lye`, `milk at trace`, `lye at 20 °C`."""
    return _FROM.sub("", _TEMPERATURE.sub("", _WHEN.sub("", INTO.sub("", text)))).strip(" ,;-")


def by_forms(text: str) -> Name | None:
    """Look a name up without its brackets and qualifiers, where these are harmless."""
    inside, outside = " ".join(BRACKET.findall(text)), BRACKET.sub(" ", text)
    if lye := _dry_alkali(inside, outside) or _solid_lye(text) or _dissolved(text):
        return lye
    forms = [fold(text)] if _may_change(inside, outside) else [fold(text), fold(outside)]
    for form in dict.fromkeys((*forms, *map(unqualified, forms))):
        found = by_table(form) if form else None
        if found is not None:
            return found
    return None


def _dry_alkali(inside: str, outside: str) -> Name | None:
    """Tell a word for the solution with its alkali in brackets or behind it: `Lauge (NaOH)`, `potash lye KOH`."""
    if not inside:
        outside, _, inside = outside.strip().rpartition(" ")
    alkali, solution = by_table(fold(inside)), by_table(fold(outside))
    if alkali is None or solution is None or alkali.kind != "alkali" or not solution.substance:
        return None
    return alkali if substances()[solution.substance].solution_of == alkali.substance else None


def _solid_lye(text: str) -> Name | None:
    """Tell the dry alkali by a word for its shape, though its name is that of the solution: `natronloog korrels`."""
    listed = fold(text).split()
    left = [word for word in listed if word not in words("dry form")]
    named = by_table(" ".join(left)) if 0 < len(left) < len(listed) else None
    dissolved = substances()[named.substance].solution_of if named is not None and named.substance else ""
    return Name("alkali", dissolved, "read as") if dissolved else None


def _dissolved(text: str) -> Name | None:
    """Tell a solution by the word for one beside what is dissolved in it: `NaOH-oplossing`, `solución de sosa`."""
    listed = fold(text).split()
    left = [word for word in listed if word not in words("solution") and word not in _WEIGHT_BY_WEIGHT]
    named = by_table(" ".join(left)) if 0 < len(left) < len(listed) else None
    if named is None or named.kind != "alkali":
        return None
    solution = next((key for key, each in substances().items() if each.solution_of == named.substance), None)
    return Name(substances()[solution].kind, solution, "exact") if solution else None


_WEIGHT_BY_WEIGHT = frozenset({"m", "w", "de", "di", "of", "aq"})  # what is left of `33 % (m/m)`


def _may_change(inside: str, outside: str) -> bool:
    """Tell whether the words in brackets may make another substance of it: `olive oil (hydrogenated)`."""
    bare = unqualified(fold(inside))
    if not bare or index().get(bare, ()) == index().get(unqualified(fold(outside)), (None,)):
        return False
    beside = set(fold(outside).split())
    return bare in index() or any(
        word in words("changes") or any(spelling & beside for spelling in spellings_by_word().get(word, ()))
        for word in bare.split()
    )


def unqualified(folded: str) -> str:
    """Leave out the words that make no other substance of a name: `organic`, `flakes`, `melted`."""
    return " ".join(word for word in folded.split() if word not in words("qualifier") and not word.isdigit())
