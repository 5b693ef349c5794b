"""Tables that are no soap books: substances, pipes, sieves. Nothing crashes, and no recipe is found.

They are the open data that packages of the test environment bring along: `chemicals` and `fluids`, tables of physical
properties with their sources. Many of them name fats, lye and water beside numbers.
"""

from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
import xlsxwriter

import sheetcheck
from sheetcheck.errors import NoRecipeError
from sheetcheck.pipeline import understand
from sheetcheck.workbook.read import read_workbook

LARGEST = 30_000  # bytes: larger tables say the same for longer
SHEETS_IN_A_BOOK = 8


def _tables() -> list[Path]:
    folders = [Path(str(files(package))) for package in ("chemicals", "fluids")]
    found = [p for folder in folders for p in sorted(folder.rglob("*")) if p.suffix in (".csv", ".tsv")]
    return [p for p in found if 200 < p.stat().st_size <= LARGEST and _is_text(p)]


def _is_text(path: Path) -> bool:
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return False
    return all(character.isprintable() or character in "\t\n" for character in text)


TABLES = _tables()


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.stem)
def test_a_table_of_something_else_holds_no_recipe(path: Path) -> None:
    book = understand(path)
    assert book.recipes.empty
    assert {s.layout for s in book.sheets} == {"no recipe"}
    assert all(s.evidence for s in book.sheets)


@pytest.mark.parametrize("start", range(0, len(TABLES), SHEETS_IN_A_BOOK))
def test_a_workbook_of_such_tables_says_that_it_has_no_recipe(start: int, tmp_path: Path) -> None:
    target = tmp_path / "tables.xlsx"
    with xlsxwriter.Workbook(str(target), {"nan_inf_to_errors": True}) as workbook:
        for path in TABLES[start : start + SHEETS_IN_A_BOOK]:
            sheet = workbook.add_worksheet()
            grid = read_workbook(path).grids[0]
            for i in range(len(grid.row)):
                value = grid.number[i] if np.isfinite(grid.number[i]) else str(grid.text[i])
                sheet.write(int(grid.row[i]) - 1, int(grid.column[i]) - 1, value)
    with pytest.raises(NoRecipeError):
        sheetcheck.audit(target)


def test_there_are_enough_tables_and_they_are_hard() -> None:
    assert len(TABLES) >= 20
    texts = [p.read_text(encoding="utf-8").lower() for p in TABLES]
    assert sum("sodium hydroxide" in text or "water" in text for text in texts) >= 5
    assert sum("oleic acid" in text or "glycerol" in text or "oil" in text for text in texts) >= 5
