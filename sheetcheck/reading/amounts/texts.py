"""Texts that hold an amount with something beside it: a name before or behind it, a remark, the amount alone."""

from __future__ import annotations

import re

from sheetcheck.reading.amounts.amount import Amount, read_amount
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.names.qualified import qualifies
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words
from sheetcheck.workbook.grid import Cell, Kind

_LONGEST = 1_000  # characters: what is longer is prose
_LEADING_AMOUNT = re.compile(r"^[~≈<>ca.\s]*[\d½⅓⅔¼¾⅛⅜⅝⅞]", re.IGNORECASE)
_NUMBER = re.compile(r"(?<![\d.,/½⅓⅔¼¾⅛⅜⅝⅞])[\d½⅓⅔¼¾⅛⅜⅝⅞]")
_IN_DEGREES = r"\d+ ?(?:°|deg)"
_WITH_SHARE = r"(?<=\s)(?:at|with|for|bei|mit|à|a|al|con|com|met) [\d.,]+ ?%[^\d]*"  # `at 5 % superfat`
_REMARK_BEHIND = re.compile(
    rf"\s*(\((?:[^()\d]|{_IN_DEGREES})*\)|[,;] [^\d]+|(?<=\s)- [^\d]+|{_WITH_SHARE})[!*]*$|[!*]+$"
)
_SHARE = re.compile(r"\(?[0-9]{1,3}(?:[.,][0-9]+)? ?%\)?")
LEADERS = re.compile(r"[._…]{3,}|…")  # `Olive oil ....... 500 g`
_NUMBER_AND_WORD = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ([^\W\d_]{2,12}\.?)")
_EDGE = " \t\n:;,-–—=(.·•*"


def split_name_and_amount(text: str) -> tuple[str, str] | None:
    """Split `Olive oil 500 g` or `500 g olive oil` into name and amount; None where it is not both."""
    if len(text) > _LONGEST:
        return None
    text = clean(LEADERS.sub(" ", text))
    if _LEADING_AMOUNT.match(text) or _leads_in_words(text):
        amount = read_amount(text)
        rest = _without_stray_bracket(amount.rest.strip(_EDGE))
        if amount.readings and rest:
            return rest, text
        if short := _NUMBER_AND_WORD.fullmatch(text):  # `35.2 Lrd`: a unit alone would be of nothing
            return short[2], short[1]
        return _amount_behind(text) if text[:2].isupper() else None  # `CA 50` is a short form, `ca 50` an amount
    remark = _REMARK_BEHIND.search(text)
    return _amount_behind(text) or (_amount_behind(text[: remark.start()], remark[1] or "") if remark else None)


def _leads_in_words(text: str) -> bool:
    """Tell whether a text begins with an amount in words: `one pound lard`, `half a pound of tallow`."""
    first = fold(text).partition(" ")[0]
    if first not in words("number") and first not in words("fraction"):
        return False
    readings = read_amount(text).readings
    return bool(readings) and readings[0].unit is not None


def _amount_behind(text: str, remark: str = "") -> tuple[str, str] | None:
    """Split where an amount ends the text, from the first number on that begins one: `Coconut oil (76) 150 g`."""
    for number in _NUMBER.finditer(text):
        name = _without_stray_bracket(text[: number.start()].rstrip(_EDGE))
        tail = text[number.start() :].rstrip(")").strip()
        amount = read_amount(tail)
        inside_brackets = name.count("(") > name.count(")")  # `Hearth (40 × 110 g)`: a remark on a name
        if name and not inside_brackets and amount.readings and (not amount.rest or _SHARE.fullmatch(amount.rest)):
            return _with_remark(name, remark), tail
    return None


def _with_remark(name: str, remark: str) -> str:
    """Keep with the name what stands behind the amount, unless that is a remark on a name that is known without it."""
    whole = clean(f"{name} {remark}" if remark.startswith("(") else f"{name}{remark}")
    if not remark or identify(whole).kind is not None or identify(name).kind is None:
        return whole
    return name if is_remark(remark) and not qualifies(whole, identify(name).substance) else whole


def is_remark(text: str) -> bool:
    """Tell whether words behind an amount are no name, and change none: `(melted)`, `weighed twice`, `- frozen`."""
    return identify(text.strip(f"{_EDGE})")).kind is None and not set(fold(text).split()) & words("changes").keys()


def _without_stray_bracket(text: str) -> str:
    """Take off a bracket at the end that was never opened."""
    return text[:-1].rstrip(_EDGE) if text.endswith(")") and "(" not in text else text


def amount_with_remark(text: str) -> Amount | None:
    """Return the amount where a text is one and nothing else but a remark on it: `210 g (melted)`; else None."""
    amount = read_amount(text)
    if not amount.readings or (amount.rest and (amount.readings[0].unit is None or not is_remark(amount.rest))):
        return None
    return amount


def amount_only(text: str) -> Amount | None:
    """Return the amount where a text is one and nothing else, else None."""
    amount = read_amount(text)
    return amount if amount.readings and not amount.rest else None


def is_amount(cell: Cell) -> bool:
    """Tell whether a cell holds an amount, or something that stands where one should: `?`, an error value."""
    if cell.kind is Kind.TEXT:
        return cell.text.strip() in ("?", "??", "???") or amount_with_remark(cell.text) is not None
    return cell.kind is not Kind.BOOL
