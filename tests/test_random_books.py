"""Books with anything in their cells: each is audited whole, nothing fails, and nothing amiss is called fine."""

import math
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetcheck.pipeline import check
from tests.books import write_book

HEADINGS = ("Recipe", "Lard (g)", "Olive oil (g)", "Water (g)", "Lye (g)", "Superfat %", "Note")
SOUND = ("", 600.0, 400.0, 280.0, 131.0, 5.0, "")
AMOUNTS = st.one_of(
    st.floats(-1e300, 1e300),
    st.floats(1e-300, 1e3),
    st.sampled_from([0, -0.0, 5e-324, 1e300, -1e300, 1e-300, 1e15, 131, -131, 0.5]),
)
CELLS = st.one_of(
    AMOUNTS,
    AMOUNTS.map(str),
    st.sampled_from(["NaN", "inf", "-inf", "1e400", "", None, True, "#DIV/0!", "=1/0", "-3 g", "1e300 oz", "½", "١٢٣"]),
    st.sampled_from(["x" * 32_767, "9" * 400, "-" * 1000, "1 " * 5000, "(" * 2000, "lard, " * 3000]),
    st.text(max_size=20),
)


@st.composite
def books(draw: st.DrawFn) -> list[list[object]]:
    """Sound recipes, of which some cells hold something else."""
    rows: list[list[object]] = [list(HEADINGS)]
    for number in range(draw(st.integers(1, 8))):
        row: list[object] = [f"Soap {number}", *SOUND[1:]]
        for column in draw(st.sets(st.integers(0, 6), max_size=3)):
            row[column] = draw(CELLS)
        rows.append(row)
    return rows


@settings(max_examples=40, deadline=None)
@given(books())
def test_any_content_is_audited_and_nothing_fails(
    tmp_path_factory: pytest.TempPathFactory, rows: list[list[object]]
) -> None:
    folder = tmp_path_factory.mktemp("random")
    filler = [[f"Sound {n}", *SOUND[1:]] for n in range(3)]
    book = write_book(folder / "book.xlsx", {"Recipes": [*rows, *filler]})
    done = check(book, report=str(folder / "report.json"))
    assert done.audit.faults == ()
    assert done.audit.missing == ()
    _nothing_calm_without_ground(done.audit.recipes)


def _nothing_calm_without_ground(recipes: pd.DataFrame) -> None:
    fine = recipes[recipes["verdict"] == "fine"]
    assert fine["superfat_typical"].between(0, 100).all()


@pytest.mark.parametrize("value", [-600, -1, 0, 1e-300, 1e300, -1e300, "NaN", "-1e400"])
@pytest.mark.parametrize("column", [1, 2, 4])
def test_one_such_amount_costs_its_recipe_alone(tmp_path: Path, value: object, column: int) -> None:
    """One negative amount of a fat once ended the whole audit."""
    amiss: list[object] = ["Amiss", *SOUND[1:]]
    amiss[column] = value
    sound = [[f"Sound {n}", 600 * n, 400 * n, 280 * n, 131 * n, 5, ""] for n in range(1, 6)]
    done = check(write_book(tmp_path / "b.xlsx", {"Recipes": [list(HEADINGS), amiss, *sound]}))
    verdicts = done.audit.recipes["verdict"].tolist()
    assert verdicts[0] in ("not checked", "flagged")
    assert verdicts[1:] == ["fine"] * 5
    assert not math.isinf(done.audit.recipes["superfat_typical"].abs().max())
    assert done.audit.faults == ()
