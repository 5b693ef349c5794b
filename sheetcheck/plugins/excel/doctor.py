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
from sheetcheck.plugins.excel.macro import asks_the_add_in
from sheetcheck.words import later, tr
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.read import read_workbook

INSTALL = later("Run: sheetcheck excel install")
_EXCEL_FOR_MAC = Path("/Applications/Microsoft Excel.app")


def examine() -> list[Check]:
    """Return what was found, in the order in which it should be put right."""
    checks = [Check("xlwings", xw.__version__), _excel()]
    try:
        target = addin.startup_folder() / addin.FILE_NAME
    except InstallError as error:
        return [*checks, Check(tr("button"), tr("cannot be installed here"), str(error))]
    checks += of_addin(target) if target.exists() else [Check(tr("button"), tr("not installed"), tr(INSTALL))]
    if sys.platform == "darwin":
        found = addin.script().exists()
        what = tr("script for macros")
        checks.append(Check(what, tr("installed")) if found else Check(what, tr("not installed"), tr(INSTALL)))
    return [*checks, _connection()]


def of_addin(target: Path) -> list[Check]:
    """Look into an installed add-in."""
    python = interpreter(target)
    here = Check(tr("Python of the button"), python or tr("none"))
    if not python or not Path(python).exists():
        here = Check(here.what, tr("{python} is not there", python=here.found), tr(INSTALL))
    elif python != sys.executable:
        other = tr("{python}, which is not the one running now ({running})", python=python, running=sys.executable)
        here = Check(here.what, other, tr(INSTALL))
    same = _macro(target) == asks_the_add_in(_macro(addin.template()))
    version = Check(tr("macro of the button"), tr("that of xlwings {version}", version=xw.__version__))
    if not same:
        changed = tr("of another version of xlwings than the one installed now")
        version = Check(version.what, changed, tr(INSTALL))
    return [Check(tr("button"), str(target)), here, version]


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
            remedy = tr("Install Microsoft Excel for the desktop, or use LibreOffice Calc.")
            return Check("Excel", tr("not installed"), remedy)
        return Check("Excel", tr("installed"))
    if sys.platform == "darwin" and _EXCEL_FOR_MAC.exists():
        return Check("Excel", tr("installed"))
    remedy = tr("It runs on Windows and macOS. For LibreOffice: sheetcheck calc install")
    return Check("Excel", tr("not found"), remedy)


def _connection() -> Check:
    """Ask Excel for the open workbook; on macOS this also asks for the permission to."""
    try:
        return Check(tr("open workbook"), open_book().name)
    except SheetcheckError as error:
        return Check(tr("open workbook"), tr("cannot be reached"), str(error))
