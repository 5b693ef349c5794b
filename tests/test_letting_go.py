"""A large book must not stand in memory twice: its cells are gone when frames are made of what they say."""

from __future__ import annotations

import gc
import weakref
from pathlib import Path

import pytest

from sheetcheck import pipeline
from sheetcheck.model import Book
from sheetcheck.reading.book import Gathered
from sheetcheck.settings import Settings
from sheetcheck.workbook.grid import Grid, Workbook


@pytest.mark.parametrize("example", ["shore_book", "clean_book"])
def test_nothing_holds_the_cells_once_they_are_read(example: str, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    grids: list[weakref.ref[Grid]] = []
    gather, make_book = pipeline.gather, Gathered.book

    def noting(workbook: Workbook, settings: Settings, *, weighed: bool) -> Gathered:
        grids.extend(weakref.ref(grid) for grid in workbook.grids)
        return gather(workbook, settings, weighed=weighed)

    def checking(self: Gathered) -> Book:
        assert [grid() for grid in grids] == [None] * len(grids)
        return make_book(self)

    monkeypatch.setattr(pipeline, "gather", noting)
    monkeypatch.setattr(Gathered, "book", checking)
    gc.disable()  # nothing may wait for unreachable circles to be found
    try:
        pipeline.understand(root / "examples" / example / f"{example}.xlsx")
    finally:
        gc.enable()
    assert grids
