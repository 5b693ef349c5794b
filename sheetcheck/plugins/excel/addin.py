"""An add-in with one button, made on the user's machine from the template inside their own xlwings.

The template's macro is kept but for where it takes its settings from (macro.py). It runs `import M; M.main()`, M being
the file name of the add-in without its extension: so the name of the file is the name of our module.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path
from xml.sax.saxutils import quoteattr

import xlwings as xw
from lxml import etree

from sheetcheck.plugins.errors import InstallError
from sheetcheck.plugins.excel.macro import asks_the_add_in
from sheetcheck.words import later, tr
from sheetcheck.workbook.overlay import lay_over
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.package_edit import PackageEdit, serialise
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.replacing import replacing
from sheetcheck.workbook.sheet_overlay import ScreenCell
from sheetcheck.workbook.zip_copy import ZipCopy

MODULE = "sheetcheck.plugins.excel.button"
FILE_NAME = f"{MODULE}.xlam"
SETTINGS_SHEET = "myaddin.conf"  # PROJECT_NAME in the template's macro is "myaddin"; with "_" before it is not used
INTERPRETERS = {"win32": "Interpreter_Win", "darwin": "Interpreter_Mac"}
MACRO, RIBBON = "xl/vbaProject.bin", "customUI/customUI.xml"

_BUTTON = later("Check this workbook")
_TIP = later(
    "Checks the open workbook, unsaved edits included, and offers a checked copy. Your workbook is not changed."
)
_RIBBON_XML = (
    '<customUI xmlns="http://schemas.microsoft.com/office/2006/01/customui"><ribbon><tabs>'
    '<tab id="sheetcheckTab" label="Sheetcheck"><group id="sheetcheckGroup" label={recipes}>'
    '<button id="sheetcheckButton" label={button} size="large" imageMso="ReviewAcceptChange" '
    'onAction="RibbonMyAddin.RunMain" screentip={button} supertip={tip}/>'
    "</group></tab></tabs></ribbon></customUI>"
)
_QUOTED = (  # in the script for macOS (AppleScript Language Guide: "quoted form")
    ("set ShellCommand to PythonInterpreter & ", "set ShellCommand to quoted form of PythonInterpreter & "),
    (
        r"""PythonCommand & " \" \"--wb=" & WorkbookName & "\" \"--from_xl=1\" """,
        r"""PythonCommand & " \" " & quoted form of ("--wb=" & WorkbookName) & " \"--from_xl=1\" """,
    ),
)


def template() -> Path:
    """Return the template in the installed xlwings."""
    return Path(xw.__file__).with_name("quickstart_addin_ribbon.xlam")


def build(target: Path, python: str = sys.executable) -> Path:
    """Make the add-in.

    Parameters
    ----------
    python
        Full path of the interpreter that the button runs.

    Raises
    ------
    InstallError
        The template of this version of xlwings is not as expected.
    """
    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        draft = Path(folder) / target.name
        sheet = f"_{SETTINGS_SHEET}"
        _expect(template(), sheet)
        lay_over(template(), draft, _settings(sheet, python))
        with Package.open(draft) as package:
            edit = PackageEdit(package)
            edit.put(RIBBON, _ribbon().encode())
            edit.put(MACRO, asks_the_add_in(package.read(MACRO)))
            edit.put(package.workbook_part, _renamed(package.tree(package.workbook_part), sheet))
            with replacing(target) as (file, _):
                out = ZipCopy(file)
                edit.write(out)
                out.finish()
    return target


def _ribbon() -> str:
    said = {"recipes": tr("Recipes"), "button": tr(_BUTTON), "tip": tr(_TIP)}
    return _RIBBON_XML.format(**{name: quoteattr(sentence) for name, sentence in said.items()})


def _expect(path: Path, sheet: str) -> None:
    with Package.open(path) as package:
        sheets = [one.name for one in package.sheets]
        if sheets != [sheet] or MACRO not in package or RIBBON not in package:
            raise InstallError(_not_as_expected())


def _not_as_expected() -> str:
    return tr(
        "The add-in template of xlwings {version} is not as expected. "
        "Install another version: python -m pip install xlwings==0.37.8",
        version=xw.__version__,
    )


def _settings(sheet: str, python: str) -> list[ScreenCell]:
    """Return the settings sheet's cells: ours beside their names, all others blank."""
    grid = read_workbook(template()).grids[0]
    ours = {
        INTERPRETERS.get(sys.platform, "Interpreter_Mac"): python,
        "ADD_WORKBOOK_TO_PYTHONPATH": "False",  # nothing is ever imported from the folder of a workbook
        "Use UDF Server": "False",
        "Show Console": "False",
    }
    rows = {cell.text.upper(): cell.row for row in grid.rows() if (cell := grid.cell(row, 1)) is not None}
    free = max(rows.values(), default=0) + 1
    cells = []
    for name, value in ours.items():
        row = rows.get(name.upper())
        if row is None:
            row, free = free, free + 1
            cells.append(ScreenCell(sheet, row, 1, name))
        cells.append(ScreenCell(sheet, row, 2, value))
    return cells


def _renamed(workbook: etree._Element, sheet: str) -> bytes:
    for element in workbook.iterfind("{*}sheets/{*}sheet"):
        if element.get("name") == sheet:
            element.set("name", SETTINGS_SHEET)
    return serialise(workbook)


# --------------------------------------------------------------------------- on this machine


def startup_folder() -> Path:
    """Return the folder whose workbooks Excel opens as it starts.

    Raises
    ------
    InstallError
        There is no Excel on this system.
    """
    if sys.platform == "win32":
        return Path(os.environ["APPDATA"]) / "Microsoft" / "Excel" / "XLSTART"
    if sys.platform == "darwin":
        office = Path.home() / "Library" / "Group Containers" / "UBF8T346G9.Office"
        return office / "User Content.localized" / "Startup.localized" / "Excel"
    raise InstallError(tr("The button is for Excel on Windows and macOS. For LibreOffice: sheetcheck calc install"))


def script() -> Path:
    """Return where Excel for Mac looks for the script by which a macro may run a program."""
    folder = Path.home() / "Library" / "Application Scripts" / "com.microsoft.Excel"
    return folder / f"xlwings-{xw.__version__}.applescript"


def quoting_script() -> str:
    """Return xlwings' script with what it hands to the shell quoted: an interpreter may lie in a folder with a space.

    Raises
    ------
    InstallError
        The script of this version of xlwings is not as expected.
    """
    text = Path(xw.__file__).with_name(script().name).read_text(encoding="utf-8")
    for old, new in _QUOTED:
        if text.count(old) != 1:
            raise InstallError(_not_as_expected())
        text = text.replace(old, new)
    return text


def install() -> Path:
    """Put the button into Excel; return where the add-in stands.

    Raises
    ------
    InstallError
    """
    target = startup_folder() / FILE_NAME
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        build(target)
        if sys.platform == "darwin":
            script().parent.mkdir(parents=True, exist_ok=True)
            script().write_text(quoting_script(), encoding="utf-8")
    except OSError as error:
        said = tr("{place} cannot be written ({why}). Quit Excel and try again.", place=target, why=error.strerror)
        raise InstallError(said) from error
    return target


def uninstall() -> Path | None:
    """Take the button out of Excel; return where the add-in stood, None where there was none.

    Raises
    ------
    InstallError
    """
    target = startup_folder() / FILE_NAME
    if not target.exists():
        return None
    try:
        target.unlink()
    except OSError as error:
        said = tr("{place} cannot be removed ({why}). Quit Excel and try again.", place=target, why=error.strerror)
        raise InstallError(said) from error
    return target
