"""The decimal mark that a book shows its maker: by the amounts written as text, else by the language of its formats."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from locale import windows_locale  # language codes of Windows, which number formats name ([MS-LCID])

import numpy as np

from sheetcheck.reading.text import clean, fold_letters
from sheetcheck.reading.units.unit_list import unit_pattern
from sheetcheck.workbook.grid import Grid, Kind

COMMA, POINT = ",", "."
_MAJORITY = 4  # times as many of one mark as of the other: a book with both shows neither

# Numbers that can be read in one way only: `1,250` and `1.250` tell nothing
_NUMBER = re.compile(
    r"""(?<![0-9.,/'-])(?:
        (?P<comma>[0-9]{1,3}(?:[.' ][0-9]{3})+,[0-9]+ | (?:0|[0-9]+(?=,(?:[0-9]{1,2}|[0-9]{4,})(?![0-9]))),[0-9]+)
      | (?P<point>[0-9]{1,3}(?:[,' ][0-9]{3})+\.[0-9]+ | (?:0|[0-9]+(?=\.(?:[0-9]{1,2}|[0-9]{4,})(?![0-9])))\.[0-9]+)
    )(?![0-9/]|[.,][0-9])""",
    re.VERBOSE,
)
_FORMAT_LANGUAGE = re.compile(r"\[\$[^\]-]*-([0-9A-Fa-f]{1,8})\]")
_LANGUAGE_CODE = 0xFFFF  # of a format's code; the rest says which digits and calendar

# Decimal marks by language and country: Unicode CLDR, which a test compares. What is not here tells nothing.
_COMMA = "af bg ca cs da de el es et eu fi fr gl hr hu is it lt lv nb nl nn pl pt ro ru sk sl sv tr uk"
_POINT = "en"
_NOT_TOLD = "CB CH JA LI UR ZA"  # countries where usage varies, or whose name here is not that of ISO 3166
_POINT_IN_SPANISH = "DO GT HN MX NI PA PE PR SV US"


def decimal_mark(grids: Iterable[Grid]) -> str:
    """Return the decimal mark that the texts of a book show; where they show none, that of its number formats.

    A point where neither shows one, or where both marks are in use.
    """
    grids = list(grids)
    shown = [mark for grid in grids for mark in _in_texts(grid)]
    if not shown:
        shown = sorted({mark for grid in grids for mark in _in_formats(grid)})
    commas = shown.count(COMMA)
    return COMMA if commas > _MAJORITY * (len(shown) - commas) else POINT


def _in_texts(grid: Grid) -> Iterator[str]:
    for text in grid.text[grid.kind == Kind.TEXT]:
        if "," in text or "." in text:
            yield from _in_text(clean(text))


def _in_text(text: str) -> Iterator[str]:
    """Yield the marks of the amounts in a text: numbers with a unit, or the one number that is all the text."""
    folded = fold_letters(text)
    for found in _NUMBER.finditer(folded):
        if found[0] == folded or _unit().match(folded, found.end()):
            yield COMMA if found["comma"] else POINT


@cache
def _unit() -> re.Pattern[str]:
    return re.compile(rf" ?{unit_pattern()}")


def _in_formats(grid: Grid) -> Iterator[str]:
    for style in np.unique(grid.style).tolist():
        for found in _FORMAT_LANGUAGE.finditer(grid.styles[style].number_format):
            mark = mark_of_language(int(found[1], 16) & _LANGUAGE_CODE)
            if mark is not None:
                yield mark


def mark_of_language(code: int) -> str | None:
    """Return the decimal mark of a language by its code; None where that is not known or varies."""
    language, _, country = windows_locale.get(code, "").partition("_")
    if not country or country in _NOT_TOLD.split():
        return None
    if language in _POINT.split() or (language == "es" and country in _POINT_IN_SPANISH.split()):
        return POINT
    return COMMA if language in _COMMA.split() else None
