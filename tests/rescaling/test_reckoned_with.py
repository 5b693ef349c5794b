"""What a book is reckoned with goes along: its rescaled recipes have the same superfat by themselves."""

from pathlib import Path

import pytest
from bar import SIZES, judge

from sheetcheck.pipeline import audit, rescale
from sheetcheck.settings import Settings
from tests.books import Rows, write_book

SOAPS: Rows = [
    ["Soap", "Olive oil (g)", "Coconut oil (g)", "NaOH (g)", "Water (g)"],
    ["Hall", 700, 300, 140, 330],
    ["Gate", 600, 400, 146, 340],
]
PASTES: Rows = [
    ["Soap", "Olive oil (g)", "Coconut oil (g)", "KOH (g)", "Water (g)", "Superfat %"],
    ["Yard", 700, 300, 230, 480, 5],
    ["Lane", 500, 500, 245, 480, 5],
]
VALUES: Rows = [["Fat", "Saponification value (mg KOH/g)"], ["Olive oil", 186], ["Coconut oil", 262]]
SCOOPS: Rows = [
    ["Soap", "Olive oil (g)", "Lard", "NaOH (g)", "Water (g)"],
    ["Stile", 700, "2 dipper", 146, 350],
    ["Croft", 600, "3 dipper", 159, 370],
]


@pytest.mark.parametrize(
    ("sheets", "settings"),
    [
        ({"Soaps": SOAPS, "Values": VALUES}, [["use_own_values", True]]),
        ({"Soaps": SOAPS}, [["naoh_purity", 97]]),
        ({"Pastes": PASTES}, [["koh_purity", 90]]),
        ({"Soaps": SCOOPS}, [["units.dipper", "205 g"]]),
    ],
    ids=["her own values", "soda that is not pure", "potash that is not pure", "a measure of her own"],
)
def test_a_second_audit_agrees(sheets: dict[str, Rows], settings: list[list[object]], tmp_path: Path) -> None:
    book = write_book(tmp_path / "book.xlsx", {**sheets, "Settings": [["Setting", "Value"], *settings]})
    verdict = judge(book, SIZES, {}, tmp_path)
    assert verdict.jobs == 2 * len(SIZES)
    assert verdict.wrong == []


def test_what_a_file_or_an_answer_says_goes_along_too(tmp_path: Path) -> None:
    rows = [[SOAPS[0][0], "The good stuff (g)", *SOAPS[0][2:]], *SOAPS[1:]]
    book = write_book(tmp_path / "book.xlsx", {"Soaps": rows})
    settings = Settings(names={"The good stuff": "olive oil"}, naoh_purity=98.0, only_sheets=("Soaps",))
    done, result = rescale(book, "x2", settings=settings)
    again = audit(result).recipes
    assert (again["verdict"] != "not checked").all()
    assert again["superfat_typical"].tolist() == pytest.approx(done.recipes["superfat_typical"].tolist(), abs=0.1)


def test_a_book_without_any_gets_no_such_sheets(tmp_path: Path) -> None:
    _, result = rescale(write_book(tmp_path / "book.xlsx", {"Soaps": SOAPS, "Values": VALUES}), "x2")
    assert not {"Settings", "Values"}.intersection(s.sheet for s in audit(result).book.sheets)
