"""The bar that judges rescaled books from the outside, over books of every shape and unit."""

from pathlib import Path

import pytest
from bar import SCALES, SIZES, judge
from rescaled_books import shapes_book

from tests.books import write_book

SOFT = [
    ["Soap", "Tallow (g)", "Coconut oil (g)", "NaOH (g)", "KOH 90 % (g)", "Water (g)", "Superfat %"],
    ["Shave", 600, 400, 60, 117, 420, 5],
    ["Paste", 500, 500, None, 238, 480, 5],
    ["Bar", 700, 300, 145, None, 330, 5],
]
POUNDS = [
    ["Soap", "Olive oil", "Lard", "Lye", "Water"],
    ["Gable", "2 lb 3 oz", "1 ½ lb", "7 ¾ oz", "1 lb 2 oz"],
    ["Porch", "3 lb", "12 oz", "7 ½ oz", "1 lb 1 oz"],
]
TWO_CELLS = [
    ["Soap", "Olive oil", "", "Lard", "", "Lye", "", "Water", "", "Clay"],
    ["", *("lb", "oz") * 4, "oz"],
    ["Gable", 2, 3, 1, 8, None, 7.75, 1, 2, 0.6],
    ["Porch", 3, None, None, 12, None, 7.5, 1, 1, None],
]
SHORT = [
    ["Soap", "OO (oz)", "CO (oz)", "NaOH (oz)", "Water (oz)"],
    ["Gate", 24, 8, 4.4, 10],
    ["Stile", 20, 12, 4.6, 10],
]
KEY = [["Key"], ["OO = olive oil"], ["CO = coconut oil"]]
DECIMAL_POUNDS = [["Soap", "Lard (lb)", "Coconut oil (lb)", "Lye (lb)", "Water (lb)"], ["Barn", 2.5, 0.75, 0.46, 1.1]]


def a_book(kind: str, folder: Path, root: Path) -> Path:
    made = {
        "soft": {"Soaps": SOFT},
        "pounds and ounces": {"Soaps": POUNDS},
        "two cells": {"Soaps": TWO_CELLS},
        "short forms": {"Soaps": SHORT, "Key": KEY},
        "pounds": {"Soaps": DECIMAL_POUNDS},
    }
    if kind == "shapes":
        return shapes_book(folder / "book.xlsx")
    return write_book(folder / "book.xlsx", made[kind]) if kind in made else root / "examples" / kind


SOME_SIZES = dict(zip(SCALES, (SIZES[4:], SIZES[1:2], SIZES[3:4]), strict=True))  # of books with many recipes


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize(
    "kind",
    [
        "soft", "pounds and ounces", "two cells", "short forms", "pounds", "shapes", "clean_book/clean_book.xlsx",
        "rescale/orchard_book.xlsx", "shore_book/shore_book.xlsx", "whole_chemistry/mill_book.xlsx",
    ],
)  # fmt: skip
def test_the_bar(kind: str, scale: str, tmp_path: Path, root: Path) -> None:
    sizes = SOME_SIZES[scale] if "/" in kind else SIZES
    verdict = judge(a_book(kind, tmp_path, root), sizes, {"scale": scale}, tmp_path)
    assert verdict.jobs
    assert verdict.wrong == []


def test_the_bar_sees_what_is_wrong(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sheetcheck.rescaling.rounding._lye_share", lambda done, _: 1.1 + 0 * done["fat_g"])
    verdict = judge(write_book(tmp_path / "book.xlsx", {"Soaps": SOFT}), ["x2"], {}, tmp_path)
    assert any("became" in text for text in verdict.wrong) or verdict.left_out
