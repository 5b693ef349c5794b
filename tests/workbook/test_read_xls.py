"""Old binary workbooks, .xls; and one book saved in several formats by LibreOffice."""

import subprocess
from pathlib import Path

import numpy as np
import pytest
import xlsxwriter
from raw_xls import write_old_xls
from test_read_cells import holds

from sheetcheck.errors import DamagedBookError, NotAWorkbookError
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.grid import Grid


def test_xls_of_the_oldest_kind(tmp_path: Path) -> None:
    book = read_workbook(write_old_xls(tmp_path / "b.xls"))
    assert holds(book.grids[0]) == {"A1": "Lard", "B5": 80.5, "B6": ["ERROR", "#DIV/0!"]}
    assert book.notices == ("Formulas of an .xls file are not seen; the values last stored are used.",)


def test_xls_that_is_damaged_or_of_another_program(tmp_path: Path) -> None:
    path = write_old_xls(tmp_path / "b.xls")
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(DamagedBookError):
        read_workbook(path)
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4000))
    with pytest.raises((DamagedBookError, NotAWorkbookError)):
        read_workbook(path)


def rich_book(path: Path) -> Path:
    with xlsxwriter.Workbook(path) as book:
        written = book.add_worksheet("Recipes")
        ounces = book.add_format({"num_format": '0.00" oz"'})
        written.write_row("A1", ["Name", "Lard", "Lye", "Made"], book.add_format({"bold": True, "bg_color": "#FFCC00"}))
        written.write("A2", "Plain", book.add_format({"font_strikeout": True}))
        written.write("B2", 80.25, ounces)
        written.write_formula("C2", "=B2*2", ounces, 160.5)
        written.write("D2", 45352, book.add_format({"num_format": "yyyy-mm-dd"}))
        written.write("A3", True)
        written.write_formula("B3", "=1/0", None, "#DIV/0!")
        written.merge_range("A6:C6", "Goat's milk – ½")
        written.set_row(6, None, None, {"hidden": True})
        written.write("A7", "below")
        written.set_column("C:C", None, None, {"hidden": True})
        written.write_comment("B2", "old scale")
        book.add_worksheet("Old").hide()
    return path


def facts(grid: Grid) -> dict[str, object]:
    return {
        "cells": holds(grid),
        "styles": [
            str(grid.styles[i]).replace(r"\\-", "-") for i in grid.style.tolist()
        ],  # a point of spelling in .xls
        "merges": grid.merges,
        "hidden": (grid.hidden_rows, grid.hidden_columns, grid.hidden),
        "notes": {place: text.strip() for place, text in grid.notes.items()},
        "numbers": np.nan_to_num(grid.number, nan=-1).round(9).tolist(),
    }


@pytest.mark.parametrize("suffix", ["ods", "xls"])
def test_the_same_book_saved_by_libreoffice_reads_the_same(tmp_path: Path, soffice: str, suffix: str) -> None:
    source = rich_book(tmp_path / "book.xlsx")
    subprocess.run(
        [
            *(soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless"),
            *("--convert-to", suffix, "--outdir", str(tmp_path), str(source)),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    expected, found = read_workbook(source).grids, read_workbook(tmp_path / f"book.{suffix}").grids
    assert [grid.name for grid in found] == ["Recipes", "Old"]
    for one, other in zip(expected, found, strict=True):
        assert facts(one) == facts(other)
    if suffix == "ods":
        assert {**found[0].formulas, (3, 1): None} == {**expected[0].formulas, (3, 1): None}  # it writes TRUE as TRUE()
