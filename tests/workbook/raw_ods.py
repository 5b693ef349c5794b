"""OpenDocument spreadsheets written byte by byte."""

from __future__ import annotations

import zipfile
from pathlib import Path

HEAD = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" '
    'xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" '
    'xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" '
    'xmlns:fo="urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" '
    'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0">'
)


def write_ods(path: Path, rows: str, *, styles: str = "", more: str = "", document_type: str = "") -> Path:
    content = (
        f"{document_type}{HEAD}<office:automatic-styles>{styles}</office:automatic-styles><office:body><office:spreadsheet>"
        f'<table:table table:name="Recipes">{rows}</table:table>{more}</office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
    return path


def cell(inside: str = "", **attributes: str) -> str:
    prefixes = {"repeated": "table:number-columns-repeated", "formula": "table:formula", "style": "table:style-name"}
    names = {key: prefixes.get(key, f"office:{key.replace('_', '-')}") for key in attributes}
    written = "".join(f' {names[key]}="{value}"' for key, value in attributes.items())
    return f"<table:table-cell{written}>{inside}</table:table-cell>"
