"""Which superfat the maker says she uses: an answer as any other, kept under a word of its own, and a setting."""

from __future__ import annotations

import re
from dataclasses import replace

from sheetcheck.errors import SettingError
from sheetcheck.reading.text import clean, fold
from sheetcheck.settings import Settings
from sheetcheck.words import tr

WORD = "superfat"  # under which it is asked and answered; of one sheet `superfat of Granny`
_OF = " of "
_PERCENT = re.compile(r"(?:superfat )?([0-9]{1,2}(?:[.,][0-9]+)?) ?(?:%|percent)?")
_MOST = 50.0


def word_for(sheet: str | None) -> str:
    """Return the word under which the superfat of a sheet, or of the book (None), is asked."""
    return WORD if sheet is None else f"{WORD}{_OF}{sheet}"


def is_word(word: str) -> bool:
    """Tell whether a word asks for a superfat."""
    return fold(word) == WORD or word.casefold().startswith(WORD + _OF)


def percent_said(answer: str) -> float | None:
    """Return the superfat that an answer gives [%], None where it gives none.

    >>> percent_said("7,5 %"), percent_said("superfat 5"), percent_said("tallow")
    (7.5, 5.0, None)
    """
    said = _PERCENT.fullmatch(clean(answer).casefold())
    value = float(said[1].replace(",", ".")) if said else _MOST + 1
    return value if value <= _MOST else None


def as_answer(percent: float) -> str:
    """Return a superfat as it is offered and kept: `5 %`."""
    return f"{percent:g} %"


def with_superfats_answered(settings: Settings) -> Settings:
    """Take the superfats out of the names, where answers are, and make settings of them; a setting wins.

    Raises
    ------
    SettingError
        An answer that gives no superfat.
    """
    said = {word: answer for word, answer in settings.names.items() if is_word(word)}
    if not said:
        return settings
    of_sheets, of_book = dict(settings.superfats), settings.target_superfat
    for word, answer in said.items():
        percent = percent_said(answer)
        if percent is None:
            why = tr("{value} should be a percentage from {low} to {high}", value=repr(answer), low="0", high="50")
            raise SettingError(settings.where(f"names.{word}"), why)
        if fold(word) == WORD:
            of_book = percent if of_book is None else of_book
        else:
            of_sheets.setdefault(word[len(WORD + _OF) :], percent)
    names = {word: meaning for word, meaning in settings.names.items() if word not in said}
    return replace(settings, names=names, target_superfat=of_book, superfats=of_sheets)
