"""What of the workbook in the window is not in its file: found by loading the file once more, unseen, and comparing.

Both sides are spelled by the same program, so nothing but what was edited differs.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Dict, Iterator, Tuple

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.lang import Locale

_CONTENT = 1 | 2 | 4 | 16  # com.sun.star.sheet.CellFlags: VALUE, DATETIME, STRING, FORMULA
_XL_OOX = 3  # com.sun.star.sheet.AddressConvention: as Open XML files write references
_OOXML = 5  # com.sun.star.sheet.FormulaLanguage
_ALL_NAMES = 0x7FFFFFFF
_OPEN_XML = (".xlsx", ".xlsm", ".xltx", ".xltm")
_STRING = 2  # com.sun.star.sheet.FormulaResult
_ODS = "calc8"
_ENGLISH = Locale("en", "US", "")

# Row and column from 0; what was typed, and the value. `Dict` for the Python of LibreOffice, which may be 3.8.
Contents = Dict[Tuple[int, int], Tuple[str, Any]]


def describe(document: Any, desktop: Any, folder: str) -> dict[str, Any]:
    """Return what the user's Python has to know of a document; snapshots are written into `folder`."""
    file = _local_file(document)
    about: dict[str, Any] = {"version": 1, "name": _name(document), "file": file, "cells": [], "snapshot": None}
    changed = file is None or document.isModified()
    if file is not None and file.lower().endswith(_OPEN_XML):
        about["cells"] = _edits(document, desktop)
        edited = about["cells"] is None  # other sheets than the file has: only the whole can be told
        changed = edited or not all(cell.get("if_missing") for cell in about["cells"])
    if changed:
        snapshot = str(Path(folder) / (Path(about["name"]).stem + ".ods"))
        document.storeToURL(uno.systemPathToFileUrl(snapshot), (_property("FilterName", _ODS),))
        about["snapshot"] = snapshot
    return about


def _local_file(document: Any) -> str | None:
    if not document.URL.startswith("file:"):
        return None
    path = uno.fileUrlToSystemPath(document.URL)
    return path if Path(path).is_file() else None


def _name(document: Any) -> str:
    if document.URL:
        return Path(uno.fileUrlToSystemPath(document.URL) if document.URL.startswith("file:") else document.URL).name
    return str(document.Title) or "Untitled"


def _edits(document: Any, desktop: Any) -> list[dict[str, Any]] | None:
    """Return the cells that differ from the file; None where the sheets are not the same."""
    unseen = _property("Hidden", True), _property("ReadOnly", True)
    filed = desktop.loadComponentFromURL(document.URL, "_blank", 0, unseen)
    if filed is None:
        return None
    try:
        if document.Sheets.ElementNames != filed.Sheets.ElementNames:
            return None
        edits = _Edits(document, filed)
        return [cell for name in document.Sheets.ElementNames for cell in edits.of_sheet(name)]
    finally:
        filed.close(True)


class _Edits:
    def __init__(self, document: Any, filed: Any) -> None:
        self.document, self.filed = document, filed
        self.parser = document.createInstance("com.sun.star.sheet.FormulaParser")
        mapper = document.createInstance("com.sun.star.sheet.FormulaOpCodeMapper")
        self.parser.OpCodeMap = mapper.getAvailableMappings(_OOXML, _ALL_NAMES)
        self.parser.FormulaConvention = _XL_OOX

    def of_sheet(self, name: str) -> Iterator[dict[str, Any]]:
        """Yield the cells of a sheet that differ."""
        sheet, filed = self.document.Sheets.getByName(name), self.filed.Sheets.getByName(name)
        now, before = _contents(sheet), _contents(filed)
        for place in sorted({**now, **before}):
            new, old = now.get(place), before.get(place)
            if new is None:
                yield {"sheet": name, "row": place[0] + 1, "column": place[1] + 1, "value": None}
            elif old is None or repr(new) != repr(old):
                yield self._cell(name, place, sheet, filed, only_result=old is not None and new[0] == old[0])
            elif new[0].startswith("="):  # a file need not hold the results of its formulas
                yield dict(self._cell(name, place, sheet, filed, only_result=True), if_missing=True)

    def _cell(self, name: str, place: tuple[int, int], sheet: Any, filed: Any, *, only_result: bool) -> dict[str, Any]:
        row, column = place
        cell, was = sheet.getCellByPosition(column, row), filed.getCellByPosition(column, row)
        is_formula = cell.Type.value == "FORMULA"
        error = cell.getError() if is_formula else 0
        is_text = cell.Type.value == "TEXT" or (is_formula and cell.FormulaResultType2 == _STRING)
        value = cell.String if error or is_text else cell.Value
        about = {"sheet": name, "row": row + 1, "column": column + 1, "value": value}
        if error:
            about["error"] = True
        if only_result and is_formula:
            about["only_result"] = True
        elif is_formula:
            about["formula"] = self.parser.printFormula(cell.getTokens(), cell.CellAddress)
        code = self._code(self.document, cell)
        if code != self._code(self.filed, was):
            about["number_format"] = code
        return about

    def _code(self, document: Any, cell: Any) -> str:
        """Return the number format of a cell in its English spelling."""
        known = document.NumberFormats.getByKey(cell.NumberFormat)
        if known.Locale.Language in ("", "en"):
            return str(known.FormatString)
        formats = self.filed.NumberFormats  # of the unseen document: a question may add to it
        key = formats.addNewConverted(known.FormatString, known.Locale, _ENGLISH)
        return str(formats.getByKey(key).FormatString)


def _contents(sheet: Any) -> Contents:
    """Return all cells that hold something."""
    found: Contents = {}
    for area in sheet.queryContentCells(_CONTENT).RangeAddresses:
        cells = sheet.getCellRangeByPosition(area.StartColumn, area.StartRow, area.EndColumn, area.EndRow)
        for row, (texts, values) in enumerate(zip(cells.FormulaArray, cells.DataArray), area.StartRow):
            for column, (text, value) in enumerate(zip(texts, values), area.StartColumn):
                if text != "":
                    found[row, column] = (text, value)
    return found


def _property(name: str, value: Any) -> Any:
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made
