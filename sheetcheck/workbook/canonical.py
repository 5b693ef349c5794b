"""A worksheet part rewritten in the plainest form of the same XML, for files that are written in an unusual way.

Most programs write `<c r="B3" s="1" t="s"><v>5</v></c>` and nothing else, and sheet_xml reads that form at the speed of
a regular expression. Whatever else XML and the standard allow (prefixes, other encodings, CDATA, comments, white space,
cells and rows that leave out their place) is brought into that form here, piece by piece, by a full XML parser.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from xml.sax.saxutils import escape, quoteattr

from sheetcheck.model import column_letters
from sheetcheck.words import number, tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.cell_xml import MOST_CHARACTERS
from sheetcheck.workbook.places import LAST_COLUMN, LAST_ROW, PastTheSheetError, PlaceError, split_reference

_IN_A_CELL = ("f", "v", "is")  # in the order of the plain form
_MOST_READ = 3 * MOST_CHARACTERS  # of a cell: a text, a formula, and a little more, so that it is said to be longer
_LINE_ENDS = {"\r": "&#13;"}
_ESCAPED = {"\r": "_x000D_"}  # ISO/IEC 29500-1, 22.9.2.19


def canonical(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Rewrite a worksheet part.

    Raises
    ------
    BrokenXmlError, RefusedXmlError, PlaceError
        Where it is not well-formed, has a document type, or a cell's place cannot be read.
    """
    parser = safe_xml.stream_parser()
    writer = _Writer()
    parser.StartElementHandler = writer.start
    parser.EndElementHandler = writer.end
    parser.CharacterDataHandler = writer.characters
    for chunk in chunks:
        safe_xml.feed(parser, (chunk,), last=False)
        yield writer.taken()
    safe_xml.feed(parser, (), last=True)
    yield writer.taken()


class _Writer:
    """Gathers the rewritten part: inside `sheetData` in the plain form, elsewhere as it came."""

    def __init__(self) -> None:
        self._pieces: list[str] = []
        self._within: list[str] = []  # local names of the open elements, from sheetData inwards
        self._contents: dict[str, list[str]] = {}  # of the open cell
        self._room = 0  # characters that the open cell may still hold
        self._row = 0
        self._column = 0

    def taken(self) -> bytes:
        data = "".join(self._pieces).encode("utf-8", "replace")
        self._pieces.clear()
        return data

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        local = name.rpartition(":")[2]
        if not self._within and local != "sheetData":
            self._pieces.append(_tag(name, attributes))
            return
        self._within.append(local)
        match self._within:
            case ["sheetData"]:
                self._pieces.append("<sheetData>")
            case [_, "row"]:
                self._start_row(attributes)
            case [_, "row", "c"]:
                self._start_cell(attributes)
            case [_, "row", "c", part, *_] if part in _IN_A_CELL:
                self._contents.setdefault(part, []).append(_tag(local, attributes))

    def end(self, name: str) -> None:
        if not self._within:
            self._pieces.append(f"</{name}>")
            return
        match self._within:
            case [_] | [_, "row"]:
                self._pieces.append(f"</{self._within[-1]}>")
            case [_, "row", "c"]:
                for part in _IN_A_CELL:
                    self._pieces += self._contents.pop(part, ())
                self._pieces.append("</c>")
            case [_, "row", "c", part, *_] if part in _IN_A_CELL:
                self._contents[part].append(f"</{self._within[-1]}>")
        self._within.pop()

    def characters(self, text: str) -> None:
        match self._within:
            case []:
                self._pieces.append(escape(text, _LINE_ENDS))
            case [_, "row", "c", "f" | "v" as part] | [_, "row", "c", "is" as part, *_, "t"] if self._room > 0:
                self._contents[part].append(escape(text[: self._room], _ESCAPED))
                self._room -= len(text)

    def _start_row(self, attributes: Mapping[str, str]) -> None:
        number = attributes.get("r", "").strip()
        if number and not (number.isascii() and number.isdigit() and len(number) < 16):
            raise PlaceError(f"row {number[:40]!r}")
        self._row = int(number) if number else self._row + 1
        self._column = 0
        hidden = ' hidden="1"' if attributes.get("hidden") in ("1", "true") else ""
        self._pieces.append(f'<row r="{self._row}"{hidden}>')

    def _start_cell(self, attributes: Mapping[str, str]) -> None:
        reference = attributes.get("r", "").strip()
        row = self._row
        if reference:
            row, self._column = split_reference(reference)
        else:
            self._column += 1
        if row > LAST_ROW or self._column > LAST_COLUMN:
            said = tr("a cell in row {row}, column {column}", row=number(row, 0), column=number(self._column, 0))
            raise PastTheSheetError(said)
        self._room = _MOST_READ
        style = attributes.get("s", "").strip()
        style = f' s="{style}"' if style.isascii() and style.isdigit() and len(style) < 6 else ""
        kind = attributes.get("t", "").strip()
        kind = f" t={quoteattr(kind)}" if kind else ""
        self._pieces.append(f'<c r="{column_letters(self._column)}{row}"{style}{kind}>')


def _tag(name: str, attributes: Mapping[str, str]) -> str:
    return f"<{name}{''.join(f' {k}={quoteattr(v)}' for k, v in attributes.items())}>"
