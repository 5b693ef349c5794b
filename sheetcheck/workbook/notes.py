"""The user's own notes on cells, and conversations about a cell, which newer programs keep beside them."""

from __future__ import annotations

from lxml import etree

from sheetcheck.errors import HostileBookError
from sheetcheck.words import number, tr
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.places import PlaceError, split_reference
from sheetcheck.workbook.texts import unescaped

_Notes = dict[tuple[int, int], str]


def notes(package: Package, sheet_part: str) -> _Notes:
    """Return the notes of one sheet by (row, column); a conversation stands in place of the note that stands for it."""
    return _read(package, sheet_part, "comments", "comment") | _read(
        package, sheet_part, "threadedComment", "threadedComment"
    )


def _read(package: Package, sheet_part: str, kind: str, tag: str) -> _Notes:
    part = package.related(sheet_part, kind)
    if part is None:
        return {}
    found: _Notes = {}
    for element in package.tree(part).iter(f"{{*}}{tag}"):
        try:
            place = split_reference(element.get("ref", ""))
        except PlaceError:
            continue  # a note without a place is a note on nothing
        text = _text(element)
        found[place] = f"{found[place]}\n{text}" if place in found else text
        if len(found) > package.limits.notes:
            raise HostileBookError(
                package.path, tr("{part} has more than {count} notes", part=part, count=number(package.limits.notes, 0))
            )
    return found


def _text(element: etree._Element) -> str:
    """Text of a note with its runs joined, or of one remark in a conversation."""
    runs = [t.text or "" for t in element.iter("{*}t") if not _is_phonetic(t)]
    if runs:
        return unescaped("".join(runs))
    return unescaped("".join(e.text or "" for e in element.iterfind("{*}text")))


def _is_phonetic(element: etree._Element) -> bool:
    parent = element.getparent()
    return parent is not None and etree.QName(parent).localname == "rPh"
