"""What a sheet says about a recipe beyond its amounts: superfat, totals, shares, lye concentration, liquid to lye."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.assemble import Statement, stored_as
from sheetcheck.reading.entries import read_entry, unit_shown
from sheetcheck.reading.names.spellings import kinds_of
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.evidence import Said
from sheetcheck.reading.units.units import dimension
from sheetcheck.reading.word_list import any_of
from sheetcheck.reading.yields import YIELD, speaks_of_yield, yield_said
from sheetcheck.workbook.grid import Cell, Kind

KIND_OF_ROLE = {
    "superfat": "superfat",
    "fats total": "fats total",
    "batch total": "batch total",
    "lye concentration": "lye concentration",
    "liquid to lye": "liquid to lye",
    "liquid share": "liquid to fats",
    "share": "share of fats",
    "alkali strength": "alkali strength",
    "same amount": "same amount",
    "yield": YIELD,
}
TOTALS = ("fats total", "batch total")
WEIGHTS = (*TOTALS, "same amount", YIELD)
_NEVER_BELOW_ONE = frozenset({"lye concentration", "alkali strength", "liquid to fats"})  # per cent: 0.33 is 33
MOST_SUPERFAT = 30.0  # percent: a bare number above it, where amounts are weighed, is an amount of oil

# A bare number up to this is a fraction before it is a percentage: 0.05 is 5 %, or else 0.05 %.
_FRACTION = 0.3

# Words for superfat, folded (see text.fold), in the languages of the tables.
_SUPERFAT = (
    r"super ?fat(?:s|ted|ting)?|(?:extra|excess|spare|free|surplus) (?:fat|oil)s?|sf|s f|lye discount|"
    r"sconto(?: (?:di |della )?soda)?|"
    r"u?berfett\w*|ueberfett\w*|uf|surgrais\w*|surgras\w*|sobreengras\w*|sobregras\w*|sovragrass\w*|sovra ingrass\w*|"
    r"overver?t\w*|sobregordura|sobreengordur\w*"
)
_NO_SUPERFAT = re.compile(
    rf"\b(?:no|zero|without(?: any)?|not|never|nil|ohne|keine?|sans|aucun|sin|senza|zonder|geen|sem|nenhum\w*)"
    rf" (?:{_SUPERFAT})\b"
)
_HINT = re.compile(
    r"fat|oil|fett|grais|gras|vert|vet|gord|disc|sconto|lye|soda|naoh|(?<![a-z])s/?\.? ?f|üf|\d\s*(?:%|percent)",
    re.IGNORECASE,
)  # worth a closer look
_BESIDE_LAUNDRY = (
    r"(?:soaps?|bars?|batch|blocks?|only|at|seifen?|nur|mit|bei|savons?|avec|jabon\w*|con|solo|sapon\w*|zeep|met|com)"
)
_LAUNDRY_AT_MOST = 3.0  # percent that a word for laundry alone makes a superfat: `laundry soap 0 %`
_NUMBER = (
    r"(?P<low>\d+(?:[.,]\d+)?)(?: ?(?:-|to|bis|a|tot|ou|or|/) ?(?P<high>\d+(?:[.,]\d+)?))?(?P<sign> ?%| ?percent)?"
)
_BEFORE = re.compile(rf"{_NUMBER} (?:\w+ )?(?:{_SUPERFAT})\b")
_AFTER = re.compile(
    rf"\b(?:{_SUPERFAT})(?: (?:of|at|is|was|to|about|only|=|:|von|mit|bei|de|a|al|van|di)){{0,2}} ?{_NUMBER}"
)
_LESS_LYE = re.compile(
    rf"\b(?:lye|soda|naoh) {_NUMBER} (?:less|under|below|weniger)|{_NUMBER.replace('?P<', '?P<b_')} less lye"
)


def speaks_of_superfat(text: str) -> bool:
    """Tell quickly whether a text is worth a closer look."""
    return _HINT.search(text) is not None


@lru_cache(maxsize=65536)
def superfat_said(text: str) -> tuple[float, float] | None:
    """Return the superfat that a remark or title states, in percent, and its second reading (else NaN).

    >>> superfat_said("18% extra fat on purpose")
    (18.0, nan)
    """
    if not speaks_of_superfat(text):
        return None
    plain = _loosely(text)
    if _NO_SUPERFAT.search(plain):
        return 0.0, nan
    match = _BEFORE.search(plain) or _AFTER.search(plain) or _LESS_LYE.search(plain)
    if not match:
        return _of_laundry(plain)
    parts = {k.removeprefix("b_"): v for k, v in match.groupdict().items() if v}
    low = _float(parts["low"])
    if "high" in parts:
        return (low + _float(parts["high"])) / 2, nan
    return (low, nan) if "sign" in parts else _bare(low)


def _of_laundry(plain: str) -> tuple[float, float] | None:
    """Return the superfat where soap for laundry has a small percentage that nothing else is named with."""
    said = _laundry().search(plain)
    if said is None:
        return None
    low, high = _float(said["low"] or said["b_low"]), said["high"] or said["b_high"]
    percent = (low + _float(high)) / 2 if high else low
    return (percent, nan) if (said["sign"] or said["b_sign"]) and percent <= _LAUNDRY_AT_MOST else None


@cache
def _laundry() -> re.Pattern[str]:
    """Return a pattern of `laundry soap 0 %`, the percentage last, and `0 % for laundry`."""
    word, last = any_of("laundry"), _NUMBER.replace("?P<", "?P<b_")
    return re.compile(rf"^{_NUMBER}(?: [a-z]{{1,4}}){{0,2}} {word}|{word}(?: {_BESIDE_LAUNDRY})* {last}$")


def _loosely(text: str) -> str:
    """Fold a text and keep what stands between the digits of a number and of a range."""
    kept = re.sub(r"(?<=\d)\s*-\s*(?=\d)", " to ", clean(text))
    kept = re.sub(r"(?<=\d)([.,])(?=\d)", lambda m: {".": "DOT", ",": "KOMMA"}[m.group(1)], kept)
    return re.sub(r"(?<=\d)komma(?=\d)", ",", re.sub(r"(?<=\d)dot(?=\d)", ".", fold(kept)))


def _float(text: str) -> float:
    return float(text.replace(",", "."))


def _bare(value: float) -> tuple[float, float]:
    """Return both readings of a percentage without a percent sign, the likelier first."""
    return (value * 100, value) if 0 < value <= _FRACTION else (value, nan)


def percentages(
    numbers: NDArray[np.float64], *, shown_in_percent: bool, in_percent: bool, kind: str = "superfat"
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return typed shares in percent and their second reading (NaN where there is none).

    A number shown as a percentage is stored as a fraction. A bare 0.05 is 5 %, or else 0.05 %, whatever the heading; of
    a lye concentration or a purity a number up to 1 is always a fraction.
    """
    none = np.full(len(numbers), np.nan)
    if shown_in_percent:
        return numbers * 100, none
    if kind in _NEVER_BELOW_ONE:
        return np.where((numbers > 0) & (numbers <= 1), numbers * 100, numbers), none
    small = (numbers > 0) & (numbers <= (_FRACTION / 2 if in_percent else _FRACTION))
    return np.where(small, numbers * 100, numbers), np.where(small, numbers, none)


def percentage(cell: Cell, *, decimal_comma: bool | None = None, in_percent: bool = False) -> tuple[float, float]:
    """Read a share from a cell: percent and its second reading (NaN where there is none or it is not a number).

    `in_percent` tells that the heading itself says per cent.
    """
    if cell.kind is Kind.NUMBER:
        shown = unit_shown(cell.style.number_format) == "%"
        value, other = percentages(np.array([cell.number]), shown_in_percent=shown, in_percent=in_percent)
        return float(value[0]), float(other[0])
    if cell.kind is not Kind.TEXT:
        return nan, nan
    between = re.fullmatch(rf"\D*{_NUMBER}\D*", _loosely(cell.text))
    if between and between["high"]:
        return (_float(between["low"]) + _float(between["high"])) / 2, nan
    entry = read_entry(cell, (), decimal_comma=decimal_comma)
    if not isfinite(entry.value):
        said = superfat_said(cell.text)
        return said or (nan, nan)
    return (entry.value, nan) if entry.unit == "%" else _bare(entry.value)


def ratio(cell: Cell) -> float:
    """Read liquid to lye: `2.25`, `2:1`, `1:2` (lye first), `2.25 x`."""
    if cell.kind is Kind.NUMBER:
        return cell.number
    if cell.kind is not Kind.TEXT:
        return nan
    parts = re.findall(r"\d+(?:[.,]\d+)?", cell.text)
    if len(parts) == 1:
        return _float(parts[0])
    if len(parts) == 2 and re.search(r"\d\s*(?::|/|to|zu)\s*\d", cell.text):
        first, second = map(_float, parts)
        return max(first, second) / min(first, second) if first and second else nan
    return nan


def statement(sheet: Sheet, cell: Cell, kind: str, said: Said = (), *, in_percent: bool = False) -> Statement:
    """Read one statement cell: shares in percent, totals in grams (the bare number where no unit is known).

    The caller sets `recipe`, `place` and what it is about.
    """
    comma = sheet.decimal_comma(cell.column)
    made = Statement(0, sheet.name, cell.row, cell.column, kind, written=cell.text or None, stored=stored_as(cell))
    if kind == YIELD and cell.kind is Kind.TEXT:
        said_here = yield_said(cell.text)
        if said_here is not None:
            made.value, made.unit = said_here.grams, said_here.unit
    elif kind in WEIGHTS:
        entry = read_entry(cell, said, decimal_comma=comma)
        made.unit = entry.unit
        made.value = entry.grams if entry.unit else entry.value
    elif kind == "liquid to lye":
        made.value = ratio(cell)
    else:
        made.value, made.other_value = percentage(cell, decimal_comma=comma, in_percent=in_percent)
        if kind in _NEVER_BELOW_ONE and 0 < min(made.value, made.other_value) <= 1 and "%" not in cell.text:
            made.value, made.other_value = 100 * min(made.value, made.other_value), nan
        elif kind in _NEVER_BELOW_ONE and 0 < made.value <= 1 and "%" not in cell.text:
            made.value = 100 * made.value
    return made


_RATIO = re.compile(r"\d+(?:[.,]\d+)?\s*(?::|to|zu)\s*\d+(?:[.,]\d+)?")
_RATIO_WORDS = frozenset(
    (
        "ratio", "parts", "part", "verhaltnis", "teile", "to", "zu", "a", "of", "the", "is", "at", "by", "per",
        "weight",
        "liquid",
    )
)  # fmt: skip


def is_ratio(text: str) -> bool:
    """Tell whether a text is a ratio and nothing else: of a liquid, to the lye (`2 : 1`)."""
    return _RATIO.fullmatch(text.strip()) is not None


@lru_cache(maxsize=65536)
def is_ratio_of_lye(text: str) -> bool:
    """Tell whether a text states liquid to lye: `Water:lye 2:1`, `2 : 1 water to lye`.

    >>> is_ratio_of_lye("Water:lye 2:1"), is_ratio_of_lye("Lye 2:1 diluted")
    (True, False)
    """
    if not _RATIO.search(text):
        return False
    kinds = [kinds_of(word) for word in fold(_RATIO.sub(" ", text)).split() if word not in _RATIO_WORDS]
    liquids, alkalis = (sum(kind in word for word in kinds) for kind in ("liquid", "alkali"))
    return liquids + alkalis == len(kinds) and alkalis > 0 and (liquids > 0 or "liquid" in fold(text).split())


@lru_cache(maxsize=4096)
def is_weight(text: str) -> bool:
    """Tell whether a text is a weight and no share: `1.5 oz` where a superfat is stated is oil that is added."""
    readings = read_amount(text).readings
    return bool(readings) and readings[0].unit is not None and dimension(readings[0].unit) == "mass"


def superfat_stated(recipe: int, sheet: Sheet, cell: Cell, place: str) -> Statement | None:
    """Return the superfat that a remark or title states, None where it states none."""
    said = superfat_said(cell.text)
    if said is None:
        return None
    value, other = said
    made = Statement(recipe, sheet.name, cell.row, cell.column, "superfat", written=cell.text)
    made.value, made.other_value, made.place = value, other, place
    return made


def yield_stated(recipe: int, sheet: Sheet, cell: Cell) -> Statement | None:
    """Return the weight that a remark says a recipe makes, None where it says none."""
    if cell.kind is not Kind.TEXT or not speaks_of_yield(cell.text):
        return None
    made = statement(sheet, cell, YIELD)
    made.recipe, made.place = recipe, "remark"
    return made if isfinite(made.value) else None
