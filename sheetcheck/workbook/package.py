"""A workbook's package (Open Packaging Conventions, ISO/IEC 29500-2): parts, their types and relationships, sheets.

Opened for reading only, and so that a hostile file ends with an error: limits on size and count, no DTD, no entities.
"""

from __future__ import annotations

import hashlib
import posixpath
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Self

from lxml import etree

from sheetcheck.errors import BookLockedError, BookNotFoundError, HostileBookError, NotAWorkbookError
from sheetcheck.words import number, tr
from sheetcheck.workbook.archive import CHUNK, Archive, folded
from sheetcheck.workbook.file_kind import refuse_other_kinds
from sheetcheck.workbook.limits import DEFAULT_LIMITS, Limits

TRANSITIONAL = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
_RELATIONSHIPS = {
    TRANSITIONAL: "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    STRICT: "http://purl.oclc.org/ooxml/officeDocument/relationships",
}
_CONTENT_TYPES = "[Content_Types].xml"


@dataclass(frozen=True, slots=True)
class Relationship:
    """One relationship of a part; `target` is a part name, or an address where it is external."""

    id: str
    type: str
    target: str
    external: bool = False

    @property
    def kind(self) -> str:
        """Last word of the type, the same in Strict and Transitional files: "worksheet", "comments"."""
        return self.type.rsplit("/", 1)[-1]


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """One sheet as the workbook part lists it."""

    name: str
    part: str  # "" where the workbook points to nothing
    state: str  # visible | hidden | veryHidden
    sheet_id: int
    kind: str  # worksheet | chartsheet | dialogsheet | xlMacrosheet …

    @property
    def is_worksheet(self) -> bool:
        """Whether it is a sheet of cells that can be read."""
        return self.kind == "worksheet" and bool(self.part)


class Package:
    """The parts of a workbook. Use it in a `with` statement, or call `close`.

    Raises
    ------
    BookError
        One of its kinds, when opened or when a part is read.
    """

    def __init__(self, path: Path, archive: Archive) -> None:
        self.path = path
        self.archive = archive
        self.limits = archive.limits
        self.workbook_part = self._find_workbook()

    @classmethod
    def open(cls, path: str | Path, limits: Limits = DEFAULT_LIMITS) -> Self:
        """Open the package at a path."""
        path = Path(path)
        file = open_file(path, limits)
        try:
            refuse_other_kinds(path, file)
            return cls(path, Archive(path, file, limits))
        except BaseException:
            file.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self.archive.close()

    # ------------------------------------------------------------------ parts

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all parts as the archive has them, in its order."""
        return tuple(info.filename for info in self.archive.entries.values())

    def __contains__(self, name: str) -> bool:
        return name in self.archive

    def read(self, name: str) -> bytes:
        """Return the bytes of a part; its name is compared without regard to case."""
        return self.archive.read(name)

    def chunks(self, name: str) -> Iterator[bytes]:
        """Return the bytes of a part piece by piece."""
        return self.archive.chunks(name)

    def tree(self, name: str) -> etree._Element:
        """Return the root element of a part that is small enough to be held as a tree; DTDs are refused."""
        return self.archive.tree(name)

    @cached_property
    def _types(self) -> tuple[dict[str, str], dict[str, str]]:
        if _CONTENT_TYPES not in self:
            raise NotAWorkbookError(self.path, tr("a zip archive of something else"))
        overrides, defaults = {}, {}
        for element in self.tree(_CONTENT_TYPES).iter("{*}Override", "{*}Default"):
            content_type = element.get("ContentType", "")
            if etree.QName(element).localname == "Override":
                overrides[folded(element.get("PartName", ""))] = content_type
            else:
                defaults[element.get("Extension", "").lower()] = content_type
        return overrides, defaults

    def part_type(self, name: str) -> str:
        """Return the content type of a part, "" where none is declared."""
        overrides, defaults = self._types
        key = folded(name)
        return overrides.get(key) or defaults.get(key.rsplit(".", 1)[-1], "")

    def relationships(self, part: str = "") -> tuple[Relationship, ...]:
        """Return the relationships of a part, or those of the package."""
        folder, base = posixpath.split(part)
        name = posixpath.join(folder, "_rels", f"{base}.rels")
        if name not in self:
            return ()
        return tuple(_relationship(e, folder) for e in self.tree(name).iter("{*}Relationship"))

    # ------------------------------------------------------------------ workbook

    def _find_workbook(self) -> str:
        """Name of the workbook part: by relationship, as the standard has it, else by its type."""
        _ = self._types
        candidates = [r.target for r in self.relationships() if r.kind == "officeDocument" and r.target in self]
        for name in (*candidates, *self.names):
            content_type = self.part_type(name)
            if "spreadsheetml" in content_type and content_type.endswith(".main+xml"):
                return name
        if any("wordprocessingml" in self.part_type(n) or "presentationml" in self.part_type(n) for n in candidates):
            raise NotAWorkbookError(self.path, tr("a text document or a presentation"))
        if any(n.lower().endswith(".bin") for n in candidates):
            raise NotAWorkbookError(self.path, tr("a binary workbook, .xlsb"))
        if candidates:
            return candidates[0]
        if "xl/workbook.xml" in self:
            return "xl/workbook.xml"
        raise NotAWorkbookError(self.path, tr("a package without a workbook in it"))

    @cached_property
    def workbook(self) -> etree._Element:
        """Root element of the workbook part."""
        root = self.tree(self.workbook_part)
        if etree.QName(root).localname != "workbook":
            raise NotAWorkbookError(self.path, tr("{part} is not a workbook", part=self.workbook_part))
        return root

    @property
    def namespace(self) -> str:
        """Namespace of the workbook's own elements: `TRANSITIONAL`, `STRICT`, or one that is neither."""
        return etree.QName(self.workbook).namespace or ""

    @property
    def is_strict(self) -> bool:
        """Whether the file keeps to the Strict form of the standard."""
        return self.namespace == STRICT

    @property
    def relationships_namespace(self) -> str:
        """Namespace of `r:id` in this package."""
        return _RELATIONSHIPS[STRICT if self.is_strict else TRANSITIONAL]

    def related(self, part: str, kind: str) -> str | None:
        """Return the first part that is there and related to `part` in this way, else None."""
        for relationship in self.relationships(part):
            if relationship.kind == kind and not relationship.external and relationship.target in self:
                return relationship.target
        return None

    @cached_property
    def sheets(self) -> tuple[SheetEntry, ...]:
        """The sheets in tab order, of every kind."""
        targets = {r.id: r for r in self.relationships(self.workbook_part) if not r.external}
        elements = [e for e in self.workbook.iterfind("{*}sheets/{*}sheet") if isinstance(e.tag, str)]
        if len(elements) > self.limits.sheets:
            said = tr(
                "{count} sheets, at most {most} are read",
                count=number(len(elements), 0),
                most=number(self.limits.sheets, 0),
            )
            raise HostileBookError(self.path, said)
        return tuple(self._sheet(e, targets) for e in elements)

    def _sheet(self, element: etree._Element, targets: dict[str, Relationship]) -> SheetEntry:
        reference = element.get(f"{{{self.relationships_namespace}}}id", "")
        target = targets.get(reference)
        identifier = element.get("sheetId", "")
        return SheetEntry(
            name=element.get("name", ""),
            part=target.target if target and target.target in self else "",
            state=element.get("state", "visible"),
            sheet_id=int(identifier) if identifier.isascii() and identifier.isdigit() else 0,
            kind=target.kind if target else "worksheet",
        )


def _relationship(element: etree._Element, folder: str) -> Relationship:
    target = element.get("Target", "")
    external = element.get("TargetMode") == "External"
    if not external:
        target = target.replace("\\", "/").split("#", 1)[0]
        joined = target if target.startswith("/") else posixpath.join("/", folder, target)
        target = posixpath.normpath(joined).lstrip("/")
    return Relationship(element.get("Id", ""), element.get("Type", ""), target, external)


def open_file(path: Path, limits: Limits = DEFAULT_LIMITS) -> BinaryIO:
    """Open an ordinary file that is not empty and not too large, for reading.

    Raises
    ------
    BookNotFoundError, BookLockedError, NotAWorkbookError, HostileBookError
        Where it cannot be.
    """
    try:
        if path.is_dir():
            raise BookNotFoundError(path, tr("this is a folder"))
        if not path.exists():
            raise BookNotFoundError(path)
        if not path.is_file():
            raise NotAWorkbookError(path, tr("this is not an ordinary file"))
        size = path.stat().st_size
        if not size:
            raise NotAWorkbookError(path, tr("the file is empty"))
        if size > limits.file_bytes:
            raise HostileBookError(path, tr("the file has {size} MB", size=number(size >> 20, 0)))
        return path.open("rb")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BookLockedError(path, reason) from error


def sha256_of(file: BinaryIO) -> str:
    """Return the SHA-256 of a whole file in hexadecimal, and leave it at its start."""
    file.seek(0)
    digest = hashlib.sha256()
    while chunk := file.read(CHUNK):
        digest.update(chunk)
    file.seek(0)
    return digest.hexdigest()
