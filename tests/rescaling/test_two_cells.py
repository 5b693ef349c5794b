"""Pounds in one column and ounces in the next are one amount."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rescaled_books import OUNCE

from sheetcheck.pipeline import audit, rescaled
from sheetcheck.rescaling.two_cells import in_one_cell
from tests.books import write_book

HEADINGS = [["Soap", "Olive oil", "", "Lard", "", "Lye", "", "Water", "", "Clay"], ["", *("lb", "oz") * 4, "oz"]]


def book(folder: Path, *rows: list[object]) -> Path:
    return write_book(folder / "book.xlsx", {"Soaps": [*HEADINGS, *rows]})


def test_two_cells_are_one_weight_in_her_unit(tmp_path: Path) -> None:
    path = book(
        tmp_path,
        ["Gable", 2, 3, 1, 8, None, 7.75, 1, 2, 0.6],
        ["Porch", 3, None, None, 12, None, 7.5, 1, 1, None],
        ["Sill", None, 12, None, 4, None, 2.1, None, 5, None],
    )
    done = rescaled(path, "x2")
    first = done.amounts[done.amounts["batch"] == 1].set_index("name")["shown"]
    assert first[["Olive oil", "Lard", "Water", "Clay"]].tolist() == pytest.approx([70, 48, first["Water"], 1.2])
    assert done.recipes["weigh_unit"].tolist() == ["lb oz"] * 3
    assert (done.lines.groupby(["recipe", "name"]).size() == 1).all()


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 5), st.integers(1, 15), st.integers(1, 5), st.integers(0, 15))
def test_nothing_is_gained_or_lost(olive_lb: int, olive_oz: int, lard_lb: int, lard_oz: int) -> None:
    row = ["Gable", olive_lb or None, olive_oz, lard_lb, lard_oz or None, None, 4, None, 12, None]
    with tempfile.TemporaryDirectory() as folder:
        components = audit(book(Path(folder), row)).book.components
    joined = in_one_cell(components)
    assert joined["grams"].sum() == pytest.approx(components["grams"].sum())
    weight = joined.set_index("name")["grams"] / OUNCE
    assert weight["Olive oil"] == pytest.approx(16 * olive_lb + olive_oz)
    assert weight["Lard"] == pytest.approx(16 * lard_lb + lard_oz)
    again = in_one_cell(joined)
    assert again.equals(joined)


def test_other_books_stay_as_they_are(root: Path) -> None:
    components = audit(root / "examples/clean_book/clean_book.xlsx").book.components
    assert in_one_cell(components) is components
