"""Our notes taken off a sheet; those of the user's, and what else the drawing shows, stay."""

from __future__ import annotations

import re
from collections.abc import Collection

from lxml import etree

from sheetcheck.workbook.notes_patch import AUTHOR
from sheetcheck.workbook.package import Relationship
from sheetcheck.workbook.package_edit import PackageEdit, local_name, serialise
from sheetcheck.workbook.ranges import parse_cell
from sheetcheck.workbook.record import note_digest

_SHAPE = re.compile(rb"<v:shape(?=\s)[^>]*>.*?</v:shape\s*>", re.DOTALL)
_ROW = re.compile(rb"<x:Row>\s*(\d+)\s*</x:Row>")
_COLUMN = re.compile(rb"<x:Column>\s*(\d+)\s*</x:Column>")


def remove_notes(edit: PackageEdit, part: str, digests: Collection[str]) -> bool:
    """Take the notes of these digests off a sheet; tell whether its drawing of notes is gone with them.

    A note of ours that the user has written into since is no longer ours and stays.
    """
    comments = edit.related(part, "comments")
    if comments is None or not digests:
        return False
    root = edit.tree(comments)
    ours = [c for c in root.iter("{*}comment") if note_digest("".join(t.text or "" for t in c.iter("{*}t"))) in digests]
    if not ours:
        return False
    for comment in ours:
        parent = comment.getparent()
        if parent is not None:
            parent.remove(comment)
    drawing = next((r for r in edit.relationships(part) if r.kind == "vmlDrawing" and _shows(edit, r, ours)), None)
    if drawing:
        edit.put(drawing.target, _without_shapes(edit.read(drawing.target), ours))
    if root.find(".//{*}comment") is not None:
        _drop_author(root)
        edit.put(comments, serialise(root))
        return False
    _drop(edit, part, next(r for r in edit.relationships(part) if r.kind == "comments"))
    if drawing and b"<v:shape " not in edit.read(drawing.target) and b"<v:shape\n" not in edit.read(drawing.target):
        _drop(edit, part, drawing)
        return True
    return False


def _shows(edit: PackageEdit, drawing: Relationship, ours: list[etree._Element]) -> bool:
    if drawing.external or drawing.target not in edit:
        return False
    data = edit.read(drawing.target)
    return data != _without_shapes(data, ours)


def _without_shapes(data: bytes, ours: list[etree._Element]) -> bytes:
    """Return a drawing without the boxes of these notes. By bytes: old drawings are not always well-formed XML."""
    cells = {parse_cell(comment.get("ref", "")) for comment in ours}

    def keep(match: re.Match[bytes]) -> bytes:
        row, column = _ROW.search(match.group()), _COLUMN.search(match.group())
        if row and column and (int(row.group(1)) + 1, int(column.group(1)) + 1) in cells:
            return b""
        return match.group()

    return _SHAPE.sub(keep, data)


def _drop_author(root: etree._Element) -> None:
    """Forget our name where it is the last in the list, for names are known by their place, and no note bears it."""
    authors = [a for a in root.iterfind("{*}authors/{*}author") if local_name(a)]
    used = {comment.get("authorId") for comment in root.iter("{*}comment")}
    if authors and authors[-1].text == AUTHOR and str(len(authors) - 1) not in used:
        parent = authors[-1].getparent()
        if parent is not None:
            parent.remove(authors[-1])


def _drop(edit: PackageEdit, part: str, relationship: Relationship) -> None:
    edit.unrelate(part, relationship.id)
    edit.remove(relationship.target)
