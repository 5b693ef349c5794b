"""Workbooks compared part by part, with a reader of their own: nothing of the code under test is used here."""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

from lxml import etree

CellKey = tuple[int, int]
MOST_COLUMNS = 300  # of a sheet, whose widths are compared


class Parts:
    """The parts of a package, and what is in its sheets."""

    def __init__(self, path: Path) -> None:
        self.zip = zipfile.ZipFile(path)
        self.infos = {_folded(i.filename): i for i in self.zip.infolist() if not i.is_dir()}

    def read(self, name: str) -> bytes:
        return self.zip.read(self.infos[_folded(name)])

    def packed(self, name: str) -> bytes:
        """Bytes of a part as they stand in the file."""
        info = self.infos[_folded(name)]
        with Path(str(self.zip.filename)).open("rb") as file:
            file.seek(info.header_offset + 26)
            lengths = file.read(4)
            file.seek(int.from_bytes(lengths[:2], "little") + int.from_bytes(lengths[2:], "little"), 1)
            return file.read(info.compress_size)

    def tree(self, name: str) -> etree._Element:
        return etree.fromstring(
            self.read(name), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
        )

    def related(self, part: str) -> Iterator[tuple[str, str, str]]:
        """Yield id, last word of the type and target of the relationships inside the package."""
        folder, base = posixpath.split(part)
        name = posixpath.join(folder, "_rels", base + ".rels")
        if _folded(name) in self.infos:
            for element in self.tree(name).iter("{*}Relationship"):
                if element.get("TargetMode") != "External":
                    target = element.get("Target", "").replace("\\", "/")
                    path = posixpath.normpath(posixpath.join("/" + folder, target)).lstrip("/")
                    yield element.get("Id", ""), element.get("Type", "").rsplit("/", 1)[-1], path

    def sheets(self) -> dict[str, str]:
        """Part names of the sheets of cells, by name."""
        workbook = next(t for _, kind, t in self.related("") if kind == "officeDocument" and _folded(t) in self.infos)
        targets = {i: (kind, t) for i, kind, t in self.related(workbook)}
        found = {}
        for sheet in self.tree(workbook).iterfind("{*}sheets/{*}sheet"):
            identifier = next((v for k, v in sheet.items() if k.startswith("{") and k.endswith("}id")), "")
            kind, target = targets.get(identifier, ("", ""))
            if kind == "worksheet" and _folded(target) in self.infos:
                found[sheet.get("name", "")] = target
        return found

    def formats(self) -> list[dict[str, bytes]]:
        """What each cell format looks like, in full: font, fill, border, number format, alignment, protection."""
        part = next((n for n in self.infos if n.endswith("styles.xml")), None)
        if part is None:
            return []
        root = self.tree(part)
        parts = {
            name: [_canonical(e) for e in root.iterfind(f"{{*}}{name}/*")] for name in ("fonts", "fills", "borders")
        }
        numbers = {e.get("numFmtId", ""): e.get("formatCode", "").encode() for e in root.iterfind("{*}numFmts/*")}
        return [_format(e, parts, numbers) for e in root.iterfind("{*}cellXfs/{*}xf")]


def _format(element: etree._Element, parts: dict[str, list[bytes]], numbers: dict[str, bytes]) -> dict[str, bytes]:
    look = {}
    for name, attribute in (("fonts", "fontId"), ("fills", "fillId"), ("borders", "borderId")):
        number = int(element.get(attribute) or 0)
        look[name] = parts[name][number] if number < len(parts[name]) else b""
    number_format = element.get("numFmtId", "0")
    look["number"] = numbers.get(number_format, number_format.encode())
    look["rest"] = b"".join(_canonical(e) for e in element) + (element.get("quotePrefix") or "").encode()
    look["style"] = (element.get("xfId") or "0").encode()
    return look


def cells_of(root: etree._Element) -> dict[CellKey, tuple[str, bytes, dict[str, str]]]:
    """Style, content and other attributes of each cell of a sheet."""
    found = {}
    row_number = 0
    for row in root.iterfind("{*}sheetData/{*}row"):
        row_number = int(row.get("r") or row_number + 1)
        column = 0
        for cell in row.iterfind("{*}c"):
            letters = re.sub(r"[^A-Z]", "", (cell.get("r") or "").upper())
            column = _number(letters) if letters else column + 1
            rest = {k: v for k, v in cell.attrib.items() if k not in ("r", "s")}
            content = b"".join(_canonical(child) for child in cell)
            found[row_number, column] = (cell.get("s") or "0", content, rest)
    return found


def differences(book: Path, copy: Path, marked: dict[str, set[CellKey]], added: dict[str, set[CellKey]]) -> list[str]:
    """What of a book is not in its copy as it was, but for marked cells' fills and added cells, notes and sheets."""
    before, after = Parts(book), Parts(copy)
    sheets = before.sheets()
    touched = {_folded(sheets[name]) for name in (*marked, *added) if name in sheets}
    found = [f"{name}: part is gone" for name in before.infos if name not in after.infos]
    found += _different_parts(before, after, touched)
    formats = before.formats(), after.formats()
    after_sheets = after.sheets()
    for name, part in sheets.items():
        if _folded(part) in touched:
            old, new = before.tree(part), after.tree(after_sheets[name])
            found += [
                f"{name}: {d}"
                for d in _different_cells(old, new, marked.get(name, set()), added.get(name, set()), formats)
            ]
            found += [f"{name}: {d}" for d in _different_frames(old, new, added.get(name, set()))]
    found += [f"{d}" for d in _lost_notes(before, after)]
    return found


def _different_parts(before: Parts, after: Parts, touched: set[str]) -> Iterator[str]:
    may_change = {"[content_types].xml", "_rels/.rels"} | touched
    for name in before.infos:
        if name not in after.infos or name in may_change:
            continue
        if before.packed(name) != after.packed(name):
            folder_or_kind = name.endswith((".rels", "styles.xml", "workbook.xml", ".vml")) or "comments" in name
            if not folder_or_kind and not _is_part_of_workbook(before, name):
                yield f"{name}: part differs"


def _is_part_of_workbook(before: Parts, name: str) -> bool:
    """Whether it is the workbook part, its styles or the notes of a sheet under another name."""
    kinds = {_folded(t): kind for part in ("", *before.infos) for _, kind, t in before.related(part)}
    return kinds.get(name) in ("officeDocument", "styles", "comments", "vmlDrawing")


def _different_cells(
    old: etree._Element,
    new: etree._Element,
    marked: set[CellKey],
    added: set[CellKey],
    formats: tuple[list[dict[str, bytes]], list[dict[str, bytes]]],
) -> Iterator[str]:
    before, after = cells_of(old), cells_of(new)
    for key, (style, content, rest) in before.items():
        if key in added and not content:
            continue
        if key not in after:
            yield f"cell {key} is gone"
            continue
        new_style, new_content, new_rest = after[key]
        if (content, rest) != (new_content, new_rest):
            yield f"cell {key} holds something else"
        if key not in marked and style != new_style:
            yield f"cell {key} has another format"
        if key in marked and not _same_but_fill(formats, style, new_style):
            yield f"cell {key} lost more of its format than the fill"
    extra = after.keys() - before.keys() - marked - added
    if extra:
        yield f"cells {sorted(extra)[:3]} were not to be"


def _same_but_fill(formats: tuple[list[dict[str, bytes]], list[dict[str, bytes]]], before: str, after: str) -> bool:
    old, new = int(before), int(after)
    if old >= len(formats[0]):
        return True
    return {k: v for k, v in formats[0][old].items() if k != "fills"} == {
        k: v for k, v in formats[1][new].items() if k != "fills"
    }


def _different_frames(old: etree._Element, new: etree._Element, added: set[CellKey]) -> Iterator[str]:
    """Everything of a sheet that is not its cells: widths, merges, drop-downs, print set-up, rows' own attributes."""
    ignored = {"dimension", "cols", "sheetData", "legacyDrawing", "hyperlinks"}
    before = [_canonical(e) for e in old if _local(e) and _local(e) not in ignored]
    after = [_canonical(e) for e in new if _local(e) and _local(e) not in ignored]
    if before != after:
        yield "something beside its cells differs"
    for name in ("hyperlinks", "legacyDrawing"):
        lost = {_canonical(e) for e in old.iterfind(f"{{*}}{name}/*")} - {
            _canonical(e) for e in new.iterfind(f"{{*}}{name}/*")
        }
        if lost:
            yield f"{name} lost"
    rows_before = {
        r.get("r"): {k: v for k, v in r.attrib.items() if k != "spans"} for r in old.iterfind("{*}sheetData/{*}row")
    }
    rows_after = {
        r.get("r"): {k: v for k, v in r.attrib.items() if k != "spans"} for r in new.iterfind("{*}sheetData/{*}row")
    }
    if any(rows_after.get(number) != look for number, look in rows_before.items()):
        yield "a row has other attributes"
    columns_before, columns_after = _columns(old), _columns(new)
    ours = {column for _, column in added}
    for column in columns_before.keys() | columns_after.keys():
        look, new_look = columns_before.get(column, {}), columns_after.get(column, {})
        if column in ours:
            look, new_look = ({k: v for k, v in d.items() if k in ("hidden", "style")} for d in (look, new_look))
        if look != new_look:
            yield f"column {column} has other attributes"


def _columns(root: etree._Element) -> dict[int, dict[str, str]]:
    """What the sheet says of its first columns, without saying what is so anyway."""
    usual = {
        "hidden": ("0", "false"),
        "style": ("0",),
        "collapsed": ("0", "false"),
        "bestFit": ("0", "false"),
        "outlineLevel": ("0",),
    }
    found = {}
    for element in root.iterfind("{*}cols/{*}col"):
        look = {k: v for k, v in element.attrib.items() if k not in ("min", "max") and v not in usual.get(k, ())}
        for column in range(int(element.get("min", "1")), min(int(element.get("max", "1")), MOST_COLUMNS) + 1):
            found[column] = look
    return found


def _lost_notes(before: Parts, after: Parts) -> Iterator[str]:
    for name in before.infos:
        if "comments" in name and name.endswith(".xml") and name in after.infos:
            old = [_canonical(e) for e in before.tree(name).iterfind("{*}commentList/{*}comment")]
            new = [_canonical(e) for e in after.tree(name).iterfind("{*}commentList/{*}comment")]
            if new[: len(old)] != old:
                yield f"{name}: a note is lost"


def _canonical(element: etree._Element) -> bytes:
    if not isinstance(element.tag, str):
        return b""
    copied = etree.fromstring(etree.tostring(element, with_tail=False))
    return etree.tostring(copied, method="c14n", exclusive=True, with_comments=False)


def _local(element: etree._Element) -> str:
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


def _folded(name: str) -> str:
    return unquote(name.replace("\\", "/").lstrip("/")).lower()


def _number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number
