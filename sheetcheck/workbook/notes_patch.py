"""Notes added to a sheet: a comments part and the drawing that shows them. Notes that are there are never touched.

The drawing is VML, as ECMA-376-4 (Transitional Migration Features) has it; the programs know no other for notes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from lxml import etree

from sheetcheck.errors import UneditableBookError
from sheetcheck.model import address
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.package_edit import PackageEdit, local_name, serialise
from sheetcheck.workbook.sheet_facts import SheetFacts

AUTHOR = "sheetcheck"
COMMENTS_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.comments+xml"
VML_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
_SHAPES_PER_BLOCK = 1023  # shape numbers go by blocks of 1024 that a drawing must own
_BLOCKS = re.compile(rb"<o:idmap[^>]*?\sdata\s*=\s*[\"']([\d, ]+)[\"']")
_VML_NAMESPACES = (
    ' xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
    ' xmlns:x="urn:schemas-microsoft-com:office:excel"'
)
_SHAPE_TYPE = (
    '<v:shapetype{} id="_x0000_t202" coordsize="21600,21600" o:spt="202" path="m,l,21600r21600,l21600,xe">'
    '<v:stroke joinstyle="miter"/><v:path gradientshapeok="t" o:connecttype="rect"/></v:shapetype>'
)
_SHAPE = (
    '<v:shape{namespaces} id="_x0000_s{number}" type="#_x0000_t202"'
    ' style="position:absolute;width:{width}pt;'
    'height:{height}pt;z-index:{order};visibility:hidden" fillcolor="#ffffe1" o:insetmode="auto">'
    '<v:fill color2="#ffffe1"/>'
    '<v:shadow on="t" color="black" obscured="t"/><v:path o:connecttype="none"/>'
    '<v:textbox style="mso-direction-alt:auto"><div style="text-align:left"></div></v:textbox>'
    '<x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/><x:Anchor>{anchor}</x:Anchor>'
    "<x:AutoFill>False</x:AutoFill><x:Row>{row}</x:Row><x:Column>{column}</x:Column></x:ClientData></v:shape>"
)
_POINTS_WIDE, _CHARACTERS_WIDE, _POINTS_PER_LINE = 216, 40, 12.5  # of a note in 9-point type
_PIXELS_PER_CHARACTER, _PIXELS_PER_POINT = 7, 96 / 72

Cell = tuple[int, int]


def cells_with_notes(edit: PackageEdit, part: str) -> set[str]:
    """Return the cells of a sheet that have a note or a thread of comments."""
    comments = edit.related(part, "comments")
    found = {c.get("ref", "").upper() for c in edit.tree(comments).iter("{*}comment")} if comments else set()
    for relationship in edit.relationships(part):
        if relationship.kind == "threadedComment" and relationship.target in edit:
            found |= {c.get("ref", "").upper() for c in edit.tree(relationship.target).iter("{*}threadedComment")}
    return found


def add_notes(edit: PackageEdit, part: str, facts: SheetFacts, notes: Mapping[Cell, str]) -> str | None:
    """Add notes to cells that have none.

    Returns
    -------
    str or None
        The relationship id that the sheet must refer to as its drawing of notes, None where it has one already.
    """
    _add_texts(edit, part, notes)
    drawing = _own_drawing(edit, part, facts)
    used = _blocks_in_use(edit)
    block = max(used, default=0) + 1
    shapes = _Shapes(facts, notes, block)
    if drawing:
        edit.put(drawing, shapes.spliced_into(edit.read(drawing), edit))
        return None
    drawing = edit.fresh("xl/drawings/vmlDrawing%d.vml")
    edit.put(drawing, shapes.whole(), VML_TYPE)
    return edit.relate(part, "vmlDrawing", drawing)


def _add_texts(edit: PackageEdit, part: str, notes: Mapping[Cell, str]) -> None:
    comments = edit.related(part, "comments")
    tag = f"{{{edit.main}}}"
    root = edit.tree(comments) if comments else safe_xml.tree(f'<comments xmlns="{edit.main}"/>'.encode())
    authors = root.find("{*}authors")
    if authors is None:
        authors = etree.Element(tag + "authors")
        root.insert(0, authors)
    listed = root.find("{*}commentList")
    if listed is None:
        listed = etree.Element(tag + "commentList")
        root.insert(list(root).index(authors) + 1, listed)
    number = sum(local_name(a) == "author" for a in authors)
    etree.SubElement(authors, tag + "author").text = AUTHOR
    for (row, column), text in sorted(notes.items()):
        comment = etree.SubElement(listed, tag + "comment", ref=address(row, column), authorId=str(number))
        run = etree.SubElement(etree.SubElement(comment, tag + "text"), tag + "r")
        look = etree.SubElement(run, tag + "rPr")
        etree.SubElement(look, tag + "sz", val="9")
        etree.SubElement(look, tag + "color", indexed="81")
        etree.SubElement(look, tag + "rFont", val="Tahoma")
        written = etree.SubElement(run, tag + "t")
        written.text = _xml_text(text)
        written.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    if comments:
        edit.put(comments, serialise(root))
    else:
        comments = edit.put(edit.fresh("xl/comments%d.xml"), serialise(root), COMMENTS_TYPE)
        edit.relate(part, "comments", comments)


def _xml_text(text: str) -> str:
    return re.sub(
        "[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]", "\N{REPLACEMENT CHARACTER}", text.replace("\r\n", "\n")
    )


def _own_drawing(edit: PackageEdit, part: str, facts: SheetFacts) -> str | None:
    if facts.legacy_drawing is None:
        return None
    target = next((r.target for r in edit.relationships(part) if r.id == facts.legacy_drawing), "")
    if target not in edit:
        raise UneditableBookError(edit.source.path, tr("the drawing of a sheet's notes is missing"))
    return target


def _blocks_in_use(edit: PackageEdit) -> set[int]:
    used = set()
    for name in (*edit.source.names, *(name for name, _ in edit.changed.values())):
        if name.lower().endswith(".vml") and name in edit:
            for match in _BLOCKS.finditer(edit.read(name)):
                used |= {int(number) for number in re.findall(rb"\d+", match.group(1))}
    return used


@dataclass
class _Shapes:
    """The boxes of some notes, each as large as its text."""

    facts: SheetFacts
    notes: Mapping[Cell, str]
    block: int

    @property
    def blocks(self) -> str:
        """Blocks of shape numbers that they take up, as a drawing lists them."""
        return ",".join(str(self.block + i) for i in range(math.ceil(len(self.notes) / _SHAPES_PER_BLOCK)))

    def whole(self) -> bytes:
        """Return a drawing with nothing else in it."""
        layout = f'<o:shapelayout v:ext="edit"><o:idmap v:ext="edit" data="{self.blocks}"/></o:shapelayout>'
        return f"<xml{_VML_NAMESPACES}>{layout}{_SHAPE_TYPE.format('')}{self.boxes('')}</xml>".encode()

    def spliced_into(self, drawing: bytes, edit: PackageEdit) -> bytes:
        """Return a drawing with the boxes at its end. By bytes: old drawings are not always well-formed XML."""
        if drawing[:2] in (b"\xff\xfe", b"\xfe\xff"):
            raise UneditableBookError(edit.source.path, tr("the drawing of a sheet's notes is written in UTF-16"))
        blocks = _BLOCKS.search(drawing)
        if blocks:
            drawing = drawing[: blocks.end(1)] + b"," + self.blocks.encode() + drawing[blocks.end(1) :]
        end = drawing.rfind(b"</")
        if end < 0:
            raise UneditableBookError(edit.source.path, tr("the drawing of a sheet's notes has no end"))
        has_type = re.search(rb"shapetype[^>]*?\sid\s*=\s*[\"']_x0000_t202[\"']", drawing)
        type_ = "" if has_type else _SHAPE_TYPE.format(_VML_NAMESPACES)
        return drawing[:end] + (type_ + self.boxes(_VML_NAMESPACES)).encode() + drawing[end:]

    def boxes(self, namespaces: str) -> str:
        """Return the shapes."""
        return "".join(
            self._box(i, cell, text, namespaces) for i, (cell, text) in enumerate(sorted(self.notes.items()))
        )

    def _box(self, index: int, cell: Cell, text: str, namespaces: str) -> str:
        lines = sum(max(1, math.ceil(len(line) / _CHARACTERS_WIDE)) for line in text.split("\n"))
        height = round(lines * _POINTS_PER_LINE + 10)
        number = (self.block + index // _SHAPES_PER_BLOCK) * 1024 + 1 + index % _SHAPES_PER_BLOCK
        return _SHAPE.format(
            namespaces=namespaces, number=number, width=_POINTS_WIDE, height=height, order=index + 1,
            anchor=self._anchor(cell, height), row=cell[0] - 1, column=cell[1] - 1,
        )  # fmt: skip

    def _anchor(self, cell: Cell, height: float) -> str:
        """Left column and pixels, top row and pixels, right column and pixels, bottom row and pixels; from zero."""
        top = max(0, cell[0] - 2)
        right, right_pixels = self._across(cell[1] + 1, 15 + _POINTS_WIDE * _PIXELS_PER_POINT)
        row_pixels = max(1.0, self.facts.default_height * _PIXELS_PER_POINT)
        rows, bottom_pixels = divmod(4 + height * _PIXELS_PER_POINT, row_pixels)
        return f"{cell[1]}, 15, {top}, 4, {right - 1}, {right_pixels}, {top + int(rows)}, {int(bottom_pixels)}"

    def _across(self, column: int, pixels: float) -> tuple[int, int]:
        """Column and remaining pixels at a distance right of a column's left edge."""
        while (wide := self._pixels(column)) < pixels and column < 16_384:
            pixels -= wide
            column += 1
        return column, int(min(pixels, wide))

    def _pixels(self, column: int) -> float:
        span = next((c for c in self.facts.columns if c.first <= column <= c.last), None)
        if span is not None and span.hidden:
            return 0.0
        width = span.width if span is not None and span.width is not None else self.facts.default_width
        return width * _PIXELS_PER_CHARACTER + 5
