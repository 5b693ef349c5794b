"""Small workbooks written byte by byte, to hold what no well-behaved program would write."""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STRICT_MAIN = "http://purl.oclc.org/ooxml/spreadsheetml/main"
STRICT_LINKS = "http://purl.oclc.org/ooxml/officeDocument/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
SHEET_PART = "xl/worksheets/sheet1.xml"


def sheet(*rows: str, head: str = "", tail: str = "") -> str:
    """A worksheet part with these rows."""
    return f'<worksheet xmlns="{MAIN}">{head}<sheetData>{"".join(rows)}</sheetData>{tail}</worksheet>'


def write_package(
    path: Path,
    sheet_part: str | bytes | Iterable[bytes] | None = None,
    *,
    strings: str | None = None,
    styles: str | None = None,
    parts: Mapping[str, str | bytes] | None = None,
    sheets: str = '<sheet name="Recipes" sheetId="1" r:id="s1"/>',
    links: str = "",
    sheet_links: str = "",
    before_sheets: str = "",
    after_sheets: str = "",
    main: str = MAIN,
    relationships: str = LINKS,
) -> Path:
    """Write a workbook of one sheet (or more, by `parts`, `sheets` and `links`)."""
    links += f'<Relationship Id="s1" Type="{relationships}/worksheet" Target="worksheets/sheet1.xml"/>'
    contents: dict[str, str | bytes | Iterable[bytes]] = {
        "[Content_Types].xml": (
            f'<Types xmlns="{PACKAGE}/content-types">'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" '
            'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>'
        ),
        "_rels/.rels": _relationships(
            f'<Relationship Id="w" Type="{relationships}/officeDocument" Target="xl/workbook.xml"/>'
        ),
        "xl/workbook.xml": (
            f'<workbook xmlns="{main}" xmlns:r="{relationships}">{before_sheets}<sheets>{sheets}</sheets>'
            f"{after_sheets}</workbook>"
        ),
        SHEET_PART: sheet() if sheet_part is None else sheet_part,
    }
    if strings is not None:
        links += f'<Relationship Id="t" Type="{relationships}/sharedStrings" Target="sharedStrings.xml"/>'
        contents["xl/sharedStrings.xml"] = f'<sst xmlns="{main}">{strings}</sst>'
    if styles is not None:
        links += f'<Relationship Id="y" Type="{relationships}/styles" Target="styles.xml"/>'
        contents["xl/styles.xml"] = f'<styleSheet xmlns="{main}">{styles}</styleSheet>'
    if sheet_links:
        contents["xl/worksheets/_rels/sheet1.xml.rels"] = _relationships(sheet_links)
    contents["xl/_rels/workbook.xml.rels"] = _relationships(links)
    contents |= parts or {}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents.items():
            _write(archive, name, content)
    return path


def _write(archive: zipfile.ZipFile, name: str, content: str | bytes | Iterable[bytes]) -> None:
    if isinstance(content, str | bytes):
        archive.writestr(name, content)
        return
    with archive.open(name, "w", force_zip64=True) as part:
        for piece in content:
            part.write(piece)


def _relationships(inside: str) -> str:
    return f'<Relationships xmlns="{PACKAGE}/relationships">{inside}</Relationships>'
