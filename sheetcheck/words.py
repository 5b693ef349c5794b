"""How a sentence reaches the maker: looked up in a catalogue of her language, its parts filled in.

A sentence stands in English where it is used, whole, with named parts::

    tr("Free lye. {place} holds {amount}.", place=place, amount=amount)

`pybabel extract` (the line is in DEVELOPERS.md) gathers them into `sheetcheck/locale/sheetcheck.pot`; a translation
is one file beside it. A sentence that is a constant is marked with `later` and goes through `tr` where it is shown. A
sentence is never put together from halves: the order of words differs between languages.

Numbers are written by `number`, with the decimal mark that the book shows.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path

CATALOGUES = Path(__file__).parent / "locale"
DOMAIN = "sheetcheck"

_THOUSANDS = {".": ",", ",": "\N{NO-BREAK SPACE}"}  # a space never looks like a decimal mark (ISO 80000-1, 7.3.1)


@dataclass(frozen=True, kw_only=True)
class Voice:
    """The language and the decimal mark in which sentences are said."""

    catalogue: gettext.NullTranslations = field(default_factory=gettext.NullTranslations)
    decimal_mark: str = "."


_ENGLISH = Voice()
_voice: ContextVar[Voice] = ContextVar("voice", default=_ENGLISH)


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


def tr(sentence: str, **parts: object) -> str:
    """Say a sentence in the maker's language, with its parts filled in.

    >>> tr("{cell} holds {amount}.", cell="B4", amount="12 oz")
    'B4 holds 12 oz.'
    """
    said = _voice.get().catalogue.gettext(sentence) if sentence else ""
    return said.format(**parts) if parts else said


def tr_count(one: str, many: str, count: int, **parts: object) -> str:
    """Say a sentence with a count in it, which `one` and `many` have as `{count}`.

    >>> tr_count("{count} recipe", "{count} recipes", 3)
    '3 recipes'
    """
    return _voice.get().catalogue.ngettext(one, many, count).format(count=number(count, 0), **parts)


def later(sentence: str) -> str:
    """Mark a constant sentence for the catalogue; it is said through `tr` where it is shown."""
    return sentence


def number(value: float, decimals: int) -> str:
    """Write a number with so many decimals, in the book's decimal mark.

    >>> number(1250.5, 1)
    '1,250.5'
    >>> with speaking(Voice(decimal_mark=",")):
    ...     number(2.5, 2)
    '2,50'
    """
    text = f"{value:,.{decimals}f}"
    mark = _voice.get().decimal_mark
    return text if mark == "." else text.replace(",", _THOUSANDS[mark]).replace(".", mark)
