"""Rows read by a pattern give the cells that looking at each cell gives."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from raw_packages import sheet, write_package

from sheetcheck.errors import BookError
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.alike_rows import AlikeRows
from sheetcheck.workbook.grid import Grid

STRINGS = "<si><t>Olive</t></si><si><t/></si>"
PLAIN = (
    '<row r="{r}" spans="1:6"><c r="A{r}" t="s"><v>0</v></c><c r="B{r}" s="1"><v>{n}</v></c><c r="C{r}" s="2"/>'
    '<c r="D{r}" t="inlineStr"><is><t>text {n}</t></is></c><c r="E{r}"><v>-1.5E3</v></c>'
    '<c r="F{r}" t="n"><v>7</v></c></row>'
)
ROWS = {
    "alike": PLAIN,
    "another format": PLAIN.replace('s="1"', 's="2"'),
    "a cell less": PLAIN.replace('<c r="E{r}"><v>-1.5E3</v></c>', ""),
    "a formula": PLAIN.replace("<v>7</v>", "<f>B{r}*2</f><v>7</v>"),
    "hidden": PLAIN.replace(' spans="1:6"', ' hidden="1"'),
    "a blank text": PLAIN.replace("text {n}", ""),
    "a text that is not there": PLAIN.replace('t="s"><v>0<', 't="s"><v>9<'),
    "an empty shared text": PLAIN.replace('t="s"><v>0<', 't="s"><v>1<'),
    "no number": PLAIN.replace("-1.5E3", "1E999"),
    "signs": PLAIN.replace("text {n}", "salt &amp; oil"),
    "blank": '<row r="{r}" spans="1:6"/>',
    "another row's cells": PLAIN.replace('r="A{r}"', 'r="A2"'),
}


def read(path: Path, monkeypatch: pytest.MonkeyPatch, *, alike: bool) -> tuple[Grid, int]:
    """Read with the pattern or without; return also how many blocks of rows it took."""
    taken = 0
    take = AlikeRows.take

    def counted(self: AlikeRows, block: bytes) -> tuple[object, bytes]:
        nonlocal taken
        found, rest = take(self, block) if alike else (None, block)
        taken += found is not None
        return found, rest

    with monkeypatch.context() as patch:
        patch.setattr(AlikeRows, "take", counted)
        return read_workbook(path).grids[0], taken


def same(one: Grid, other: Grid) -> bool:
    arrays = ("row", "column", "kind", "number", "text", "style")
    equal = all(np.array_equal(getattr(one, name), getattr(other, name), equal_nan=name == "number") for name in arrays)
    return equal and dict(one.formulas) == dict(other.formulas) and one.hidden_rows == other.hidden_rows


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(kinds=st.lists(st.sampled_from(sorted(ROWS)), min_size=1, max_size=12), piece=st.integers(300, 2000))
def test_whatever_stands_between_alike_rows(
    kinds: list[str], piece: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sheetcheck.workbook.archive.CHUNK", piece)
    rows = [kind for kind in kinds for kind in ("alike", "alike", kind, "alike")]
    cells = "".join(ROWS[kind].format(r=number, n=number * 10) for number, kind in enumerate(rows, 1))
    path = write_package(tmp_path / "b.xlsx", sheet(cells), strings=STRINGS)
    try:
        expected, _ = read(path, monkeypatch, alike=False)
    except BookError:
        with pytest.raises(BookError):
            read(path, monkeypatch, alike=True)
        return
    assert same(read(path, monkeypatch, alike=True)[0], expected)


def test_a_table_is_read_by_its_pattern(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sheetcheck.workbook.archive.CHUNK", 4096)
    cells = "".join(PLAIN.format(r=number, n=number) for number in range(1, 201))
    path = write_package(tmp_path / "b.xlsx", sheet(cells), strings=STRINGS)
    grid, taken = read(path, monkeypatch, alike=True)
    assert taken > 3
    assert same(grid, read(path, monkeypatch, alike=False)[0])
    assert grid.number[grid.column == 2].tolist() == [float(number) for number in range(1, 201)]
    assert grid.text[grid.column == 4].tolist() == [f"text {number}" for number in range(1, 201)]
