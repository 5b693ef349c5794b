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
from sheetcheck.words import later, tr

INSTALL = later("Run: sheetcheck calc install")
_ASK_VERSION = ("-m", "sheetcheck.plugins.calc", "--version")  # which a frozen build answers too


def examine(profile: Path | None = None) -> list[Check]:
    """Return what was found, in the order in which it should be put right."""
    try:
        checks = [Check("LibreOffice", tool("soffice")), Check(tr("its installer of extensions"), tool("unopkg"))]
        registered = is_registered(profile)
    except ProgramError as error:
        return [Check("LibreOffice", tr("not found"), str(error))]
    if not registered:
        return [*checks, Check(tr("menu"), tr("not installed"), tr(INSTALL))]
    command = installed_command(profile)
    return [*checks, Check(tr("menu"), tr("installed")), _python(command[0] if command else None)]


def _python(python: str | None) -> Check:
    what = tr("Python of the menu")
    if python is None or not Path(python).exists():
        return Check(what, tr("{python} is not there", python=python or tr("none")), tr(INSTALL))
    done = subprocess.run(  # noqa: S603 - the interpreter that the extension was installed with
        [python, *_ASK_VERSION], capture_output=True, text=True, timeout=60, check=False
    )
    if done.returncode != 0:
        remedy = tr("Run: {python} -m pip install sheetcheck, or: sheetcheck calc install", python=python)
        return Check(what, tr("{python} has no sheetcheck", python=python), remedy)
    if done.stdout.strip() != __version__ or python != sys.executable:
        found = tr(
            "{python} with sheetcheck {version}, and not the one running now",
            python=python,
            version=done.stdout.strip(),
        )
        return Check(what, found, tr(INSTALL))
    return Check(what, python)
