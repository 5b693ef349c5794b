"""The few sentences inside the extension, which cannot ask sheetcheck for them once it is installed."""

import gettext
import json
import os
import re
import zipfile
from pathlib import Path

import pytest

from sheetcheck.plugins.calc import install, office
from sheetcheck.words import Voice, speaking


class Marked(gettext.NullTranslations):
    """A language in which every sentence is said between guillemets."""

    def gettext(self, message: str) -> str:
        return f"«{message}»"


def test_they_are_in_the_language_that_it_was_installed_in(tmp_path: Path) -> None:
    with speaking(Voice(catalogue=Marked())):
        made = install.build(tmp_path / "made.oxt", "/usr/bin/python3")
    with zipfile.ZipFile(made) as package:
        menu = re.findall(r">([^<>]+)</value>", package.read("Addons.xcu").decode())
        entries = [text for text in menu if not text.startswith(("service:", "com.", "_self"))]
        assert entries == ["Sheetcheck", "«Audit this workbook»", "«Write the checked copy»", "«Take the marks off»"]
        not_run = json.loads(package.read("command.json"))["not_run"]
        english = not_run.strip("«»")
        assert english.format(why="x").startswith("The audit could not be run: x.")
        assert f'NOT_RUN = "{english}"' in package.read("component.py").decode()


@pytest.mark.skipif(os.name == "nt", reason="runs a shell")
def test_an_installer_that_crashes_is_run_once_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    unopkg, runs = tmp_path / "unopkg", tmp_path / "runs"
    unopkg.write_text(f'#!/bin/sh\necho run >> "{runs}"\n[ $(wc -l < "{runs}") -gt 1 ] || exit 139\necho done\n')
    unopkg.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    assert office.unopkg("list").strip() == "done"
    assert len(runs.read_text().splitlines()) == 2
