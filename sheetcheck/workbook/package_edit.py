"""Changes to a package, gathered in memory and then written: everything not named here stays byte for byte."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import count

from lxml import etree

from sheetcheck.errors import UneditableBookError
from sheetcheck.words import tr
from sheetcheck.workbook import safe_xml
from sheetcheck.workbook.archive import folded
from sheetcheck.workbook.package import STRICT, TRANSITIONAL, Package, Relationship
from sheetcheck.workbook.zip_copy import ZipCopy

PACKAGE_RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
CONTENT_TYPES_NAMESPACE = "http://schemas.openxmlformats.org/package/2006/content-types"
CONTENT_TYPES = "[Content_Types].xml"
_ID_START = "rIdSheetcheck"  # of our own: a dangling id in a part of the user's must not start to resolve
_LARGE = 4 << 20  # bytes from which a part is deflated quickly rather than tightly
_STRICT_NAMESPACES = (
    (b"http://schemas.openxmlformats.org/spreadsheetml/2006/main", STRICT.encode()),
    (
        b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
        b"http://purl.oclc.org/ooxml/officeDocument/relationships",
    ),
    (b"http://schemas.openxmlformats.org/drawingml/2006/", b"http://purl.oclc.org/ooxml/drawingml/"),
)

_NO_RELATIONSHIPS = f'<Relationships xmlns="{PACKAGE_RELATIONSHIPS}"/>'.encode()

Pieces = Callable[[], Iterable[bytes]]


def serialise(root: etree._Element) -> bytes:
    """Return a part's bytes."""
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def local_name(element: etree._Element) -> str:
    """Name of an element without its namespace; "" for comments and processing instructions."""
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


class PackageEdit:
    """A package and what is to be different in the copy of it.

    Raises
    ------
    UneditableBookError
        Where an edit is not safe.
    """

    def __init__(self, source: Package) -> None:
        self.source = source
        if source.namespace not in (TRANSITIONAL, STRICT):
            raise UneditableBookError(source.path, tr("it is written in a form of the format that is not known"))
        workbooks = {folded(r.target) for r in source.relationships() if r.kind == "officeDocument"}
        if folded(source.workbook_part) not in workbooks:
            raise UneditableBookError(source.path, tr("nothing in it says where its workbook part is"))
        self.main = source.namespace
        self.changed: dict[str, tuple[str, Pieces]] = {}  # folded name -> name, new bytes
        self.removed: set[str] = set()
        self._large: set[str] = set()
        self._related: dict[str, list[Relationship]] = {}  # relationships of parts that got or lost some
        self._types: dict[str, str | None] = {}  # part name -> content type; None: no longer declared
        self._spoken_for: set[str] | None = None

    # ------------------------------------------------------------------ parts

    def put(self, name: str, data: bytes, content_type: str | None = None) -> str:
        """Replace a part or add one; a content type is declared where it is not yet."""
        self.put_pieces(name, lambda: (data,), content_type)
        if len(data) > _LARGE:
            self._large.add(folded(name))
        return name

    def put_pieces(self, name: str, pieces: Pieces, content_type: str | None = None, *, large: bool = False) -> None:
        """Replace a part by bytes that are made while the copy is written."""
        key = folded(name)
        known = self.source.archive.entries.get(key)
        self.changed[key] = (known.filename if known else name, pieces)
        self.removed.discard(key)
        if large:
            self._large.add(key)
        if content_type and self.part_type(name) != content_type:
            self._types[name] = content_type

    def remove(self, name: str) -> None:
        """Leave out a part, with its relationships and its content type."""
        for part in (name, _relationships_part(name)):
            self.changed.pop(folded(part), None)
            self.removed.add(folded(part))
        self._related.pop(name, None)
        self._types[name] = None

    def __contains__(self, name: str) -> bool:
        key = folded(name)
        return key in self.changed or (key in self.source and key not in self.removed)

    def read(self, name: str) -> bytes:
        """Return the bytes of a part as they will be."""
        change = self.changed.get(folded(name))
        return b"".join(change[1]()) if change else self.source.read(name)

    def pieces(self, name: str) -> Pieces:
        """Return what makes the bytes of a part as they will be."""
        change = self.changed.get(folded(name))
        return change[1] if change else lambda: self.source.chunks(name)

    def tree(self, name: str) -> etree._Element:
        """Return the root element of a part as it will be."""
        return safe_xml.tree(self.read(name)) if folded(name) in self.changed else self.source.tree(name)

    def part_type(self, name: str) -> str:
        """Return the content type of a part, "" where none is declared."""
        return (self._types[name] or "") if name in self._types else self.source.part_type(name)

    def set_type(self, name: str, content_type: str) -> None:
        """Declare another content type for a part."""
        self._types[name] = content_type

    def fresh(self, pattern: str) -> str:
        """Return an unused part name; names that only a declaration or a dangling relationship mentions are used."""
        if self._spoken_for is None:
            self._spoken_for = set(self._mentioned())
        for number in count(1):
            name = pattern % number
            key = folded(name)
            if name not in self and key not in self._spoken_for and key not in self.source:
                self._spoken_for.add(key)
                return name
        raise AssertionError  # count never ends

    def _mentioned(self) -> Iterator[str]:
        for element in self.source.tree(CONTENT_TYPES).iter("{*}Override"):
            yield folded(element.get("PartName", ""))
        for name in self.source.names:
            if name.lower().endswith(".rels"):
                folder, base = posixpath.split(name)
                owner = posixpath.join(posixpath.dirname(folder), base[:-5])
                yield from (folded(r.target) for r in self.source.relationships(owner) if not r.external)

    # ------------------------------------------------------------------ relationships

    def relationships(self, part: str = "") -> list[Relationship]:
        """Return the relationships of a part as they will be."""
        if part not in self._related:
            return list(self.source.relationships(part))
        return list(self._related[part])

    def related(self, part: str, kind: str) -> str | None:
        """Return the first part that is there and related to `part` in this way, else None."""
        for relationship in self.relationships(part):
            if relationship.kind == kind and not relationship.external and relationship.target in self:
                return relationship.target
        return None

    def relate(self, part: str, kind: str, target: str, *, external: bool = False) -> str:
        """Add a relationship and return its id; `kind` is the last word of an Open XML type, or a whole type."""
        known = self._related.setdefault(part, self.relationships(part))
        used = {r.id for r in known}
        identifier = next(i for n in count(1) if (i := f"{_ID_START}{n}") not in used)
        type_ = kind if ":" in kind else f"{self.source.relationships_namespace}/{kind}"
        known.append(Relationship(identifier, type_, target, external))
        return identifier

    def unrelate(self, part: str, identifier: str) -> None:
        """Take a relationship away."""
        self._related[part] = [r for r in self.relationships(part) if r.id != identifier]

    # ------------------------------------------------------------------ workbook

    def conform(self, data: bytes) -> bytes:
        """Return XML of the Transitional form in the form of this package."""
        if self.main == STRICT:
            for transitional, strict in _STRICT_NAMESPACES:
                data = data.replace(transitional, strict)
        return data

    # ------------------------------------------------------------------ writing

    def touched(self) -> list[str]:
        """Folded names of the source's parts that will differ or be gone."""
        self._settle()
        return [key for key in self.source.archive.entries if key in self.changed or key in self.removed]

    def write(self, out: ZipCopy) -> None:
        """Write all parts."""
        self._settle()
        archive = self.source.archive
        for info in archive.folders:
            out.take_over(archive.file, info)
        for key, info in archive.entries.items():
            if key in self.changed:
                self._add(out, key)
            elif key not in self.removed:
                archive.info(info.filename)
                out.take_over(archive.file, info)
        for key in self.changed:
            if key not in archive.entries:
                self._add(out, key)

    def _add(self, out: ZipCopy, key: str) -> None:
        name, pieces = self.changed[key]
        out.add(name, pieces(), level=1 if key in self._large else 6)

    def _settle(self) -> None:
        """Turn added and removed relationships and content types into parts."""
        for part, relationships in self._related.items():
            self.put(_relationships_part(part), self._relationships_xml(part, relationships))
        self._related.clear()
        if self._types:
            self.put(CONTENT_TYPES, self._types_xml())

    def _relationships_xml(self, part: str, relationships: list[Relationship]) -> bytes:
        """Keep the part's own elements as they stand, but for those taken away, and put ours at the end."""
        name = _relationships_part(part)
        root = self.tree(name) if name in self else safe_xml.tree(_NO_RELATIONSHIPS)
        wanted, present = {r.id for r in relationships}, set()
        for element in [e for e in root if local_name(e) == "Relationship"]:
            present.add(element.get("Id", ""))
            if element.get("Id", "") not in wanted:
                root.remove(element)
        for relationship in relationships:
            if relationship.id not in present:
                element = etree.SubElement(root, f"{{{PACKAGE_RELATIONSHIPS}}}Relationship")
                element.set("Id", relationship.id)
                element.set("Type", relationship.type)
                element.set("Target", relationship.target if relationship.external else f"/{relationship.target}")
                if relationship.external:
                    element.set("TargetMode", "External")
        return serialise(root)

    def _types_xml(self) -> bytes:
        root = self.source.tree(CONTENT_TYPES)
        ours = {folded(name) for name in self._types}
        for element in list(root.iter("{*}Override")):
            if folded(element.get("PartName", "")) in ours:
                root.remove(element)
        for name, content_type in self._types.items():
            if content_type is not None:
                element = etree.SubElement(root, f"{{{CONTENT_TYPES_NAMESPACE}}}Override")
                element.set("PartName", f"/{name}")
                element.set("ContentType", content_type)
        return serialise(root)


def relationship_id(element: etree._Element) -> str:
    """Return the relationship that an element refers to (`r:id`, in whichever namespace), "" for none."""
    return next((str(value) for key, value in element.items() if re.fullmatch(r"\{.+\}id", str(key))), "")


def _relationships_part(part: str) -> str:
    folder, base = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{base}.rels")
