"""Looks at what the button in Excel needs, and says what to do about what is missing."""

from __future__ import annotations

import sys
from pathlib import Path

import xlwings as xw

from sheetcheck.errors import SheetcheckError
from sheetcheck.plugins.checks import Check
from sheetcheck.plugins.errors import InstallError
from sheetcheck.plugins.excel import addin
from sheetcheck.plugins.excel.attach import open_book
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.read import read_workbook

INSTALL = "Run: sheetcheck excel install"
_EXCEL_FOR_MAC = Path("/Applications/Microsoft Excel.app")


def examine() -> list[Check]:
    """Return what was found, in the order in which it should be put right."""
    checks = [Check("xlwings", xw.__version__), _excel()]
    try:
        target = addin.startup_folder() / addin.FILE_NAME
    except InstallError as error:
        return [*checks, Check("button", "cannot be installed here", str(error))]
    checks += of_addin(target) if target.exists() else [Check("button", "not installed", INSTALL)]
    if sys.platform == "darwin":
        found = addin.script().exists()
        checks.append(Check("script for macros", "installed" if found else "not installed", "" if found else INSTALL))
    return [*checks, _connection()]


def of_addin(target: Path) -> list[Check]:
    """Look into an installed add-in."""
    python = interpreter(target)
    here = Check("Python of the button", python or "none")
    if not python or not Path(python).exists():
        here = Check(here.what, f"{here.found} is not there", INSTALL)
    elif python != sys.executable:
        here = Check(here.what, f"{python}, which is not the one running now ({sys.executable})", INSTALL)
    same = _macro(target) == _macro(addin.template())
    version = Check("macro of the button", f"that of xlwings {xw.__version__}")
    if not same:
        version = Check(version.what, "of another version of xlwings than the one installed now", INSTALL)
    return [Check("button", str(target)), here, version]


def interpreter(target: Path) -> str:
    """Return the path of the interpreter that is written into an add-in, "" for none."""
    grid = read_workbook(target).grids[0]
    for row in grid.rows():
        name, value = grid.cell(row, 1), grid.cell(row, 2)
        if name is not None and name.text in addin.INTERPRETERS.values() and value is not None and value.text:
            return value.text
    return ""


def _macro(path: Path) -> bytes:
    with Package.open(path) as package:
        return package.read(addin.MACRO)


def _excel() -> Check:
    if sys.platform == "win32":
        import winreg  # noqa: PLC0415 - Windows only

        try:
            winreg.CloseKey(winreg.OpenKey(winreg.HKEY_CLASSES_ROOT, "Excel.Application"))
        except OSError:
            return Check("Excel", "not installed", "Install Microsoft Excel for the desktop, or use LibreOffice Calc.")
        return Check("Excel", "installed")
    if sys.platform == "darwin" and _EXCEL_FOR_MAC.exists():
        return Check("Excel", "installed")
    return Check("Excel", "not found", "It runs on Windows and macOS. For LibreOffice: sheetcheck calc install")


def _connection() -> Check:
    """Ask Excel for the open workbook; on macOS this also asks for the permission to."""
    try:
        return Check("open workbook", open_book().name)
    except SheetcheckError as error:
        return Check("open workbook", "cannot be reached", str(error))
