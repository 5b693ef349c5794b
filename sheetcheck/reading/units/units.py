"""Units where they stand: by themselves, in a number format, in a heading, in a sentence about a whole sheet."""

import re
from functools import cache, lru_cache

from sheetcheck.reading.text import clean, fold_letters
from sheetcheck.reading.units.unit_list import (
    LB_OZ,
    Dimension,
    Unit,
    dimension,
    per_unit,
    to_grams,
    unit_lines,
    unit_of_spelling,
    unit_pattern,
    units,
)
from sheetcheck.reading.word_list import any_of

__all__ = [
    "LB_OZ",
    "Dimension",
    "Unit",
    "dimension",
    "per_unit",
    "read_unit",
    "split_heading_unit",
    "to_grams",
    "unit_of_number_format",
    "unit_of_spelling",
    "unit_pattern",
    "unit_stated_in",
    "units",
]

# --------------------------------------------------------------------------- by itself, and in a number format

_POUNDS_AND_OUNCES = r"(?:lbs?|pounds?|#)[\s.,&+\-]*(?:and\s+)?(?:ozs?|ounces?)\.?"


@cache
def _beside() -> re.Pattern[str]:
    return re.compile(any_of("beside a unit") + r"\.?")


@lru_cache(maxsize=4096)
def read_unit(text: str) -> str | None:
    """Return the symbol of a unit written by itself: `oz.`, `Grams`, `(oz by weight)`, `lb & oz`; else None."""
    bare = clean(text).strip(" ()[]:;,.-")
    folded = fold_letters(bare)
    if re.fullmatch(_POUNDS_AND_OUNCES, folded):
        return LB_OZ
    return unit_of_spelling(bare) or unit_of_spelling(_beside().sub("", folded).strip())


_LITERAL = re.compile(r'"([^"]*)"|\[\$([^\]-]*)[^\]]*\]')
_SPACING_AND_COLOUR = re.compile(r"\[[^$][^\]]*\]|[_*].")
_STORED = {("kg", ","): "g", ("g", ","): "mg", ("L", ","): "mL"}  # a comma at the end of a format shows thousands


@lru_cache(maxsize=4096)
def unit_of_number_format(number_format: str) -> str | None:
    """Return the unit that a number format shows beside the number: `0.00" oz"` is `oz`, `0 %` is `%`.

    A format that shows thousands (`0.0," kg"`) gives the unit of the number as it is stored: `g`.
    """
    quoted = re.sub(r"(?:\\.)+", lambda run: f'"{run[0][1::2]}"', number_format)  # \o\z is "oz"
    section = _SPACING_AND_COLOUR.sub("", re.split(r';(?=(?:[^"]*"[^"]*")*[^"]*$)', quoted, maxsplit=1)[0])
    codes = _LITERAL.sub(" ", section)
    if "%" in codes:
        return "%"
    if not re.search(r"[0#?]|general|standard", codes, re.IGNORECASE):
        return None
    literal = " ".join("".join(found) for found in _LITERAL.findall(section)).strip()
    unit = read_unit(literal or re.sub(r"[0#?.,/]+|general|standard", " ", codes.lower()))
    thousands = re.search(r"[0#?](,+)(?![0#?])", codes)
    return _STORED.get((unit or "", thousands[1])) if thousands else unit


# --------------------------------------------------------------------------- in a heading

LONGEST_HEADING = 500  # characters: what is longer is prose
_BRACKETS = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_BRACKET_AT_END = re.compile(r"\s*[(\[][^()\[\]]*[)\]]$")  # `Olive oil, g (pomace)`
_RATE = re.compile(
    r"\b(?:per|pro|par|por)\b(?! ?(?:cent|cento|ciento)\b)|[£€$]|/\s*[0-9]+\s*(?:kg|g|lb|oz|l)\b"
    r"|\b(?:m?g|kg|oz|lb)\s*(?:koh|naoh)?\s*/\s*(?:kg|g|lb|oz|l)\b"
    r"|\b(?:koh|naoh)/(?:kg|g|lb|oz|l)\b"  # `KOH / g`, with spaces, is a quantity and its unit
)
_IN_AT_END = re.compile(r"\s(?:in|en|im)$", re.IGNORECASE)  # `fats in % of the whole`
_SHARE_OF = re.compile(  # `shea % of oils`
    r"([^%]*\w[^%]*?)\s*\(?%\s*(?:of|der|des|von|vom|de|di|dei|del|du|van|do|dos)\s(?:the |all |total )*"
    r"(?:oils?|fats?|öle?|fette?|gesamtfette?s?|huiles?|grassi|oli|aceites?|grasas?|oliën|vetten|óleos|gorduras|total)\)?",
    re.IGNORECASE,
)
_ONLY_IN_BRACKETS = frozenset(
    {"t", "T", "c", "C", "st", "St", "L", "el", "#", "cas", "Cas", "once", "chili", "pond", "deka"}
)
_JOINER = r"[\s,/:_\-]*"
_NUMBERED = re.compile(r"(?:oil|fat|ingredient|zutat|fett|ol)s? ?#? ?[0-9]{1,2}")


@lru_cache(maxsize=4096)
def split_heading_unit(text: str) -> tuple[str, str | None]:
    """Split the unit off a heading: `Lard (oz)` gives `Lard` and `oz`; None where there is none, or more than one.

    A unit stands in brackets, or at the end or the start as a word of its own (`Lye g`, `Water, oz`, `oz lard`,
    `lye_g`). A rate (`soda per g`, `£ per 100 g`) states no unit.
    """
    plain = clean(text)
    if len(plain) > LONGEST_HEADING:
        return plain, None
    share = _SHARE_OF.fullmatch(plain)
    if share:
        return _tidy(_IN_AT_END.sub("", share[1])), "%"
    if _RATE.search(fold_letters(plain)):
        return plain, None
    for bracket in _BRACKETS.finditer(plain):
        found = _units_in_bracket(bracket[1])
        if len(found) > 1:
            return plain, None
        if found:
            (unit, left), *_ = found.items()
            return _tidy(f"{plain[: bracket.start()]} {left} {plain[bracket.end() :]}"), unit
    remark = _BRACKET_AT_END.search(plain)
    bare, at_edge = _unit_at_edge(plain[: remark.start()]) if remark else (plain, None)
    return (_tidy(f"{bare} {remark[0]}"), at_edge) if remark and at_edge else _unit_at_edge(plain)


def _units_in_bracket(inside: str) -> dict[str, str]:
    """Return the units that a bracket names, each with the other words that stand there."""
    whole = read_unit(inside)
    if whole:
        return {whole: ""}
    if re.search(r"[0-9]", inside):
        return {}
    tokens = re.split(r"[\s,/;]+", inside.strip())
    others = _tidy(" ".join(token for token in tokens if not unit_of_spelling(token)))
    left = others if _beside().sub("", fold_letters(others)).strip(" .") else ""
    return {unit: left for token in tokens if token not in _ONLY_IN_BRACKETS and (unit := unit_of_spelling(token))}


def _unit_at_edge(plain: str) -> tuple[str, str | None]:
    folded = fold_letters(plain)
    compound = re.search(rf"{_JOINER}\b{_POUNDS_AND_OUNCES}$", folded)
    if compound:
        return _tidy(plain[: compound.start()]), LB_OZ
    last, first = _at_end().search(folded), _at_start().match(folded)
    if last and plain[last.start("unit") :].strip(" .") not in _ONLY_IN_BRACKETS:
        before = _tidy(plain[: last.start()])
        if not before[-1:].isdigit() or _NUMBERED.fullmatch(fold_letters(before)):  # `16 oz` is an amount
            return before, unit_of_spelling(plain[last.start("unit") :])
    if first and first["unit"].strip(" .") not in _ONLY_IN_BRACKETS | {"l"}:
        return _tidy(plain[first.end() :]), unit_of_spelling(plain[: first.end("unit")])
    return plain, None


@cache
def _at_end() -> re.Pattern[str]:
    return re.compile(rf"{_JOINER}(?:(?<=[\s,/:_\-(])|^|(?=%))(?:(?:in|en)\s+)?(?P<unit>{unit_pattern()})$")


@cache
def _at_start() -> re.Pattern[str]:
    return re.compile(rf"(?P<unit>{unit_pattern()})(?:[\s_\-]+(?:of\s+)?|(?<=%)|$)")


def _tidy(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip(" ,:;/_-")


# --------------------------------------------------------------------------- in a sentence

_AMOUNT_OR_MONEY = re.compile(r"[0-9/]\s*(?:g|kg|oz|lb|lbs|gram\w*|ounces?|pounds?|kilo\w*)\b|[£€$?]")
_MEANS_OTHERWISE = frozenset({"once", "st", "stone", "stones", "chili", "deka", "T"})  # … inside a sentence


@lru_cache(maxsize=4096)
def unit_stated_in(text: str) -> str | None:
    """Return the unit of weight that a sentence states for a whole sheet: `Alle Mengen in Gramm` is `g`.

    None where it names no unit or more than one, an amount (`add 20 g salt`), a price, or does not speak of all.
    """
    folded = fold_letters(clean(text)).replace("*", " ")
    said = _denied_unit().sub(" ", folded)
    found = {unit_of_spelling(unit) for unit in _unit_in_sentence().findall(said)}
    others = _unit_in_sentence().sub(" ", said)
    if len(found) != 1 or re.search(any_of("casts doubt"), others) or _AMOUNT_OR_MONEY.search(folded):
        return None
    only_this = re.fullmatch(r"\W*(?:in|en|alles in)?\W*(?:\([^()0-9]*\)\W*)?", others)
    return found.pop() if only_this or re.search(any_of("speaks of all"), others) else None


@cache
def _unit_in_sentence() -> re.Pattern[str]:
    masses = [
        spelling.lower().replace("_", r"[\s.\-]*")
        for system, spellings in unit_lines()
        for spelling in spellings
        if system in ("metric_mass", "avoirdupois") and spelling not in _MEANS_OTHERWISE
    ]
    return re.compile(r"(?<![^\W_])(?:" + "|".join(sorted(masses, key=len, reverse=True)) + r")(?![^\W_])")


@cache
def _denied_unit() -> re.Pattern[str]:
    denied = any_of("denies") + r"\s+(?:(?:in|by|en|the)\s+)*(?:fluid\s+|fl\.?\s*)?"
    return re.compile(denied + "(?:" + _unit_in_sentence().pattern + ")")
