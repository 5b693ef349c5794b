"""Excel by a stand-in, and a recipe book with a little of everything."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

os.environ.pop("XLWINGS_LICENSE_KEY", None)  # the tests stand on the part under the BSD licence

import xlwings as xw

from tests.plugins.excel.stand_in import StandIn
from tests.plugins.recipe_book import make_book


@contextmanager
def activated(engine: Any) -> Iterator[None]:
    """Let xlwings use an engine within the block."""
    before = xw.engines.active
    xw.engines.add(xw.Engine(impl=engine))
    xw.engines[engine.name].activate()
    try:
        yield
    finally:
        xw.engines.active = before
        xw.engines.engines = [one for one in xw.engines.engines if one.impl is not engine]
        xw.engines.engines_by_name.pop(engine.name, None)
        if hasattr(xw.Book, "_mock_caller"):
            del xw.Book._mock_caller


@pytest.fixture
def book_file(tmp_path: Path) -> Path:
    folder = tmp_path / "kitchen"
    folder.mkdir()
    return make_book(folder / "recipes.xlsx")


@pytest.fixture(params=["windows", "mac"])
def excel(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[StandIn]:
    for folder in ("documents", "data"):
        (tmp_path / folder).mkdir()
    monkeypatch.setattr("platformdirs.user_documents_dir", lambda: str(tmp_path / "documents"))
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "data")
    engine = StandIn(request.param)
    with activated(engine):
        yield engine
