"""Fixtures that tests of several folders share."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parent.parent
os.environ["LC_ALL"] = "C.UTF-8"  # the commands speak the language of the system: here English, whoever runs the tests


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def soffice() -> str:
    """LibreOffice's command; CI insists on it, elsewhere a test that needs it is left out."""
    command = shutil.which("soffice")
    if command is None:
        if os.environ.get("SHEETCHECK_NEEDS_OFFICE"):
            pytest.fail("LibreOffice is not installed, and CI needs it")
        pytest.skip("LibreOffice is not installed")
    return command


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium; CI insists on it, elsewhere a test that needs it is left out."""
    from playwright.sync_api import expect, sync_playwright  # noqa: PLC0415 - only where a browser is asked for

    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        if os.environ.get("SHEETCHECK_NEEDS_OFFICE"):
            pytest.fail("Chromium is not installed, and CI needs it")
        pytest.skip("Chromium is not installed")
    with sync_playwright() as playwright:
        expect.set_options(timeout=60_000)  # a busy machine is no fault of the page
        # A browser that runs as root, as in CI, needs to be told that it may; it sees pages of our own alone.
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()
