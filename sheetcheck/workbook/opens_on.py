"""The sheet that a copy opens on: one of ours is shown first, and no sheet of the user's stays selected beside it.

Two selected sheets would be a group, in which what is typed on one is typed on the other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from sheetcheck.workbook.package_edit import PackageEdit, serialise

_SELECTED = re.compile(rb"\stabSelected\s*=\s*[\"'](?:1|true)[\"']")
_ROWS = b"sheetData"
_LONGEST_HEAD = 1 << 20


def open_on(edit: PackageEdit, name: str) -> None:
    """Let the workbook open on the sheet of this name, which is in it by now."""
    workbook = edit.source.workbook_part
    root = edit.tree(workbook)
    names = [element.get("name") for element in root.iterfind("{*}sheets/{*}sheet")]
    view = root.find("{*}bookViews/{*}workbookView")
    if name not in names or view is None:
        return
    for sheet in edit.source.sheets:
        if sheet.part and sheet.part in edit:
            _unselect(edit, sheet.part)
    view.set("activeTab", str(names.index(name)))
    edit.put(workbook, serialise(root))


def _unselect(edit: PackageEdit, part: str) -> None:
    pieces = edit.pieces(part)
    if _SELECTED.search(_head(pieces())):
        edit.put_pieces(part, lambda: _unselected(pieces()))


def _head(pieces: Iterable[bytes]) -> bytes:
    head = b""
    for piece in pieces:
        head += piece
        if _ROWS in head or len(head) > _LONGEST_HEAD:
            break
    return head


def _unselected(pieces: Iterable[bytes]) -> Iterator[bytes]:
    rest = iter(pieces)
    yield _SELECTED.sub(b"", _head(rest), count=1)
    yield from rest
