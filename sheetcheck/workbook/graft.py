"""Sheets of another workbook moved into this one: with their styles, texts, links, drawings and print titles.

The other workbook is one that new_sheets.py has built, so its XML is of a known, regular form.
"""

from __future__ import annotations

import io
import posixpath
import re
from collections.abc import Mapping
from pathlib import Path

from lxml import etree

from sheetcheck.errors import UneditableBookError
from sheetcheck.words import tr
from sheetcheck.workbook.archive import Archive
from sheetcheck.workbook.charts import explicit
from sheetcheck.workbook.limits import DEFAULT_LIMITS
from sheetcheck.workbook.new_sheets import SAMPLES, Built, StyleKey
from sheetcheck.workbook.package import Package, Relationship
from sheetcheck.workbook.package_edit import PackageEdit, local_name, serialise
from sheetcheck.workbook.styles_patch import Adopted, StylesPatch

_RELATIONSHIPS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_NAMES = {
    "worksheet": "xl/worksheets/sheet%d.xml",
    "drawing": "xl/drawings/drawing%d.xml",
    "chart": "xl/charts/chart%d.xml",
    "comments": "xl/comments%d.xml",
    "vmlDrawing": "xl/drawings/vmlDrawing%d.vml",
    "image": "xl/media/image%d",
}
_BEFORE_NAMES = ("sheets", "functionGroups", "externalReferences")  # in the workbook part (CT_Workbook)
_STYLED = re.compile(rb'(<(?:c|row|col) [^>]*?\b(?:s|style)=")(\d+)"')
_UNSTYLED = re.compile(rb'<c (r="[A-Z]+\d+")(?! s=)')
_SHARED_TEXT = re.compile(rb'<c ([^>]*?) t="s"><v>(\d+)</v></c>')
_DIFFERENTIAL = re.compile(rb'(<cfRule [^>]*?\bdxfId=")(\d+)"')
_REFERENCE = re.compile(rb'(<[^<>]*?\br:(?:id|embed|link|pict)=")(rId\d+)"')
_SAMPLE = re.compile(rb'<c r="A(\d+)"(?: s="(\d+)")?/>')
_TEXT = re.compile(rb"<si>(.*?)</si>", re.DOTALL)


class Graft:
    """The sheets of a built workbook on their way into a package: first `styles`, then `sheets`."""

    def __init__(self, edit: PackageEdit, styles: StylesPatch, built: Built) -> None:
        self.edit = edit
        self.built = built
        path = Path("new sheets.xlsx")
        self.other = Package(path, Archive(path, io.BytesIO(built.data), DEFAULT_LIMITS))
        self.adopted: Adopted = styles.adopt(self.other.tree("xl/styles.xml"))
        texts = self.other.read("xl/sharedStrings.xml") if "xl/sharedStrings.xml" in self.other else b""
        self.texts = _TEXT.findall(texts)

    def styles(self) -> dict[StyleKey, int]:
        """Return the format in this package of each style that a sample was built of."""
        part = next(s.part for s in self.other.sheets if s.name == SAMPLES)
        formats = {int(m.group(1)): int(m.group(2) or 0) for m in _SAMPLE.finditer(self.other.read(part))}
        return {key: self.adopted.formats[formats.get(row, 0)] for row, key in enumerate(self.built.samples, 1)}

    def sheets(self) -> None:
        """Copy the sheets and list them in the workbook."""
        entries = {}
        for sheet in self.other.sheets:
            if sheet.name in self.built.names:
                part = self._copy(sheet.part, "worksheet")
                entries[sheet.name] = (self.edit.relate(self.edit.source.workbook_part, "worksheet", part), sheet.state)
        self._list(entries)

    def _copy(self, part: str, kind: str) -> str:
        pattern = _NAMES[kind] + (posixpath.splitext(part)[1] if kind == "image" else "")
        name = self.edit.fresh(pattern)
        ids: dict[str, str] = {}
        for relationship in self.other.relationships(part):
            target = (
                relationship.target if relationship.external else self._copy(relationship.target, relationship.kind)
            )
            ids[relationship.id] = self._relate(name, relationship, target)
        data = self.other.read(part)
        if kind == "chart":
            data = explicit(data)
        if kind == "worksheet":
            data = self._sheet(data, ids)
        elif kind != "image":
            data = _with_references(data, ids)
        return self.edit.put(name, data if kind == "image" else self.edit.conform(data), self.other.part_type(part))

    def _relate(self, name: str, relationship: Relationship, target: str) -> str:
        kind = relationship.kind if relationship.type.startswith(_RELATIONSHIPS) else relationship.type
        return self.edit.relate(name, kind, target, external=relationship.external)

    def _sheet(self, data: bytes, ids: Mapping[str, str]) -> bytes:
        formats, differential = self.adopted.formats, self.adopted.differential
        data = _with_references(data.replace(b' tabSelected="1"', b""), ids)
        data = _STYLED.sub(lambda m: b'%s%d"' % (m.group(1), formats[int(m.group(2))]), data)
        data = _UNSTYLED.sub(lambda m: b'<c %s s="%d"' % (m.group(1), formats[0]), data)
        data = _DIFFERENTIAL.sub(lambda m: b'%s%d"' % (m.group(1), differential[int(m.group(2))]), data)
        return _SHARED_TEXT.sub(
            lambda m: b'<c %s t="inlineStr"><is>%s</is></c>' % (m.group(1), self.texts[int(m.group(2))]), data
        )

    # ------------------------------------------------------------------ the workbook part

    def _list(self, entries: Mapping[str, tuple[str, str]]) -> None:
        part = self.edit.source.workbook_part
        root = self.edit.tree(part)
        listed = root.find("{*}sheets")
        if listed is None:
            raise UneditableBookError(self.edit.source.path, tr("its workbook part lists no sheets"))
        tag = f"{{{self.edit.main}}}"
        number = max((int(s.get("sheetId") or 0) for s in listed.iterfind("{*}sheet")), default=0)
        first = sum(1 for _ in listed.iterfind("{*}sheet"))
        for offset, (name, (identifier, state)) in enumerate(entries.items(), 1):
            element = etree.SubElement(listed, tag + "sheet", nsmap={"r": self.edit.source.relationships_namespace})
            element.set("name", name)
            element.set("sheetId", str(number + offset))
            if state != "visible":
                element.set("state", state)
            element.set(f"{{{self.edit.source.relationships_namespace}}}id", identifier)
        self._name_ranges(root, {name: first + i for i, name in enumerate(entries)})
        self.edit.put(part, serialise(root))

    def _name_ranges(self, root: etree._Element, places: Mapping[str, int]) -> None:
        """Bring over what the new sheets name: rows to repeat in print, filtered ranges."""
        numbers = [sheet.name for sheet in self.other.sheets]
        defined = [e for e in self.other.workbook.iterfind("{*}definedNames/{*}definedName") if e.get("localSheetId")]
        wanted = [e for e in defined if numbers[int(e.get("localSheetId", "0"))] in places]
        if not wanted:
            return
        names = root.find("{*}definedNames")
        if names is None:
            names = etree.Element(f"{{{self.edit.main}}}definedNames")
            before = [e for e in root if local_name(e) in _BEFORE_NAMES]
            before[-1].addnext(names)
        for element in wanted:
            copied = etree.SubElement(names, f"{{{self.edit.main}}}definedName")
            copied.attrib.update(element.attrib)
            copied.set("localSheetId", str(places[numbers[int(element.get("localSheetId", "0"))]]))
            copied.text = element.text


def _with_references(data: bytes, ids: Mapping[str, str]) -> bytes:
    return _REFERENCE.sub(lambda m: m.group(1) + ids[m.group(2).decode()].encode() + b'"', data) if ids else data
