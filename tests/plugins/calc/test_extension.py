"""The few sentences inside the extension, which cannot ask sheetcheck for them once it is installed."""

import ast
import gettext
import json
import os
import re
import zipfile
from pathlib import Path

import pytest

from sheetcheck.plugins.calc import install, office
from sheetcheck.plugins.calc.answer import answer
from sheetcheck.words import Voice, catalogue, languages, speaking

ENTRIES = ["Check this workbook", "Write the checked copy", "Rescale this workbook …", "Take the marks off"]


class Marked(gettext.NullTranslations):
    """A language in which every sentence is said between guillemets."""

    def gettext(self, message: str) -> str:
        return f"«{message}»"


def test_they_are_in_the_language_that_it_was_installed_in(tmp_path: Path) -> None:
    with speaking(Voice(catalogue=Marked())):
        made = install.build(tmp_path / "made.oxt", "/usr/bin/python3")
    with zipfile.ZipFile(made) as package:
        said = json.loads(package.read("command.json"))
        inside = ast.parse(package.read("component.py").decode())
    constants = {
        node.targets[0].id: node.value.value
        for node in inside.body
        if isinstance(node, ast.Assign)
        and isinstance(node.targets[0], ast.Name)
        and isinstance(node.value, ast.Constant)
    }
    for name in ("not_run", "working", "to_what_size"):
        assert said[name] == f"«{constants[name.upper()]}»"
        for language, in_it in said["in"].items():
            assert in_it[name] == catalogue(language).gettext(constants[name.upper()]) != constants[name.upper()]
    assert said["not_run"].strip("«»").format(why="x").startswith("The check could not be run: x.")


def test_the_menu_has_a_title_in_each_language(tmp_path: Path) -> None:
    made = install.build(tmp_path / "made.oxt", "/usr/bin/python3")
    with zipfile.ZipFile(made) as package:
        titles = re.findall(r'xml:lang="([^"]+)">([^<]+)</value>', package.read("Addons.xcu").decode())
    for language in languages():
        in_it = [title for said_in, title in titles if said_in == language or (said_in, language) == ("en-US", "en")]
        wanted = [catalogue(language).gettext(entry) for entry in ENTRIES]
        assert [title for title in in_it if title != "Sheetcheck"] == wanted


def test_the_answer_is_in_the_language_of_the_menus(root: Path, tmp_path: Path) -> None:
    book = root / "examples/clean_book/clean_book.xlsx"
    asked = {"name": book.name, "file": str(book), "cells": [], "snapshot": None, "action": "audit"}
    said = {}
    for language in ("en", "de", "is"):
        request = tmp_path / "request.json"
        request.write_text(json.dumps({**asked, "language": language}), encoding="utf-8")
        said[language] = answer(request)["say"]
    assert said["is"] == said["en"] == "Nothing amiss in 12 recipes."
    assert "12 Rezepte" in said["de"]


@pytest.mark.skipif(os.name == "nt", reason="runs a shell")
def test_an_installer_that_crashes_is_run_once_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    unopkg, runs = tmp_path / "unopkg", tmp_path / "runs"
    unopkg.write_text(f'#!/bin/sh\necho run >> "{runs}"\n[ $(wc -l < "{runs}") -gt 1 ] || exit 139\necho done\n')
    unopkg.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    assert office.unopkg("list").strip() == "done"
    assert len(runs.read_text().splitlines()) == 2
