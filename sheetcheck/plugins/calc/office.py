"""Finds LibreOffice on this machine, and the profile that its extensions live in."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from sheetcheck.plugins.errors import InstallError, NoProgramError
from sheetcheck.plugins.surroundings import surroundings
from sheetcheck.words import number, tr

WAIT_SECONDS = 120
_CRASHED = (-11, -6, 139, 134)  # by a signal, itself or what it ran: now and then it does so, and not the next time
_PLACES = {
    "win32": (r"C:\Program Files\LibreOffice\program", r"C:\Program Files (x86)\LibreOffice\program"),
    "darwin": ("/Applications/LibreOffice.app/Contents/MacOS",),
}
_LINUX_PLACES = ("/usr/lib/libreoffice/program", "/usr/lib64/libreoffice/program", "/opt/libreoffice/program")


def tool(name: str) -> str:
    """Return the full path of a program of LibreOffice: soffice, unopkg.

    Raises
    ------
    NoProgramError
    """
    found = shutil.which(name)
    if found:
        return found
    file = f"{name}.com" if sys.platform == "win32" else name
    for place in _PLACES.get(sys.platform, _LINUX_PLACES):
        if (Path(place) / file).is_file():
            return str(Path(place) / file)
    raise NoProgramError(
        tr(
            "LibreOffice was not found. Install it, or put its folder of programs (the one with soffice in it) on the "
            "path."
        )
    )


def unopkg(*arguments: str, profile: Path | None = None) -> str:
    """Run LibreOffice's installer of extensions and return what it says; its exit status does not tell a failure.

    Raises
    ------
    NoProgramError, InstallError
    """
    command = [tool("unopkg"), *arguments]
    if profile is not None:
        command.append(f"-env:UserInstallation={profile.absolute().as_uri()}")
    try:
        done = _run(command)
        if done.returncode in _CRASHED:
            done = _run(command)
    except subprocess.TimeoutExpired as error:
        said = tr(
            "LibreOffice did not answer in {seconds} seconds. Close it and try again.", seconds=number(WAIT_SECONDS, 0)
        )
        raise InstallError(said) from error
    return f"{done.stdout}\n{done.stderr}"


def _run(command: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - LibreOffice's own program
        command,
        capture_output=True,
        text=True,
        timeout=WAIT_SECONDS,
        check=False,
        stdin=subprocess.DEVNULL,
        env=surroundings(),  # on the path of a virtual environment LibreOffice would take its Python, and crash
    )


def profile_folder() -> Path:
    """Return the folder of LibreOffice's settings of this user."""
    if sys.platform == "win32":
        return Path(os.environ["APPDATA"]) / "LibreOffice" / "4"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "LibreOffice" / "4"
    return Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config") / "libreoffice" / "4"
