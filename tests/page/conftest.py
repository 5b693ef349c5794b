"""Fixtures of the tests of the page: a server, and where photographs go."""

import os
from collections.abc import Iterator
from pathlib import Path

import platformdirs
import pytest

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


@pytest.fixture
def pictures(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Where photographs go: a folder named in SHEETCHECK_PICTURES, else one that is thrown away."""
    folder = Path(os.environ.get("SHEETCHECK_PICTURES") or tmp_path) / request.node.name.split("[")[0]
    folder.mkdir(parents=True, exist_ok=True)
    return folder
