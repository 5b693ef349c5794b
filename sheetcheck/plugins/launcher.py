"""A launcher that takes a workbook dropped on it: a small script that runs this module with the workbook's path."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Sequence
from pathlib import Path

import platformdirs
import typer
from rich.console import Console

from sheetcheck.errors import CopyNotWritableError, SheetcheckError
from sheetcheck.pipeline import check
from sheetcheck.plugins.surroundings import for_other_programs
from sheetcheck.report.terminal import show
from sheetcheck.words import later, speaking, tr

NAME = "Audit a recipe book"
MODULE = "sheetcheck.plugins.launcher"
DROP = later("Drop a recipe workbook on this file.")
DRAG = later("Drag your recipe workbook into this window and press Return:")
CLOSE = later("Press Return to close.")
EXTENSIONS = {"win32": ".cmd", "darwin": ".command"}  # on any other system a .desktop file

_WINDOWS = """@echo off
chcp 65001 >nul
rem {drop}
"{python}" -m {module} %*
pause
"""
_MAC = """#!/bin/bash
# Double-click this file, drag a recipe workbook into the window that opens, and press Return.
if [ "$#" -eq 0 ]; then
    printf '%s ' {drag}
    read book
    set -- "$book"
fi
{python} -m {module} "$@"
printf '%s' {close}
read -r _
"""
_LINUX = """[Desktop Entry]
Type=Application
Version=1.0
Name={name}
Comment={drop}
Exec={python} -m {module} --wait %F
Terminal=true
Categories=Office;Spreadsheet;
MimeType={types}
"""
_TYPES = (
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet;application/vnd.ms-excel;"
    "application/vnd.oasis.opendocument.spreadsheet;text/csv;"
)


def write_launcher(place: Path | None = None, python: str = sys.executable, platform: str = sys.platform) -> Path:
    """Write the launcher for this system; nothing is ever overwritten.

    Parameters
    ----------
    place
        A file, or a folder that it goes into; the desktop where None, or the home folder where there is no desktop.

    Raises
    ------
    CopyNotWritableError
    """
    extension = EXTENSIONS.get(platform, ".desktop")
    if place is None:
        desktop = Path(platformdirs.user_desktop_dir())
        place = desktop if desktop.is_dir() else Path.home()
    target = place / f"{NAME}{extension}" if place.is_dir() else place
    if target.suffix.lower() != extension:
        target = target.with_name(f"{target.name}{extension}")
    if target.exists():
        raise CopyNotWritableError(target, tr("a file stands there already, and is left as it is"))
    try:
        target.write_bytes(script(python, platform).encode())
        target.chmod(0o755)
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or "") from error
    return target


def script(python: str, platform: str) -> str:
    """Return what the launcher holds."""
    if platform == "win32":
        # In a batch file a percent sign is written twice.
        said = {"python": python, "drop": tr(DROP)}
        doubled = {name: text.replace("%", "%%") for name, text in said.items()}
        return _WINDOWS.format(module=MODULE, **doubled).replace("\n", "\r\n")
    if platform == "darwin":
        said = {"python": python, "drag": tr(DRAG), "close": tr(CLOSE)}
        return _MAC.format(module=MODULE, **{name: shlex.quote(text) for name, text in said.items()})
    drop = tr(DROP).replace("\\", "\\\\")
    return _LINUX.format(name=NAME, python=_desktop_quoted(python), module=MODULE, types=_TYPES, drop=drop)


def _desktop_quoted(path: str) -> str:
    """Quote a path for the key Exec (Desktop Entry Specification 1.5, "The Exec key")."""
    quoted = path.replace("%", "%%")
    for character in '\\"`$':
        quoted = quoted.replace(character, f"\\{character}")
    # The value of a key is a string first, in which a backslash is written twice.
    return f'"{quoted}"'.replace("\\", "\\\\")


# --------------------------------------------------------------------------- what the launcher runs


def main(arguments: Sequence[str]) -> int:
    """Audit each workbook and open its checked copy in the program that opens workbooks; 1 where one has findings.

    With `--wait` first it waits for Return at the end, for a window that would close at once.
    """
    books = [Path(argument.strip()) for argument in arguments if argument != "--wait"]
    worst = 0 if books else 2
    if not books:
        print(tr(DROP))  # noqa: T201 - it speaks to the user in a window
    for book in books:
        worst = max(worst, _audit(book))
    if "--wait" in arguments:
        input(f"{tr(CLOSE)} ")
    return worst


def _audit(book: Path) -> int:
    console = Console(soft_wrap=not sys.stdout.isatty())
    try:
        done = check(book)
    except SheetcheckError as error:
        console.print(str(error), highlight=False, markup=False)
        return 2
    show(done.audit, console)
    for sentence in (*done.audit.book.notices, *done.copy_report.warnings):
        console.print(sentence, highlight=False, markup=False)
    with speaking(done.audit.book.manner.voice()):
        console.print(tr("Annotated copy: {copy}", copy=done.copy), highlight=False, markup=False)
    with for_other_programs():
        typer.launch(str(done.copy))
    return 0 if done.audit.recipes["verdict"].eq("fine").all() else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
