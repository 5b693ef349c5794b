"""The names of new sheets in the maker's language: they are in English wherever formulas and links are made."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from sheetcheck.model import NewSheet
from sheetcheck.words import tr
from sheetcheck.workbook.results import with_names

LONGEST_NAME = 31  # characters of a sheet's name
_NOT_IN_A_NAME = re.compile(r"[\[\]:*?/\\]|^'|'$")


def tab_name(name: str) -> str:
    """Say a sheet's name; as it is where what is said cannot be one."""
    said = tr(name)
    return said if said and len(said) <= LONGEST_NAME and not _NOT_IN_A_NAME.search(said) else name


def named(sheets: Sequence[NewSheet], names: dict[str, str]) -> list[NewSheet]:
    """Return sheets under their new names, and what refers to them with them."""
    return [
        replace(
            sheet,
            name=names.get(sheet.name, sheet.name),
            rows=[[with_names(content, names) for content in row] for row in sheet.rows] if names else sheet.rows,
            charts=tuple(replace(c, data=names.get(c.data, c.data)) for c in sheet.charts),
        )
        for sheet in sheets
    ]


def said(sheets: Sequence[NewSheet]) -> list[NewSheet]:
    """Return sheets with their names in the maker's language."""
    names = {sheet.name: tab_name(sheet.name) for sheet in sheets}
    return named(sheets, {name: said for name, said in names.items() if said != name})
