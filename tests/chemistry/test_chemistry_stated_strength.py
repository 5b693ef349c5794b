"""The strength of a lye where a cell says it: in its name, its amount, a column, a remark; through whole workbooks."""

from collections.abc import Sequence
from pathlib import Path

import pandas as pd
import pytest
import xlsxwriter

import sheetcheck
from sheetcheck.model import Audit, Signal
from sheetcheck.pipeline import rescale

Rows = Sequence[Sequence[object]]
SOUND = pytest.approx(5.1, abs=0.1)  # superfat of 900 g of lard with 395 g of lye of 36 °Bé


def audited(folder: Path, rows: Rows) -> Audit:
    path = folder / "book.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Soaps")
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, ["" if cell is None else cell for cell in row])
    return sheetcheck.audit(path)


def superfats(audit: Audit) -> list[float]:
    return audit.recipes["superfat_typical"].tolist()


LISTS: dict[str, Rows] = {
    "a column of degrees": [
        ["Soap", "What goes in", "How much (g)", "°Bé"],
        ["One", "Lard", 900],
        [None, "Soda lye", 395, 36],
        [],
        ["Two", "Lard", 900],
        [None, "Lye", 395, 36],
    ],
    "a column of strengths": [
        ["Soap", "What goes in", "How much (g)", "Strength"],
        ["One", "Lard", 900],
        [None, "Soda lye", 395, "36 °Bé"],
        [],
        ["Two", "Lard", 900],
        [None, "Lye", 395, "sp. gr. 1.330"],
    ],
    "within the amount": [
        ["Soap", "What goes in", "How much"],
        ["One", "Lard", "900 g"],
        [None, "Soda lye", "395 g of 36 °Bé"],
        [],
        ["Two", "Lard", "900 g"],
        [None, "Lye", "395 g 66 °Tw"],
    ],
    "within the name": [
        ["Soap", "What goes in", "How much (g)"],
        ["One", "Lard", 900],
        [None, "Lye, sp. gr. 1.33 at 60 °F", 395],
        [],
        ["Two", "Lard", 900],
        [None, "Lye 36 °Bé", 395],
    ],
    "across": [
        ["Soap", "Lard (g)", "Soda lye (g)", "°Bé", "Superfat %"],
        ["One", 900, 395, 36, 5],
        ["Two", 800, 351, 36, 5],
    ],
}


@pytest.mark.parametrize("rows", LISTS.values(), ids=LISTS)
def test_lye_by_the_hydrometer_wherever_it_is_said(rows: Rows, tmp_path: Path) -> None:
    audit = audited(tmp_path, rows)
    assert superfats(audit) == [SOUND, SOUND]
    assert set(audit.recipes["verdict"]) == {"fine"}
    assert audit.recipes["lye_concentration"].tolist() == [pytest.approx(30.2, abs=0.2)] * 2


def test_a_column_of_purities(tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "Olive oil (g)", "KOH (g)", "KOH purity %", "Water (g)"],
        ["One", 900, 185, 90, 420],
        ["Two", 900, 185, None, 420],
    ])  # fmt: skip
    assert superfats(audit)[0] == pytest.approx(2.6, abs=0.1)
    assert audit.recipes["verdict"].tolist() == ["fine", "not checked"]


def test_the_purity_of_one_alkali_is_not_that_of_the_other(tmp_path: Path) -> None:
    rows = [
        ["Soap", "Olive oil (g)", "NaOH (g)", "KOH (g)", "KOH purity %", "Water (g)"],
        ["One", 900, 60, 92, 90, 420],
        ["Two", 900, 60, 92, 90, 420],
    ]
    audit = audited(tmp_path, rows)
    lye = audit.book.components.set_index("substance")["strength"]
    assert lye["potassium hydroxide"].tolist() == [0.9, 0.9]
    assert lye["sodium hydroxide"].isna().all()
    assert audit.recipes["alkali"].tolist() == ["mixed", "mixed"]


@pytest.mark.parametrize("beside", [33, 0.33, 50])
def test_a_percentage_that_may_be_the_share_in_the_lye_makes_no_lye_weaker(beside: float, tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "What goes in", "How much (g)", "Strength"],
        ["Burns", "Lard", 900],
        [None, "Water", 300],
        [None, "Lye", 150, beside],
    ])  # fmt: skip
    assert audit.recipes["signal"].tolist() == ["DANGER"]


@pytest.mark.parametrize("remark", ["36 °Bé", "the lye came to 36 °Bé"])
def test_a_remark_counts_for_a_solution_and_makes_no_dry_lye_weaker(remark: str, tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "What goes in", "How much (g)", "Notes"],
        ["Solution", "Lard", 900, remark],
        [None, "Soda lye", 395],
        [],
        ["Dry", "Lard", 900, remark],
        [None, "Lye", 395],
    ])  # fmt: skip
    assert superfats(audit)[0] == SOUND
    assert audit.recipes["signal"].tolist()[1] == "DANGER"


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Soda lye 60 °Bé", "60 °Bé is above 50"),
        ("Soda lye 36 °Bé or 40 °Bé", "it says two strengths"),
        ("Lye 2 °Bé", "weaker than 5 %"),
        ("Lye sp. gr. 1.33 at 60 °C", "60 °C is above 40"),
    ],
)
def test_a_strength_that_cannot_be_is_refused_with_the_reason(name: str, says: str, tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "What goes in", "How much (g)"],
        ["One", "Lard", 900],
        [None, name, 395],
        [],
        ["Usual", "Lard", 900],
        [None, "Water", 280],
        [None, "Lye", 119],
    ])  # fmt: skip
    assert audit.recipes["verdict"].tolist() == ["not checked", "fine"]
    assert any(says in f.message for f in audit.findings if f.signal is Signal.CAUTION)


def test_words_that_only_look_like_degrees(tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "What goes in", "How much (g)"],
        ["One", "Lard", 900],
        [None, "Water", 280],
        [None, "Lye, 12 be careful", 119],
    ])  # fmt: skip
    assert superfats(audit) == [pytest.approx(5.4, abs=0.1)]


def test_two_statements_about_one_lye_are_no_strength(tmp_path: Path) -> None:
    audit = audited(tmp_path, [
        ["Soap", "Lard (g)", "Soda lye (g)", "°Bé", "Strength %"],
        ["One", 900, 395, 36, 20],
    ])  # fmt: skip
    assert audit.recipes["verdict"].tolist() == ["not checked"]
    assert pd.isna(superfats(audit)[0])


def test_a_strength_said_elsewhere_goes_into_the_name_so_that_no_weigh_sheet_shows_it_as_dry_lye(
    tmp_path: Path,
) -> None:
    names = [
        audited(tmp_path, rows).book.components.query("role == 'alkali'")["name"].tolist()
        for rows in (LISTS["a column of degrees"], LISTS["a column of strengths"], LISTS["within the amount"])
    ]
    assert names == [
        ["Soda lye 36 °Bé", "Lye 36 °Bé"],
        ["Soda lye 36 °Bé", "Lye sp. gr. 1.33"],
        ["Soda lye 36 °Bé", "Lye 66 °Tw"],
    ]


def test_a_rescaled_book_keeps_the_strength(tmp_path: Path) -> None:
    audited(tmp_path, LISTS["a column of degrees"])
    rescale(tmp_path / "book.xlsx", ("x2",), tmp_path / "twice.xlsx")
    again = sheetcheck.audit(tmp_path / "twice.xlsx")
    assert superfats(again) == [SOUND, SOUND]
    assert set(again.recipes["verdict"]) == {"fine"}
