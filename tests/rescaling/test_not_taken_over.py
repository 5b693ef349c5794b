"""What of her book is not in the rescaled one as it is in hers is said: in the terminal, and on “Please note”."""

from pathlib import Path

import openpyxl
import pytest
from test_rescale_command import run

from sheetcheck.pipeline import audit, rescale
from sheetcheck.rescaling.not_taken_over import as_written, in_another_shape, not_read
from tests.books import Rows, write_book

READ = [
    ["Castle: 24 oz olive oil, 8 oz coconut oil, 4.4 oz lye, 11 oz water. Stir until it traces."],
    ["Wall: 32 oz tallow; 4.2 oz lye; 10 oz water; 1 tbsp honey"],
]
UNREAD = ["Gate: 4.75 oz lye and 11 oz water to whatever fat is left"]


@pytest.fixture
def one_cell(tmp_path: Path) -> Path:
    return write_book(tmp_path / "book.xlsx", {"Soaps": [*READ, UNREAD]})


def said_on(result: Path, sheet: str = "Please note") -> str:
    rows = openpyxl.load_workbook(result)[sheet].iter_rows(values_only=True)
    return " ".join(str(cell) for row in rows for cell in row if cell is not None)


def test_a_recipe_in_one_cell_becomes_a_card_and_that_is_said(one_cell: Path) -> None:
    done, result = rescale(one_cell, ["x2", "x0.5"])
    again = audit(result).recipes
    assert again["layout"].unique().tolist() == ["cards"]
    assert again["superfat_typical"].tolist() == pytest.approx(done.recipes["superfat_typical"].tolist(), abs=0.1)
    assert [sheet for sheet, _ in in_another_shape(done)] == ["Soaps"]
    assert "one cell in your book, and is a card here" in said_on(result)


def test_no_word_of_it_is_lost(one_cell: Path) -> None:
    done, result = rescale(one_cell, ["x2", "x0.5"])
    assert as_written(done) == [("Castle", READ[0][0]), ("Wall", READ[1][0])]
    notes = said_on(result)
    assert all(cell in notes for (cell,) in READ)
    assert not any("Stir until it traces" in said_on(result, name) for name in ("Overview", "Soaps"))


def test_what_was_not_read_is_no_recipe_in_silence(one_cell: Path, tmp_path: Path) -> None:
    done, result = rescale(one_cell, "x2")
    named = set(audit(one_cell).recipes["name"])
    assert len(named) + len(not_read(done, among_recipes=True)) == len([*READ, UNREAD]), "each is made or told of"
    assert UNREAD[0] in said_on(result)
    told = run(str(one_cell), "--to", "x2", "--out", "out.xlsx", folder=tmp_path)
    assert told.returncode == 1
    assert "Soaps!A3" in told.stdout
    assert "1 place in your book that was not read" in told.stdout
    assert "nothing left out" not in told.stdout


def test_sheets_of_something_else_stand_in_the_notes_alone(tmp_path: Path) -> None:
    log: Rows = [["Market days"], ["June 4", 12], ["June 11", 9]]
    book = write_book(tmp_path / "book.xlsx", {"Soaps": READ, "Log": log})
    done, result = rescale(book, "x2")
    assert not_read(done, among_recipes=True) == []
    assert "Log!A1" in said_on(result)


def test_a_sheet_for_each_recipe_becomes_cards_on_one(tmp_path: Path) -> None:
    def soap(name: str, olive: float, coconut: float, lye: float) -> Rows:
        lines = ("Olive oil", olive), ("Coconut oil", coconut), ("Lye", lye), ("Water", 10.5)
        return [[name], *([what, f"{much} oz"] for what, much in lines)]

    sheets = {"Moss": soap("Moss", 24, 8, 4.46), "Fern": soap("Fern", 20, 12, 4.67)}
    done, result = rescale(write_book(tmp_path / "book.xlsx", sheets), "x2")
    ((names, _),) = in_another_shape(done)
    assert {"Moss", "Fern"} <= set(names.replace(" and", ",").split(", "))
    assert audit(result).recipes["name"].tolist() == ["Moss (×2)", "Fern (×2)"]


def test_rows_say_nothing_of_the_kind(tmp_path: Path) -> None:
    rows = [["Soap", "Lard (oz)", "Lye (oz)", "Water (oz)"], ["Sound", 32, 4.2, 9.5]]
    done, _ = rescale(write_book(tmp_path / "book.xlsx", {"Soaps": rows}), "x2")
    assert not in_another_shape(done)
    assert not as_written(done)
    assert not not_read(done)
