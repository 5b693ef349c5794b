"""XML from a file that nobody vouches for: no DTD, no entities, no network, nothing past the parser's own limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NoReturn
from xml.parsers import expat

from lxml import etree

from sheetcheck.words import tr


class BrokenXmlError(Exception):
    """The part is not well-formed."""


class RefusedXmlError(Exception):
    """The part declares a document type, which no workbook needs."""


class _PrologueEnd(Exception):  # noqa: N818 - no error: it stops the parser at the root element
    pass


def tree(data: bytes) -> etree._Element:
    """Return the root element of a part.

    Raises
    ------
    BrokenXmlError, RefusedXmlError
        Where it is not well-formed, or has a document type.
    """
    _check_prologue(data)
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        return etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError, LookupError) as error:
        raise BrokenXmlError(str(error)) from error


def stream_parser(*, namespaces: bool = False) -> expat.XMLParserType:
    """Return an expat parser that refuses a document type and gives text in large pieces.

    With `namespaces`, names come as "uri name", else as they are written.
    """
    parser = expat.ParserCreate(namespace_separator=" ") if namespaces else expat.ParserCreate()
    parser.buffer_text = True
    parser.buffer_size = 1 << 16
    parser.StartDoctypeDeclHandler = _refuse
    return parser


def feed(parser: expat.XMLParserType, chunks: Iterable[bytes], *, last: bool = True) -> None:
    """Feed a parser the pieces of a part, of which the end is `last`.

    Raises
    ------
    BrokenXmlError, RefusedXmlError
        Where it is not well-formed, or has a document type.
    """
    try:
        for chunk in chunks:
            parser.Parse(chunk, False)
        if last:
            parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        raise BrokenXmlError(str(error)) from error


class PullParser:
    """A parser that builds a tree as it is fed, and gives elements with certain tags as they start and end."""

    def __init__(self, tags: Sequence[str]) -> None:
        self._parser = etree.XMLPullParser(
            ("start", "end"), tag=tags, resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False
        )

    def feed(self, chunk: bytes) -> Iterator[tuple[Literal["start", "end"], etree._Element]]:
        """Feed a piece of a part and yield what started and ended in it.

        Raises
        ------
        BrokenXmlError
            Where it is not well-formed.
        """
        try:
            self._parser.feed(chunk)
            for event in self._parser.read_events():
                if event[0] == "start" or event[0] == "end":
                    yield event
        except (etree.XMLSyntaxError, ValueError, LookupError) as error:
            raise BrokenXmlError(str(error)) from error

    def close(self) -> None:
        """Tell the parser that this was all.

        Raises
        ------
        BrokenXmlError
            Where the end is missing.
        """
        try:
            self._parser.close()
        except (etree.XMLSyntaxError, ValueError) as error:
            raise BrokenXmlError(str(error)) from error


def drop(element: etree._Element) -> None:
    """Let go of an element that was used, and of all its older siblings."""
    element.clear()
    parent = element.getparent()
    while parent is not None and element.getprevious() is not None:
        del parent[0]


def without_document_type(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Pass on the pieces of a part once its prologue was looked through.

    Raises
    ------
    BrokenXmlError, RefusedXmlError
        Where the prologue is not well-formed, or has a document type.
    """
    parser = stream_parser()
    parser.StartElementHandler = _stop
    held: list[bytes] = []
    pieces = iter(chunks)
    try:
        for piece in pieces:
            held.append(piece)
            feed(parser, (piece,), last=False)
    except _PrologueEnd:
        pass
    yield from held
    yield from pieces


def _refuse(*_: object) -> NoReturn:
    raise RefusedXmlError(tr("declares a document type, which no workbook needs"))


def _stop(*_: object) -> NoReturn:
    raise _PrologueEnd


def _check_prologue(data: bytes) -> None:
    """Look for a document type in whatever encoding the part is in: it can only stand before the root element."""
    parser = stream_parser()
    parser.StartElementHandler = _stop
    try:
        feed(parser, (data[i : i + 65_536] for i in range(0, len(data), 65_536)))
    except _PrologueEnd:
        return
