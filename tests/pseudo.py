"""A language for tests: every word of ours stands in ⟦brackets⟧, so that what does not was not looked up.

It is made from the catalogue that translators get, so that a sentence which is missing there shows as well.
"""

import re
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from sheetcheck.words import DOMAIN
from tests.catalogue import catalogue

LANGUAGE = "xx"
_PART = re.compile(r"(\{[^{}]*\})")
_OURS = re.compile(r"⟦[^⟦⟧]*(?:⟧|…$)")  # what is too long for its place is cut short


def said(sentence: str) -> str:
    """Put what stands between the parts of a sentence into brackets."""
    pieces = (f"⟦{piece}⟧" if piece and not _PART.fullmatch(piece) else piece for piece in _PART.split(sentence))
    return "".join(pieces)


def not_ours(text: str) -> str:
    """Take what stands in brackets out of a text."""
    return _OURS.sub(" ", text)


def write_language(folder: Path) -> Path:
    """Write the language as a compiled catalogue below a folder, and return the folder."""
    translated = Catalog(locale=None)
    for message in catalogue():
        if isinstance(message.id, tuple):
            translated.add(message.id, tuple(said(form) for form in message.id))
        elif message.id:
            translated.add(message.id, said(str(message.id)))
    target = folder / LANGUAGE / "LC_MESSAGES" / f"{DOMAIN}.mo"
    target.parent.mkdir(parents=True)
    with target.open("wb") as file:
        write_mo(file, translated)
    return folder
