"""What a workbook says it is: with or without macros, a template or not. A file must be what its extension says."""

from __future__ import annotations

from pathlib import Path

from sheetcheck.errors import CopyNotWritableError
from sheetcheck.words import tr
from sheetcheck.workbook.package_edit import PackageEdit

_TYPES = {
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
    ".xltx": "application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml",
    ".xlsm": "application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    ".xltm": "application/vnd.ms-excel.template.macroEnabled.main+xml",
}


def conform_type(edit: PackageEdit, target: Path) -> None:
    """Declare the workbook to be what the target's extension says, where that is not the book's own.

    Raises
    ------
    CopyNotWritableError
        The book has macros and the target's extension does not allow them.
    """
    part, suffix = edit.source.workbook_part, target.suffix.lower()
    if suffix not in _TYPES or suffix == edit.source.path.suffix.lower():
        return
    declared, wanted = edit.part_type(part), _TYPES[suffix]
    if "macroEnabled" in declared and "macroEnabled" not in wanted:
        raise CopyNotWritableError(target, tr("the book has macros: its copy must be an .xlsm file"))
    if declared != wanted:
        edit.set_type(part, wanted)
