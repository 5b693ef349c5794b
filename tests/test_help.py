"""Help is said in the language of the system and in words; what is said of a book follows its settings alone."""

import re
import subprocess
import sys
from collections.abc import Iterator

import pytest

from sheetcheck.cli.options import settings_from
from sheetcheck.cli.spoken import speak_as_the_system_does
from sheetcheck.words import Voice, catalogue, speak, tr

SENTENCE = "Show how each sheet would be read; nothing is judged or written."
OF_PYTHON = re.compile(r"<(str|path|int|bool|list\[\w+\])>")


@pytest.fixture(autouse=True)
def _english_afterwards() -> Iterator[None]:
    yield
    speak(Voice())


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en"),
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LANG": "de_CH.UTF-8", "LC_MESSAGES": "fr_CH.UTF-8"}, "fr"),
        ({"LANG": "fr_FR.UTF-8", "LANGUAGE": "cs:es:de"}, "es"),
        ({"LC_ALL": "C.UTF-8", "LANGUAGE": "de"}, "en"),
        ({"LANG": "is_IS.UTF-8"}, "en"),
    ],
)
def test_the_language_of_the_system_is_spoken(environment: dict[str, str], language: str) -> None:
    speak_as_the_system_does(environment)
    assert tr(SENTENCE) == catalogue(language).gettext(SENTENCE)
    assert (tr(SENTENCE) == SENTENCE) == (language == "en")


def test_a_book_is_spoken_of_as_its_settings_say() -> None:
    speak_as_the_system_does({"LANG": "de_DE.UTF-8"})
    settings_from(None)
    assert tr(SENTENCE) == SENTENCE


@pytest.mark.parametrize("name", ["audit", "rescale", "watch", "page", "excel"])
def test_types_are_said_in_words(name: str) -> None:
    command = [sys.executable, "-m", "sheetcheck", name, "--help"]
    shown = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    assert not OF_PYTHON.search(shown)
