"""Texts of a workbook: shared strings, rich text, and the escapes of the standard."""

from __future__ import annotations

import re
from collections.abc import Mapping
from xml.sax.saxutils import unescape

from sheetcheck.errors import HostileBookError
from sheetcheck.words import number, tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.package import Package

_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")  # what XML 1.0, 2.2, keeps out
_PICTURES = 0x2400  # SYMBOL FOR NULL and so on (Unicode, Control Pictures)
_PHONETIC = re.compile(rb"<rPh[ >].*?</rPh>", re.DOTALL)
_TEXT = re.compile(rb"<t(?: [^>]*)?>([^<]*)</t>")
_OTHER_REFERENCE = re.compile(r"&(?!(?:amp|lt|gt|quot|apos);)")
_QUOTES = {"&quot;": '"', "&apos;": "'"}


class NotPlainError(Exception):
    """XML that is in order but not in the plain form that can be read without a parser."""


def unescaped(text: str) -> str:
    """Resolve `_x000D_` and its like (ISO/IEC 29500-1, 22.9.2.19); what is no text becomes a picture of itself."""
    if "_x" not in text:
        return text
    plain = _NO_TEXT.sub(_shown, _ESCAPE.sub(lambda match: chr(int(match[1], 16)), text))
    if not _LONE_SURROGATE.search(plain):
        return plain
    return plain.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _shown(control: re.Match[str]) -> str:
    """Return the picture of a control character: as itself no XML may hold it, and a terminal would obey it."""
    return chr(_PICTURES + ord(control[0])) if control[0] < " " else "�"


def plain_text(data: bytes) -> str:
    """Return the text of an element's inside as it stands in a part in UTF-8, its references resolved.

    Raises
    ------
    NotPlainError
        Where it takes a parser to read it: a reference by number, a line end that XML changes, another encoding.
    """
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise NotPlainError(str(error)) from error
    if "\r" in text or _OTHER_REFERENCE.search(text):
        raise NotPlainError(text)
    return unescaped(unescape(text, _QUOTES) if "&" in text else text)


def inline_text(data: bytes) -> str:
    """Return the text of an inline string, its phonetic hints left out."""
    return "".join(plain_text(piece) for piece in _TEXT.findall(_PHONETIC.sub(b"", data)))


def shared_strings(package: Package, budget: Budget) -> list[str]:
    """Return the shared strings of a workbook, empty where it has none."""
    part = package.related(package.workbook_part, "sharedStrings")
    if part is None:
        return []
    reader = _SharedStrings(package, budget)
    parser = safe_xml.stream_parser()
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.characters
    with package.archive.parsing(part):
        safe_xml.feed(parser, package.chunks(part))
    return reader.strings


class _LocalNames(dict[str, str]):
    def __missing__(self, name: str) -> str:
        self[name] = name.rpartition(":")[2]
        return self[name]


class _SharedStrings:
    def __init__(self, package: Package, budget: Budget) -> None:
        self.strings: list[str] = []
        self._package = package
        self._budget = budget
        self._local = _LocalNames()
        self._pieces: list[str] = []
        self._in_text = False
        self._phonetic = 0

    def start(self, name: str, attributes: Mapping[str, str]) -> None:  # noqa: ARG002 - expat's signature
        local = self._local[name]
        if local == "t":
            self._in_text = not self._phonetic
        elif local == "rPh":
            self._phonetic += 1

    def characters(self, text: str) -> None:
        if self._in_text:
            self._pieces.append(text)

    def end(self, name: str) -> None:
        local = self._local[name]
        if local == "t":
            self._in_text = False
        elif local == "si":
            self._end_string()
        elif local == "rPh":
            self._phonetic -= 1

    def _end_string(self) -> None:
        text = self._budget.text(unescaped("".join(self._pieces)))
        self._pieces.clear()
        self.strings.append(text)
        most = self._package.limits.shared_strings
        if len(self.strings) > most:
            raise HostileBookError(self._package.path, tr("more than {count} different texts", count=number(most, 0)))
