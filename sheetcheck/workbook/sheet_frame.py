"""What stands before and after the rows of a sheet: its extent, its columns, its links and its drawing of notes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise
from xml.parsers import expat
from xml.sax.saxutils import quoteattr

from sheetcheck.errors import UneditableBookError
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.sheet_facts import ColumnSpan, column_spans
from sheetcheck.workbook.sheet_rows import SheetRows, column_name, column_number

# Order of what follows the rows (ECMA-376-1, CT_Worksheet).
_ORDER = (
    "sheetCalcPr", "sheetProtection", "protectedRanges", "scenarios", "autoFilter", "sortState", "dataConsolidate",
    "customSheetViews", "mergeCells", "phoneticPr", "conditionalFormatting", "dataValidations", "hyperlinks",
    "printOptions", "pageMargins", "pageSetup", "headerFooter", "rowBreaks", "colBreaks", "customProperties",
    "cellWatches", "ignoredErrors", "smartTags", "drawing", "legacyDrawing", "legacyDrawingHF", "drawingHF",
    "picture", "oleObjects", "controls", "webPublishItems", "tableParts", "extLst",
)  # fmt: skip


def patched_head(head: bytes, prefix: bytes, last_cell: tuple[int, int], widths: Mapping[int, float | None]) -> bytes:
    """Return the head with the sheet's stated extent and the widths of our columns."""
    head = _with_extent(head, prefix, *last_cell)
    return with_widths(head, prefix, widths)


def _with_extent(head: bytes, prefix: bytes, row: int, column: int) -> bytes:
    match = re.search(
        rb"<" + re.escape(prefix) + rb"dimension\s+ref\s*=\s*[\"']([A-Z]+)(\d+)(?::([A-Z]+)(\d+))?[\"']", head
    )
    if not match or not row:
        return head
    last_column = max(column_number(match.group(3) or match.group(1)), column)
    last_row = max(int(match.group(4) or match.group(2)), row)
    extent = b"%s%s:%s%d" % (match.group(1), match.group(2), column_name(last_column), last_row)
    return head[: match.start(1)] + extent + head[match.end(4) if match.group(4) else match.end(2) :]


def with_widths(head: bytes, prefix: bytes, widths: Mapping[int, float | None]) -> bytes:
    """Return the head with other widths of some columns, None for the usual one.

    A definition that covers these columns and others is split; all else that it says of them stays, its style too.
    Of definitions that overlap the last counts, and they keep their order.
    """
    if not widths:
        return head
    present = list(_COLUMNS.finditer(head))  # there may be several (ECMA-376-1, CT_Worksheet)
    spans = [span for match in present for span in column_spans(match.group())]
    ours, said = set(widths), dict.fromkeys(widths, b"")
    elements: list[tuple[int, bytes]] = []
    for span in spans:
        for first, last in _runs_without(span, ours):
            elements.append((first, _span_xml(prefix, span.attributes, first, last)))
        mine = _BUT_WIDTH.sub(b"", span.attributes).rstrip()
        said.update({column: mine for column in ours if span.first <= column <= span.last})
    for column, width in widths.items():
        shown = b"" if width is None else b' width="%.6g" customWidth="1"' % width
        if said[column] or shown:
            elements.append((column, b'<%scol min="%d" max="%d"%s%s/>' % (prefix, column, column, shown, said[column])))
    overlap = any(before.last >= after.first for before, after in pairwise(spans))
    ordered = elements if overlap else sorted(elements)
    columns = b"<%scols>%s</%scols>" % (prefix, b"".join(xml for _, xml in ordered), prefix) if elements else b""
    place = present[0].start() if present else len(head)
    return _COLUMNS.sub(b"", head[:place]) + columns + _COLUMNS.sub(b"", head[place:])


_COLUMNS = re.compile(rb"<((?:[\w.-]+:)?)cols(?:\s[^>]*)?(?:/>|>.*?</\1cols\s*>)", re.DOTALL)
_BUT_WIDTH = re.compile(rb"\s(?:min|max|width|customWidth|bestFit|hidden)\s*=\s*(?:\"[^\"]*\"|'[^']*')")


def _runs_without(span: ColumnSpan, left_out: set[int]) -> Iterator[tuple[int, int]]:
    """Yield the runs of a span's columns that remain when some are left out."""
    first = span.first
    for column in sorted(c for c in left_out if span.first <= c <= span.last):
        if first < column:
            yield first, column - 1
        first = column + 1
    if first <= span.last:
        yield first, span.last


def _span_xml(prefix: bytes, attributes: bytes, first: int, last: int) -> bytes:
    attributes = re.sub(rb"(\smin\s*=\s*[\"'])\d+", rb"\g<1>%d" % first, attributes)
    attributes = re.sub(rb"(\smax\s*=\s*[\"'])\d+", rb"\g<1>%d" % last, attributes)
    return b"<%scol%s/>" % (prefix, attributes.rstrip())


def column_break(prefix: bytes, column: int) -> bytes:
    """Return our page break behind a column, as it is written into a sheet that has none."""
    return b'<%scolBreaks count="1" manualBreakCount="1"><%sbrk id="%d" max="1048575" man="1"/></%scolBreaks>' % (
        prefix,
        prefix,
        column,
        prefix,
    )


def patched_tail(
    package: Package,
    sheet: SheetRows,
    links: Mapping[str, tuple[str, str]],
    legacy_drawing: str | None,
    new_page: int = 0,
) -> bytes:
    """Return the tail with our links, the reference to our drawing of notes and our page break, each in its place."""
    tail, prefix = sheet.tail, sheet.prefix
    if new_page > 1 and b"colBreaks" not in tail:
        tail = _inserted(package, sheet, tail, "colBreaks", column_break(prefix, new_page - 1))
    if legacy_drawing:
        namespace = package.relationships_namespace.encode()
        element = b'<%slegacyDrawing xmlns:r="%s" r:id="%s"/>' % (prefix, namespace, legacy_drawing.encode())
        tail = _inserted(package, sheet, tail, "legacyDrawing", element)
    if links:
        elements = b"".join(_link_xml(prefix, cell, *link) for cell, link in links.items())
        closing = re.search(rb"</" + re.escape(prefix) + rb"hyperlinks\s*>", tail)
        if closing:
            return tail[: closing.start()] + elements + tail[closing.start() :]
        element = b"<%shyperlinks>%s</%shyperlinks>" % (prefix, elements, prefix)
        tail = _inserted(package, sheet, tail, "hyperlinks", element)
    return tail


def _link_xml(prefix: bytes, cell: str, location: str, display: str) -> bytes:
    return b'<%shyperlink ref="%s" location=%s display=%s/>' % (
        prefix,
        cell.encode(),
        quoteattr(location).encode(),
        quoteattr(display[:255]).encode(),
    )


def _inserted(package: Package, sheet: SheetRows, tail: bytes, name: str, element: bytes) -> bytes:
    """Put an element of the worksheet in its place among those that are there."""
    rank = _ORDER.index(name)
    for other, offset in _children(package, sheet, tail):
        if other == "" or (other in _ORDER and _ORDER.index(other) > rank):
            return tail[:offset] + element + tail[offset:]
    raise UneditableBookError(package.path, tr("there is no place for {element} in a sheet", element=name))


def _children(package: Package, sheet: SheetRows, tail: bytes) -> list[tuple[str, int]]:
    """Names and offsets of the worksheet's children after the rows; its end has the name "".

    Of a choice between alternatives (Markup Compatibility) the name is that of the first element in it.
    """
    start = re.search(rb"<" + re.escape(sheet.prefix) + rb"worksheet(?:\s[^>]*)?>", sheet.head)
    if not start:
        raise UneditableBookError(package.path, tr("a sheet does not begin as one"))
    opening = start.group() if sheet.is_empty else start.group() + b"<%ssheetData>" % sheet.prefix
    found: list[tuple[str, int]] = []
    depth = 0
    alternative: int | None = None
    parser = safe_xml.stream_parser()

    def begin(name: str, _: object) -> None:
        nonlocal depth, alternative
        depth += 1
        local, offset = name.rpartition(":")[2], parser.CurrentByteIndex - len(opening)
        if depth == 2 and local == "AlternateContent":
            alternative = offset
        elif depth == 2 and offset >= 0:
            found.append((local, offset))
        elif depth == 4 and alternative is not None:
            found.append((local, alternative))
            alternative = None

    def end(_: str) -> None:
        nonlocal depth
        depth -= 1
        if depth == 0:
            found.append(("", parser.CurrentByteIndex - len(opening)))

    parser.StartElementHandler, parser.EndElementHandler = begin, end
    try:
        parser.Parse(opening + tail, True)
    except expat.ExpatError as error:
        said = tr("the end of a sheet is not well-formed: {error}", error=error)
        raise UneditableBookError(package.path, said) from error
    return found
