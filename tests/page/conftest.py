"""Fixtures of the tests of the page: a server, and a real browser."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import platformdirs
import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from sheetcheck.page.server import Server
from tests.page.served import serving


@pytest.fixture(autouse=True)
def _own_data(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that is kept lies in the folder of whoever runs the tests."""
    folder = tmp_path_factory.mktemp("data")
    monkeypatch.setattr(platformdirs, "user_data_path", lambda *_, **__: folder / "sheetcheck")


@pytest.fixture
def server() -> Iterator[Server]:
    with serving() as started:
        yield started


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium; CI insists on it, elsewhere a test that needs it is left out."""
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


@pytest.fixture
def pictures(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Where photographs go: a folder named in SHEETCHECK_PICTURES, else one that is thrown away."""
    folder = Path(os.environ.get("SHEETCHECK_PICTURES") or tmp_path) / request.node.name.split("[")[0]
    folder.mkdir(parents=True, exist_ok=True)
    return folder
