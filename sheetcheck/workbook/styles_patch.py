"""Styles added to a workbook's style sheet; those that are there keep their places and their bytes' meaning."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass

from lxml import etree

from sheetcheck.errors import UneditableBookError
from sheetcheck.words import number as shown
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.package_edit import PackageEdit, local_name, serialise
from sheetcheck.workbook.palette import SHADES, shade
from sheetcheck.workbook.theme_colors import Theme

STYLES_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
_MOST_FORMATS = 64_000  # cell formats of a workbook (Excel specifications and limits)
_FIRST_OWN_NUMBER_FORMAT = 164  # lower ids are built in (ECMA-376-1, 18.8.30)
_ORDER = [
    "numFmts", "fonts", "fills", "borders", "cellStyleXfs", "cellXfs",
    "cellStyles", "dxfs", "tableStyles", "colors", "extLst",
]  # fmt: skip
_PLAIN = (
    '<styleSheet xmlns="{}"><fonts count="1"><font><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="1"><xf xfId="0"/></cellXfs></styleSheet>'
)


@dataclass(frozen=True, slots=True)
class UsedFill:
    """One shade of a signal's fill, and the fill that it stands in the place of."""

    rgb: str
    before: str  # XML of the `<fill>` it replaced
    plain: str = ""  # the same with the theme's colours written out


@dataclass(frozen=True, slots=True)
class Adopted:
    """Where the formats of another workbook are found in this one, by their index there."""

    formats: dict[int, int]
    differential: dict[int, int]


class StylesPatch:
    """The style sheet of a package being edited. Call `put` when all is added."""

    def __init__(self, edit: PackageEdit) -> None:
        self.edit = edit
        self.part = self._find()
        self.root = edit.tree(self.part)
        self.theme = Theme(edit)
        self._tag = f"{{{etree.QName(self.root).namespace}}}"
        formats = self._collection("cellXfs")
        if not _elements(formats):
            etree.SubElement(formats, self._tag + "xf")
        self._formats = _elements(formats)
        self._fills = _elements(self._collection("fills"))
        self._taken = {color.get("rgb", "")[-6:].upper() for color in self.root.iter("{*}fgColor")}
        self._shades: dict[tuple[str, str], tuple[int, UsedFill] | None] = {}
        self._marked: dict[tuple[int, str], int | None] = {}

    def _find(self) -> str:
        part = self.edit.related(self.edit.source.workbook_part, "styles")
        if part:
            return part
        part = self.edit.fresh("xl/styles%d.xml") if "xl/styles.xml" in self.edit else "xl/styles.xml"
        self.edit.put(part, _PLAIN.format(self.edit.main).encode(), STYLES_TYPE)
        self.edit.relate(self.edit.source.workbook_part, "styles", part)
        return part

    # ------------------------------------------------------------------ marks

    def marked(self, before: int, signal: str) -> int | None:
        """Return the format `before` with a signal's fill; None where no more shades are left.

        Each fill that is covered gets a shade of its own, so that the shade alone says what stood there: it still does
        when rows were sorted, moved or copied.
        """
        key = (before, signal)
        if key not in self._marked:
            self._marked[key] = self._add_marked(before, signal)
        return self._marked[key]

    def _add_marked(self, before: int, signal: str) -> int | None:
        element = copy.deepcopy(self._formats[before] if before < len(self._formats) else self._formats[0])
        number = int(element.get("fillId") or 0)
        covered = etree.tostring(_bare(self._fills[number])).decode() if number < len(self._fills) else ""
        if (covered, signal) not in self._shades:
            self._shades[covered, signal] = self._add_shade(covered, signal)
        shade_used = self._shades[covered, signal]
        if shade_used is None:
            return None
        element.set("fillId", str(shade_used[0]))
        element.set("applyFill", "1")
        return self._add_format(element)

    def _add_shade(self, covered: str, signal: str) -> tuple[int, UsedFill] | None:
        rgb = next((c for n in range(1, SHADES) if (c := shade(signal, n)) not in self._taken), None)
        if rgb is None:
            return None
        self._taken.add(rgb)
        fill = etree.Element(self._tag + "fill")
        pattern = etree.SubElement(fill, self._tag + "patternFill", patternType="solid")
        etree.SubElement(pattern, self._tag + "fgColor", rgb=f"FF{rgb}")
        etree.SubElement(pattern, self._tag + "bgColor", indexed="64")
        return self._append("fills", fill), UsedFill(rgb, covered, self.theme.plain(covered))

    @property
    def used_fills(self) -> list[UsedFill]:
        """The shades used for marks so far."""
        return [found[1] for found in self._shades.values() if found]

    def unmarked(self, before: Mapping[str, str]) -> dict[int, int]:
        """Return for each format with a fill of these colours a format with the fill that stood before.

        `before` has the XML of that fill by the colour's six digits, "" for none.
        """
        fills = {}
        for number, fill in enumerate(list(self._fills)):
            color = fill.find("{*}patternFill/{*}fgColor")
            rgb = color.get("rgb", "")[-6:].upper() if color is not None else ""
            if rgb in before:
                fills[number] = self._restored_fill(before[rgb])
        found = {}
        for number, element in enumerate(list(self._formats)):
            fill_number = int(element.get("fillId") or 0)
            if fill_number in fills:
                restored = _bare(element)
                restored.set("fillId", str(fills[fill_number]))
                found[number] = self._add_format(restored)
        return found

    def _restored_fill(self, before: str) -> int:
        fill = safe_xml.tree(self.edit.conform(before.encode())) if before else etree.Element(self._tag + "fill")
        fill = _bare(fill)
        pattern = fill.find("{*}patternFill")
        if not len(fill) or (pattern is not None and pattern.get("patternType", "none") == "none"):
            return 0  # by the format's rule the first fill is none
        return self._append("fills", fill)

    # ------------------------------------------------------------------ other formats

    def default_font(self) -> tuple[str, float]:
        """Return name and size of the font of cells without a format."""
        fonts = _elements(self._collection("fonts"))
        number = int(self._formats[0].get("fontId") or 0)
        if number >= len(fonts):
            return "Calibri", 11.0
        name, size = fonts[number].find("{*}name"), fonts[number].find("{*}sz")
        return (
            (name.get("val") if name is not None else None) or "Calibri",
            float((size.get("val") if size is not None else None) or 11),
        )

    def adopt(self, other: etree._Element) -> Adopted:
        """Add all formats of another style sheet."""
        places = {name: self._adopt_all(other, name) for name in ("fonts", "fills", "borders")}
        number_formats = self._adopt_number_formats(other)
        formats = {}
        for index, element in enumerate(_children(other, "cellXfs")):
            format_ = self._moved(element)
            for attribute, name in (("fontId", "fonts"), ("fillId", "fills"), ("borderId", "borders")):
                format_.set(attribute, str(places[name].get(int(element.get(attribute) or 0), 0)))
            number_format = int(element.get("numFmtId") or 0)
            format_.set("numFmtId", str(number_formats.get(number_format, number_format)))
            format_.set("xfId", "0")
            for attribute in ("applyFont", "applyFill", "applyBorder", "applyNumberFormat"):
                format_.set(attribute, "1")
            formats[index] = self._add_format(format_)
        return Adopted(formats, self._adopt_all(other, "dxfs"))

    def _adopt_all(self, other: etree._Element, name: str) -> dict[int, int]:
        return {i: self._append(name, self._moved(e)) for i, e in enumerate(_children(other, name))}

    def _adopt_number_formats(self, other: etree._Element) -> dict[int, int]:
        used = [int(e.get("numFmtId") or 0) for e in _children(self.root, "numFmts")]
        following = max([*used, _FIRST_OWN_NUMBER_FORMAT - 1]) + 1
        places = {}
        for number, element in enumerate(_children(other, "numFmts"), following):
            moved = self._moved(element)
            moved.set("numFmtId", str(number))
            places[int(element.get("numFmtId") or 0)] = number
            self._append("numFmts", moved)
        return places

    def _moved(self, element: etree._Element) -> etree._Element:
        moved = etree.fromstring(self.edit.conform(etree.tostring(element)))
        moved.tail = None
        return moved

    # ------------------------------------------------------------------ the tree

    def put(self) -> None:
        """Hand the style sheet to the package."""
        self.edit.put(self.part, serialise(self.root))

    def _add_format(self, element: etree._Element) -> int:
        if len(self._formats) >= _MOST_FORMATS:
            count = shown(len(self._formats), 0)
            said = tr("it has {count} cell formats, as many as there can be", count=count)
            raise UneditableBookError(self.edit.source.path, said)
        element.tail = None
        self._formats.append(element)
        return self._append("cellXfs", element)

    def _append(self, name: str, element: etree._Element) -> int:
        collection = self._collection(name)
        place = len(_elements(collection))
        collection.append(element)
        collection.set("count", str(place + 1))
        if name == "fills":
            self._fills.append(element)
        return place

    def _collection(self, name: str) -> etree._Element:
        found = self.root.find(self._tag + name)
        if found is not None:
            return found
        found = etree.Element(self._tag + name)
        before = [
            i
            for i, e in enumerate(self.root, 1)
            if (n := local_name(e)) in _ORDER and _ORDER.index(n) < _ORDER.index(name)
        ]
        self.root.insert(max(before, default=0), found)
        return found


def _elements(parent: etree._Element) -> list[etree._Element]:
    return [e for e in parent if isinstance(e.tag, str)]


def _children(root: etree._Element, name: str) -> list[etree._Element]:
    collection = root.find(f"{{*}}{name}")
    return [] if collection is None else _elements(collection)


def _bare(element: etree._Element) -> etree._Element:
    bare = copy.deepcopy(element)
    bare.tail = None
    return bare
