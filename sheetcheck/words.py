"""How a sentence reaches the maker: looked up in a catalogue of her language, its parts filled in.

A sentence stands in English where it is used, whole, with named parts::

    tr("Free lye. {place} holds {amount}.", place=place, amount=amount)

`python -m tests.catalogue` gathers them into `sheetcheck/locale/sheetcheck.pot`; a translation is one file beside it
(the lines are in DEVELOPERS.md). A sentence that is a constant is marked with `later` and goes through `tr` where it
is shown. A sentence is never put together from halves: the order of words differs between languages.

Numbers are written by `number`, with the decimal mark that the book shows.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

CATALOGUES = Path(__file__).parent / "locale"
DOMAIN = "sheetcheck"

MINUS = "\N{MINUS SIGN}\N{WORD JOINER}"  # longer than a hyphen, and never left behind at the end of a line
_THOUSANDS = {".": ",", ",": "\N{NO-BREAK SPACE}"}  # a space never looks like a decimal mark (ISO 80000-1, 7.3.1)


@dataclass(frozen=True, kw_only=True)
class Voice:
    """The language and the decimal mark in which sentences are said."""

    catalogue: gettext.NullTranslations = field(default_factory=gettext.NullTranslations)
    decimal_mark: str = "."


_ENGLISH = Voice()
_voice: ContextVar[Voice] = ContextVar("voice", default=_ENGLISH)


@dataclass(frozen=True)
class Manner:
    """How a book is spoken of: the language that the settings name, and the decimal mark that the book shows."""

    language: str = "en"
    decimal_mark: str = "."

    def voice(self) -> Voice:
        """Return the voice; where no language is named, the one that is spoken already."""
        spoken = _voice.get().catalogue if self.language == "en" else catalogue(self.language)
        return Voice(catalogue=spoken, decimal_mark=self.decimal_mark)


def speak(voice: Voice) -> None:
    """Say everything in this voice from now on: for a command, which is a process of its own."""
    _voice.set(voice)


@contextmanager
def speaking(voice: Voice) -> Iterator[None]:
    """Say everything inside in this voice."""
    token = _voice.set(voice)
    try:
        yield
    finally:
        _voice.reset(token)


def languages() -> list[str]:
    """List the languages there is a catalogue for; English needs none."""
    return ["en", *sorted(path.parent.parent.name for path in CATALOGUES.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))]


def catalogue(language: str) -> gettext.NullTranslations:
    """Load a language's catalogue. Raises FileNotFoundError where there is none."""
    if language == "en":
        return gettext.NullTranslations()
    return gettext.translation(DOMAIN, CATALOGUES, [language])


def tr(sentence: str, /, **parts: object) -> str:
    """Say a sentence in the maker's language, with its parts filled in.

    >>> tr("{cell} holds {amount}.", cell="B4", amount="12 oz")
    'B4 holds 12 oz.'
    """
    said = _voice.get().catalogue.gettext(sentence) if sentence else ""
    return _filled(said, sentence, parts) if parts else said


def tr_count(one: str, many: str, count: int, /, **parts: object) -> str:
    """Say a sentence with a count in it, which `one` and `many` have as `{count}`.

    >>> tr_count("{count} recipe", "{count} recipes", 3)
    '3 recipes'
    """
    said = _voice.get().catalogue.ngettext(one, many, count)
    return _filled(said, one if count == 1 else many, {**parts, "count": number(count, 0)})


def _filled(said: str, sentence: str, parts: Mapping[str, object]) -> str:
    """Fill in the parts; a translation that asks for other parts gives way to the English sentence."""
    try:
        return said.format(**parts)
    except (KeyError, IndexError, ValueError, AttributeError):
        return sentence.format(**parts)


def later(sentence: str) -> str:
    """Mark a constant sentence for the catalogue; it is said through `tr` where it is shown."""
    return sentence


def of_the_translation() -> str:
    """Say, in any language but English, that no soap maker whose language it is has read it yet.

    >>> of_the_translation()
    ''
    """
    said = tr(_NOT_YET_READ)
    return said if said != _NOT_YET_READ else ""


_NOT_YET_READ = later("This translation has not yet been read by a soap maker whose language it is.")


class Sentence(str):
    """A sentence with its parts, to be said when the language is known; as a text it is English.

    >>> Sentence("{count} cells", count=3), Sentence("{count} cells", count=3).said()
    ('3 cells', '3 cells')
    """

    __slots__ = ("_parts", "_sentence")
    _sentence: str
    _parts: dict[str, object]

    def __new__(cls, sentence: str, /, **parts: object) -> Self:
        """Keep the sentence and its parts beside the English text."""
        made = super().__new__(cls, sentence.format(**parts))
        made._sentence, made._parts = sentence, parts
        return made

    def said(self) -> str:
        """Say it."""
        return tr(self._sentence, **self._parts)


def in_every_language(sentence: str) -> list[str]:
    """Say a sentence in English, as it is said now, and in each language there is a catalogue for: to read it back.

    >>> in_every_language("corrected")[0]
    'corrected'
    """
    said = (catalogue(language).gettext(sentence) for language in languages())
    return list(dict.fromkeys((sentence, tr(sentence), *said)))


def number(value: float, decimals: int) -> str:
    """Write a number with so many decimals, in the book's decimal mark.

    >>> number(1250.5, 1)
    '1,250.5'
    >>> with speaking(Voice(decimal_mark=",")):
    ...     number(2.5, 2)
    '2,50'
    >>> number(-2.5, 1) == f"{MINUS}2.5"
    True
    """
    text = f"{value:,.{decimals}f}"
    mark = _voice.get().decimal_mark
    text = text if mark == "." else text.replace(",", _THOUSANDS[mark]).replace(".", mark)
    return _with_minus(text)


def _with_minus(text: str) -> str:
    """Write the sign of a negative number so that it is not taken for a dash; a zero has none."""
    if not text.startswith("-"):
        return text
    return MINUS + text[1:] if any(digit in text for digit in "123456789") else text[1:]


def with_own_mark(text: str) -> str:
    """Write a text that begins with a number, such as "9.5 oz", with the decimal mark of the book.

    >>> with speaking(Voice(decimal_mark=",")):
    ...     with_own_mark("9.5 oz")
    '9,5 oz'
    """
    text = text.replace(".", _voice.get().decimal_mark, 1)
    return _with_minus(text) if text[1:2].isdigit() else text


def as_typed(value: float) -> str:
    """Write a number as a person would type it, with the decimal mark of the book.

    >>> as_typed(1250.5)
    '1250.5'
    """
    return with_own_mark(f"{value:.10g}")
