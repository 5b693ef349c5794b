"""Looks at what the menu in LibreOffice Calc needs, and says what to do about what is missing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from sheetcheck import __version__
from sheetcheck.plugins.calc.install import installed_command, is_registered
from sheetcheck.plugins.calc.office import tool
from sheetcheck.plugins.checks import Check
from sheetcheck.plugins.errors import ProgramError

INSTALL = "Run: sheetcheck calc install"
_ASK_VERSION = "import sheetcheck; print(sheetcheck.__version__)"


def examine(profile: Path | None = None) -> list[Check]:
    """Return what was found, in the order in which it should be put right."""
    try:
        checks = [Check("LibreOffice", tool("soffice")), Check("its installer of extensions", tool("unopkg"))]
        registered = is_registered(profile)
    except ProgramError as error:
        return [Check("LibreOffice", "not found", str(error))]
    if not registered:
        return [*checks, Check("menu", "not installed", INSTALL)]
    command = installed_command(profile)
    return [*checks, Check("menu", "installed"), _python(command[0] if command else None)]


def _python(python: str | None) -> Check:
    what = "Python of the menu"
    if python is None or not Path(python).exists():
        return Check(what, f"{python or 'none'} is not there", INSTALL)
    done = subprocess.run(  # noqa: S603 - the interpreter that the extension was installed with
        [python, "-c", _ASK_VERSION], capture_output=True, text=True, timeout=60, check=False
    )
    if done.returncode != 0:
        return Check(what, f"{python} has no sheetcheck", f"{python} -m pip install sheetcheck, or: {INSTALL}")
    if done.stdout.strip() != __version__ or python != sys.executable:
        return Check(what, f"{python} with sheetcheck {done.stdout.strip()}, and not the one running now", INSTALL)
    return Check(what, python)
