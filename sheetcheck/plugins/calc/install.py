"""Makes the extension for LibreOffice Calc with the path of this Python in it, installs it and takes it out again."""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Mapping
from importlib.resources import as_file, files
from pathlib import Path
from xml.sax.saxutils import escape

from sheetcheck import __version__
from sheetcheck.plugins.calc.office import profile_folder, unopkg
from sheetcheck.plugins.errors import InstallError
from sheetcheck.words import catalogue, languages, later, tr

IDENTIFIER = "sheetcheck.calc"
FILE_NAME = "sheetcheck.oxt"
_MENU = (
    later("Check this workbook"),
    later("Write the checked copy"),
    later("Rescale this workbook …"),
    later("Take the marks off"),
)
_NOT_RUN = later("The check could not be run: {why}. Run `sheetcheck calc doctor` in a terminal.")
_WORKING = later("Sheetcheck is checking this workbook …")
_TO_WHAT_SIZE = later(
    "To what size? x2 for twice as much; fats=5kg, batch=9lb, bars=40x110g; mould=2 box 24x8x7 cm; or moulds=all for "
    "those of a list of moulds in this workbook."
)
_SAID = {"not_run": _NOT_RUN, "working": _WORKING, "to_what_size": _TO_WHAT_SIZE}  # by the extension itself
_NOT_ROOT = later("LibreOffice installs no extension for root. Run this as the user who opens the workbooks.")
_BY_ROOT = re.compile(r"as root", re.IGNORECASE)


def build(target: Path, python: str = sys.executable) -> Path:
    """Make the extension; `python` is the full path of the interpreter that it calls."""
    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        inside = Path(folder) / "extension"
        with as_file(files("sheetcheck.plugins.calc") / "extension") as source:
            shutil.copytree(source, inside, ignore=shutil.ignore_patterns("__pycache__"))
        _fill(inside / "description.xml", {"@VERSION@": __version__})
        _fill(inside / "Addons.xcu", {_title("en-US", entry): _in_all_languages(entry) for entry in _MENU})
        command = {
            "command": [python, "-m", "sheetcheck.plugins.calc"],
            "version": __version__,
            **{name: tr(sentence) for name, sentence in _SAID.items()},
            "in": {
                language: {name: catalogue(language).gettext(sentence) for name, sentence in _SAID.items()}
                for language in languages()
                if language != "en"
            },
        }
        (inside / "command.json").write_text(json.dumps(command), encoding="utf-8")
        made = shutil.make_archive(str(Path(folder) / "made"), "zip", inside)
        shutil.copyfile(made, target)
    return target


def _title(language: str, said: str) -> str:
    return f'<value xml:lang="{language}">{escape(said)}</value>'


def _in_all_languages(entry: str) -> str:
    """Return an entry of the menu in each language there is a catalogue for: LibreOffice shows that of its own."""
    others = (_title(language, catalogue(language).gettext(entry)) for language in languages() if language != "en")
    return "".join((_title("en-US", entry), *others))


def _fill(path: Path, texts: Mapping[str, str]) -> None:
    """Put texts in the place of others in a file."""
    text = path.read_text(encoding="utf-8")
    for old, new in texts.items():
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def install(profile: Path | None = None) -> None:
    """Install the extension, in the place of an older one.

    Parameters
    ----------
    profile
        A folder of LibreOffice's settings other than the user's own.

    Raises
    ------
    NoProgramError, InstallError
    """
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        raise InstallError(tr(_NOT_ROOT))
    with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
        made = build(Path(folder) / FILE_NAME)
        said = unopkg("add", "--force", "--suppress-license", str(made), profile=profile)
    if not is_registered(profile):
        raise InstallError(_why_not(said))


def uninstall(profile: Path | None = None) -> bool:
    """Take the extension out; return whether it was there.

    Raises
    ------
    NoProgramError, InstallError
    """
    if not is_registered(profile):
        return False
    said = unopkg("remove", IDENTIFIER, profile=profile)
    if is_registered(profile):
        raise InstallError(_why_not(said))
    return True


def is_registered(profile: Path | None = None) -> bool:
    """Whether LibreOffice has the extension and it is switched on."""
    said = unopkg("list", IDENTIFIER, profile=profile)
    return f"Identifier: {IDENTIFIER}" in said and "is registered: yes" in said


def installed_command(profile: Path | None = None) -> list[str] | None:
    """Return the command that the installed extension runs, None where it is not installed."""
    cache = (profile or profile_folder()) / "user" / "uno_packages" / "cache" / "uno_packages"
    for path in sorted(cache.glob(f"*/{FILE_NAME}/command.json"), key=lambda p: p.stat().st_mtime, reverse=True):
        command: list[str] = json.loads(path.read_text(encoding="utf-8"))["command"]
        return command
    return None


def _why_not(said: str) -> str:
    if _BY_ROOT.search(said):
        return tr(_NOT_ROOT)
    if "lock" in said.lower() or "running" in said.lower():
        return tr("LibreOffice is running. Close all of its windows and try again.")
    if "loader" in said.lower() or "python" in said.lower():
        return tr("LibreOffice has no Python. On Debian and Ubuntu: apt install python3-uno")
    words = " ".join(said.split())
    return tr("LibreOffice did not take the extension: {said}", said=words[-300:] or tr("it said nothing"))
