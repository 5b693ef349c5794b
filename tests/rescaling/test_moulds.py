"""Volumes of moulds by the rules of geometry, and moulds as the command and a sheet say them."""

import math
from pathlib import Path

import pytest

from sheetcheck.errors import SettingError
from sheetcheck.rescaling.mould_sheet import mould_sets
from sheetcheck.rescaling.mould_words import read_mould, read_moulds
from sheetcheck.rescaling.moulds import MouldSet
from sheetcheck.workbook.read import read_workbook
from tests.books import write_book
from workbook_templates.moulds_build import HEADINGS, HERE, stale


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("box 24x8x7 cm", 24 * 8 * 7),
        ("loaf 240 × 80 × 70 mm", 24 * 8 * 7),
        ("box 10x3.5x2.5 in", 10 * 3.5 * 2.5 * 16.387064),  # 1 in = 2.54 cm by definition
        ('slab 12 x 9 x 1.25" 24 bars', 12 * 9 * 1.25 * 16.387064),
        ("cylinder 7.5x30 cm", math.pi * 3.75**2 * 30),
        ("water 950 g", 950 / 0.9982),  # density of water at 20 °C, IAPWS-95
        ("water 2 lb 1 oz", 33 * 28.349523125 / 0.9982),
    ],
)
def test_volume(text: str, ml: float) -> None:
    assert read_mould(text, "here").ml == pytest.approx(ml, rel=1e-12)


def test_how_many_and_bars() -> None:
    moulds = read_moulds("2 box 24x8x7 cm + slab 30x20x3 cm 24 bars + 12 water 90 g", "here")
    assert [m.count for m in moulds.moulds] == [2, 1, 12]
    assert moulds.ml == pytest.approx(2 * 1344 + 1800 + 12 * 90 / 0.9982)
    assert moulds.bars == 0, "the boxes do not say how many bars are cut from them"
    assert read_moulds("2 slab 30x20x3 cm 24 bars", "here").bars == 48


@pytest.mark.parametrize(
    "text",
    ["", "box", "box 24x8 cm", "box 24x8x7", "pyramid 3x3x3 cm", "box 24x0x7 cm", "0 box 1x1x1 cm", "water lots",
     "cylinder 3x3x3 cm", "box 2.4.1x8x7 cm", "box 24x8x7 miles"],
)  # fmt: skip
def test_what_is_no_mould_shows_how_one_is_written(text: str) -> None:
    with pytest.raises(SettingError, match=r"box 24x8x7 cm|for example|1 or more"):
        read_moulds(text, "--to")


def sets(tmp_path: Path, rows: list[list[object]]) -> dict[str, MouldSet]:
    return mould_sets(read_workbook(write_book(tmp_path / "moulds.xlsx", {"Moulds": rows})))


def test_sheet_of_moulds(tmp_path: Path) -> None:
    found = sets(
        tmp_path,
        [
            ["My moulds"],
            list(HEADINGS),
            ["Loaves", "loaf", 10, 3.5, 2.5, None, "in", None, 2, 10, "all"],
            [],
            ["Market", "slab", 30, 22, "3", None, "cm", None, None, 24, "Quince; Damson"],
            [None, "cylinder", None, None, 25, 7.5, "cm", None, 2, 10, "Perry"],
            ["Shells", "water", None, None, None, None, None, "90 g", 12, 1],
        ],
    )
    assert list(found) == ["Loaves", "Market", "Shells"]
    assert found["Loaves"].ml == pytest.approx(2 * 87.5 * 16.387064)
    assert found["Market"].ml == pytest.approx(30 * 22 * 3 + 2 * math.pi * 3.75**2 * 25)
    assert found["Market"].bars == 44
    assert [found["Market"].takes(name) for name in ("quince", "Damson ", "Perry", "Russet")] == [
        True,
        True,
        True,
        False,
    ]
    assert found["Loaves"].takes("Russet")
    assert found["Shells"].bars == 12


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (["A", "loaf", 10, 3.5, None, None, "in"], "the height is missing"),
        (["A", "loaf", 10, 3.5, 2.5, None, None], "unit of the sizes"),
        (["A", "loaf", 10, 3.5, "deep", None, "in"], "E3.*plain number above zero"),
        (["A", "star", 10, 3.5, 2, None, "in"], "no shape of mould"),
        (["A", "water", None, None, None, None, None, None], "weight of the water"),
        (["A", "water", None, None, None, None, None, "a lot"], "is not a weight"),
        ([None, "loaf", 10, 3.5, 2.5, None, "in"], "has no name"),
    ],
)
def test_a_slip_on_the_sheet_is_named_by_its_place(tmp_path: Path, row: list[object], says: str) -> None:
    with pytest.raises(SettingError, match=f"Moulds.*row 3.*{says}"):
        sets(tmp_path, [[None], list(HEADINGS), row])


def test_a_sheet_without_headings_says_which_it_should_have(tmp_path: Path) -> None:
    with pytest.raises(SettingError, match="Fill height"):
        sets(tmp_path, [["loaf", 10, 3, 2]])


def test_templates_are_as_their_script_builds_them_and_can_be_read() -> None:
    assert stale(HERE) == []
    inches, centimetres = (mould_sets(read_workbook(HERE / f"moulds-{unit}.xlsx")) for unit in ("oz", "g"))
    assert list(inches) == list(centimetres)
    for name, found in inches.items():
        assert found.ml == pytest.approx(centimetres[name].ml, rel=0.1), "the same moulds, in round sizes of each unit"
