"""Marks taken off a copy again: the user's workbook with all that was edited since."""

from __future__ import annotations

from collections.abc import Mapping

from sheetcheck.workbook import original
from sheetcheck.workbook.notes_removal import remove_notes
from sheetcheck.workbook.package import Package, SheetEntry
from sheetcheck.workbook.package_edit import PackageEdit
from sheetcheck.workbook.record import Record
from sheetcheck.workbook.sheet_removal import remove_sheets
from sheetcheck.workbook.sheet_strip import OurMarks, stripped
from sheetcheck.workbook.styles_patch import StylesPatch


def unmarked(copy: Package, record: Record) -> PackageEdit:
    """Return the edit that takes all marks off a copy."""
    edit = PackageEdit(copy)
    styles = StylesPatch(edit)
    same_theme = styles.theme.digest == record.theme
    formats = styles.unmarked({fill.rgb: fill.before if same_theme else fill.plain for fill in record.fills})
    ours = {name.lower() for name in record.sheets}
    for sheet in copy.sheets:
        if sheet.is_worksheet and sheet.name.lower() not in ours:
            _strip(edit, sheet, record, formats)
    styles.put()
    remove_sheets(edit, ours)
    if original.PART in edit:
        _forget_original(edit)
    return edit


def _strip(edit: PackageEdit, sheet: SheetEntry, record: Record, formats: Mapping[int, int]) -> None:
    columns = [c for c in record.columns if c.sheet.lower() == sheet.name.lower()]
    ours = OurMarks(columns, formats, record.sheets, remove_notes(edit, sheet.part, record.notes))
    edit.put_pieces(sheet.part, lambda: stripped(edit.source, sheet.part, ours))


def _forget_original(edit: PackageEdit) -> None:
    for relationship in edit.relationships():
        if relationship.target == original.PART:
            edit.unrelate("", relationship.id)
    edit.remove(original.PART)
