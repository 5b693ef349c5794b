"""Volumes of moulds by the rules of geometry, and moulds as the command and a sheet say them."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.errors import SettingError
from sheetcheck.rescaling.mould_sheet import mould_sets
from sheetcheck.rescaling.mould_words import read_mould, read_moulds
from sheetcheck.rescaling.moulds import Mould, MouldSet, pours
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
        ("24 x 8 x 7 cm", 24 * 8 * 7),
        ("10 x 3½ x 2½ in", 10 * 3.5 * 2.5 * 16.387064),
        ('10" x 3 1/2" x 2 1/2"', 10 * 3.5 * 2.5 * 16.387064),
        ("10 in long, 3.5 in wide, 2.5 in high", 10 * 3.5 * 2.5 * 16.387064),
        ("7.5 cm diameter x 30 cm high", math.pi * 3.75**2 * 30),
        ("30 cm high, 7.5 cm across", math.pi * 3.75**2 * 30),
        ("ø 7½ cm × 30 cm", math.pi * 3.75**2 * 30),
        ("1.5 L", 1500),
        ("950 ml", 950),
        ("loaf 1 qt", 946.352946),  # US liquid quart, NIST Handbook 44, Appendix C
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
    assert read_mould("2 x 24 x 8 x 7 cm", "here").count == 2
    assert read_mould("3 moulds 1.5 L", "here").count == 3


def test_a_mould_known_by_the_fats_that_fill_it() -> None:
    mould = read_mould("2 holds 60 oz of fats", "here")
    assert (mould.count, mould.fats_g) == (2, pytest.approx(60 * 28.349523125))
    assert math.isnan(mould.ml)


@given(
    ml=st.floats(200, 4000), fats=st.floats(200, 4000), counts=st.tuples(st.integers(1, 5), st.integers(1, 5)),
    grams=st.floats(500, 20000), made=st.floats(0.9, 1), mixed=st.booleans(),
)  # fmt: skip
def test_what_is_poured_adds_up_and_fills_alike(
    ml: float,
    fats: float,
    counts: tuple[int, int],
    grams: float,
    made: float,
    mixed: bool,  # noqa: FBT001 - given
) -> None:
    second = Mould("b", fats_g=fats, count=counts[1]) if mixed else Mould("b", 0.5 * ml, count=counts[1])
    both = MouldSet("Both", (Mould("a", ml, count=counts[0], height=7.0, unit="cm"), second))
    batter, in_fats = grams / 1.03, 0.65 * grams
    poured = pours(both, grams, batter, in_fats, made)
    assert sum(p.grams * p.mould.count for p in poured) == pytest.approx(grams * made)
    assert poured[0].fill == pytest.approx(poured[1].fill)
    assert poured[0].stands == pytest.approx(7.0 * poured[0].fill / 100)
    assert poured[0].ml == pytest.approx(ml * poured[0].fill / 100)
    full = float(both.full(batter / in_fats, made))
    assert batter / full == pytest.approx(poured[0].fill / 100)


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
            ["Loaves", "loaf", 10, 3.5, 2.5, None, "in", None, None, 2, 10, "all"],
            [],
            ["Market", "slab", 30, 22, "3", None, "cm", None, None, None, 24, "Quince; Damson"],
            [None, "cylinder", None, None, 25, 7.5, "cm", None, None, 2, 10, "Perry"],
            ["Shells", "water", None, None, None, None, None, "90 g", None, 12, 1],
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


OWN_LISTS: dict[str, list[list[object]]] = {
    "sizes in columns, unit in the headings": [
        ["Mould", "Length (cm)", "Width (cm)", "Depth (cm)", "How many"],
        ["Big loaf", 24, 8, 7, 2],
        ["the blue one", 24, "8", 7, None],
        ["bought in May", None, None, None, None],
    ],
    "one cell": [["Our moulds"], ["Big loaf", "2 loaf 24 x 8 x 7 cm"], ["the blue one", "24x8x7 cm"], ["wash them!"]],
    "what they hold": [["Mould", "Holds"], ["Big loaf", "2 x 1344 ml"], ["the blue one", "1.344 L"]],
    "sizes in a column": [
        ["Mould", "Size", "Qty"],
        ["Big loaf", "24 x 8 x 7 cm", 2],
        ["the blue one", "24 x 8 x 7 cm", 1],
    ],
}


@pytest.mark.parametrize("rows", OWN_LISTS.values(), ids=OWN_LISTS)
@pytest.mark.parametrize("name", ["Moulds", "my molds", "Formen"])
def test_a_list_of_moulds_as_the_maker_keeps_it(tmp_path: Path, rows: list[list[object]], name: str) -> None:
    found = mould_sets(read_workbook(write_book(tmp_path / "book.xlsx", {"Soaps": [["Soap"]], name: rows})))
    assert list(found) == ["Big loaf", "the blue one"]
    assert [moulds.ml for moulds in found.values()] == pytest.approx([2 * 1344, 1344])


def test_a_list_by_the_fats_that_fill_a_mould(tmp_path: Path) -> None:
    rows = [["Mould", "Fats it takes (oz)", "Bars"], ["Loaf", 60, 10], ["Round", "2 lb 3 oz", 6]]
    found = sets(tmp_path, rows)
    assert [m.moulds[0].fats_g for m in found.values()] == pytest.approx([60 * 28.349523125, 35 * 28.349523125])
    assert found["Loaf"].bars == 10


def test_the_blank_list_has_no_mould_that_could_be_taken_for_hers() -> None:
    assert stale(HERE) == []
    for unit in ("oz", "g"):
        assert mould_sets(read_workbook(HERE / f"moulds-{unit}.xlsx")) == {}
