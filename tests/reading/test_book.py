"""What holds for every book: columns and types of the frames, settings, and what is listed as not understood."""

import math
from pathlib import Path

import numpy as np
import pytest
from book_files import FOLDER, load, parse

from sheetcheck.errors import SettingError
from sheetcheck.model import COMPONENT_COLUMNS, RECIPE_READ_COLUMNS, STATEMENT_COLUMNS, Book
from sheetcheck.reading.book import read_book
from sheetcheck.reading.settings_sheet import find, with_own_settings
from sheetcheck.reading.statements import superfat_said
from sheetcheck.settings import Settings

TABLE = """== Recipes
Soap | Olive | Fett X | Lye | Water | Wash
Plain | 700 | 300 | 141 | 300 | 5
"""


def book_of(text: str, settings: Settings | None = None) -> Book:
    return read_book(parse(text).workbook, settings or Settings())


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_frames_keep_to_the_contract(path: Path) -> None:
    book = read_book(load(path).workbook, Settings())
    for frame, columns in (
        (book.components, COMPONENT_COLUMNS),
        (book.statements, STATEMENT_COLUMNS),
        (book.recipes, RECIPE_READ_COLUMNS),
    ):
        assert {name: str(dtype) for name, dtype in frame.dtypes.items()} == dict(columns)
    assert book.recipes.index.tolist() == list(range(1, len(book.recipes) + 1))
    assert set(book.components["recipe"]) <= set(book.recipes.index)
    order = book.components[["recipe", "row", "column"]].to_records(index=False).tolist()
    assert order == sorted(order)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda p: p.stem)
def test_what_has_no_grams_has_a_reason_and_is_listed(path: Path) -> None:
    book = read_book(load(path).workbook, Settings())
    bearing = book.components[book.components["bears"]]
    assert (bearing["grams"].isna() == bearing["problem"].notna()).all()
    listed = {(n.sheet, n.cell) for n in book.not_understood}
    unread = book.components[book.components["problem"].notna()]
    assert len(listed) >= unread.groupby(["sheet", "row", "column"]).ngroups
    assert book.recipes["unread"].sum() == bearing["grams"].isna().sum()


def test_an_empty_workbook_gives_empty_frames() -> None:
    book = book_of("== Blank\n")
    assert book.recipes.empty
    assert list(book.components.columns) == list(COMPONENT_COLUMNS)
    assert book.sheets[0].layout == "no recipe"


@pytest.mark.parametrize("names", [["Goat milk (1)", "Goat milk (2)"], ["Lard", "Goat milk", "Olive oil", "Water"]])
def test_recipes_that_are_all_called_after_what_is_in_them(names: list[str]) -> None:
    rows = "".join(f"{name} {n} | 700 | 300 | 140 | 320\n" for n in range(3) for name in names)
    book = book_of(f"== Recipes\nSoap | Olive oil (g) | Coconut oil (g) | NaOH (g) | Water (g)\n{rows}")
    assert set(book.recipes["layout"]) == {"one recipe per row"}
    assert len(book.recipes) == 3 * len(names)


def test_the_unit_set_wins_over_the_size_of_the_amounts() -> None:
    book = book_of(TABLE, Settings(default_unit="oz"))
    assert set(book.components["unit"]) == {"oz"}
    assert set(book.components["unit_from"]) == {"setting"}


def test_a_unit_worked_out_is_said() -> None:
    book = book_of(TABLE)
    assert set(book.components["unit"]) == {"g"}
    assert any("no unit stands there" in said for said in book.sheets[0].evidence)


def test_the_maker_s_own_name_of_a_fat_is_used() -> None:
    book = book_of(TABLE, Settings(names={"Fett X": "lard"}))
    assert "lard" in set(book.components["substance"])


def test_roles_can_be_set() -> None:
    book = book_of(TABLE, Settings(roles={"Recipes!C": "tallow", "Recipes!F": "superfat"}))
    assert book.components.loc[book.components["column"] == 3, "substance"].tolist() == ["tallow"]
    assert book.recipes.loc[1, "stated_superfat"] == 5


def test_columns_and_sheets_can_be_left_out() -> None:
    assert 3 not in set(book_of(TABLE, Settings(leave_out_columns=("Recipes!C",))).components["column"])
    left = book_of(TABLE, Settings(leave_out_sheets=("Recipes",)))
    assert left.recipes.empty
    assert left.sheets[0].evidence == ("left out in the settings",)
    assert book_of(TABLE, Settings(only_sheets=("Other",))).recipes.empty


def test_units_that_contradict_each_other_are_kept() -> None:
    book = book_of("""== Recipes
Soap | Olive (oz) | Lard (oz) | Lye (oz) | Water (oz)
Plain | 40 | 40 | 3.3 g | 24 {0.0" g"}
Other | 40 | 40 | 10.86 | 1 lb 8 oz
""")
    said = book.components.set_index(["row", "column"])["units_said"]
    assert said[2, 4] == (("cell text", "g"), ("heading", "oz"))
    assert said[2, 5] == (("number format", "g"), ("heading", "oz"))
    assert said[3, 5] is None  # "1 lb 8 oz" says itself what it is
    assert book.components.set_index(["row", "column"]).loc[(2, 4), "grams"] == pytest.approx(3.3)


def test_an_amount_with_two_readings_keeps_both_where_the_book_does_not_tell() -> None:
    book = book_of(
        """== Recipes
Soap | Olive | Lye | Water
Plain | 1.250 g | 170 g | 400 g
""".replace("1.250", "'1.250")
    )
    line = book.components[book.components["column"] == 2].iloc[0]
    assert {round(line["grams"], 2), round(line["other_grams"], 2)} == {1.25, 1250}


def test_a_statement_with_two_readings_keeps_both() -> None:
    book = book_of("""== Recipes
Soap | Olive (g) | Lye (g) | Water (g) | Superfat
Bare | 1000 | 128 | 300 | 0.05
Shown | 1000 | 128 | 300 | 0.05 {0%}
Text | 1000 | 128 | 300 | '5 %
Between | 1000 | 128 | 300 | '0-1 %
""")
    stated = book.recipes[["stated_superfat", "stated_superfat_other"]].to_numpy()
    assert stated[0].tolist() == [5, 0.05]
    assert stated[1:3, 0].tolist() == [5, 5]
    assert np.isnan(stated[1:, 1]).all()
    assert book.recipes["no_margin_stated"].tolist() == [False, False, False, True]


@pytest.mark.parametrize(
    ("text", "percent"),
    [
        ("18% extra fat on purpose - salt bar", 18),
        ("superfat 0-1 on purpose, laundry only!!", 0.5),
        ("FOR THE WASH HOUSE – no spare fat", 0),
        ("SF 5", 5),
        ("super fat: 6 %", 6),
        ("Überfettung 7 %", 7),
        ("ohne Überfettung", 0),
        ("surgraissage de 5 %", 5),
        ("sobreengrasado 4%", 4),
        ("lye 5% less than the chart", 5),
        ("superfat 7,5 %", 7.5),
        ("5% spare fat", 5),
        ("laundry soap 0 %", 0),
        ("Laundry bars, 0 %", 0),
        ("0 % for the wash house", 0),
        ("Waschseife, Überfettung 0 %", 0),
        ("Waschseife, 0–1 %", 0.5),
        ("savon de ménage 0 %", 0),
        ("savon de ménage, surgras 0 %", 0),
        ("jabón de lavar 0 %", 0),
        ("sobreengrasado 0 %", 0),
        ("sapone da bucato 0 %", 0),
        ("surgrassaggio 0 %", 0),
        ("oververting 0 %", 0),
        ("waszeep 0%", 0),
        ("sobreengorduramento 0 %", 0),
        ("sabão de lavar roupa 0 %", 0),
    ],
)
def test_superfat_in_words(text: str, percent: float) -> None:
    said = superfat_said(text)
    assert said is not None
    assert said[0] == pytest.approx(percent)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "sells well",
            "cut at 20 hrs",
            "fat cat on 5 pages",
            "100 % olive oil",
            "cure 6 wks",
            "5 % lavender",
            "lye 141 g",
        ),
        *(
            "laundry soap",
            "laundry soap, 5 % lavender",
            "laundry bar 20 % coconut",
            "laundry, with salt 2 %",
            "97 % lye",
        ),
    ],
)
def test_words_that_state_no_superfat(text: str) -> None:
    assert superfat_said(text) is None


OWN_SETTINGS = """== Recipes
Soap | Olive | Lard | Lye | Water
Plain | 700 | 300 | 141 | 300
== Settings
Settings for this book

Setting | Value | Meaning
default_unit | oz | unit
target_superfat | 6
names.drip | tallow
leave_out_sheets | Old; Older
use_own_values | yes
"""


def test_settings_on_a_sheet_lie_below_those_given() -> None:
    workbook = parse(OWN_SETTINGS).workbook
    own = with_own_settings(workbook, None)
    assert (own.default_unit, own.target_superfat, own.use_own_values) == ("oz", 6, True)
    assert own.names == {"drip": "tallow"}
    assert own.leave_out_sheets == ("Old", "Older")
    both = with_own_settings(workbook, Settings(default_unit="g", names={"grease": "lard"}))
    assert both.default_unit == "g"
    assert both.names == {"drip": "tallow", "grease": "lard"}
    assert "Settings" not in {s.sheet for s in read_book(workbook, own).sheets}


def test_a_wrong_setting_on_a_sheet_names_its_cell() -> None:
    workbook = parse(OWN_SETTINGS.replace("| 6", "| lots")).workbook
    with pytest.raises(SettingError, match="Settings!B5"):
        with_own_settings(workbook, None)
    assert find(parse(TABLE).workbook) is None


def test_honey_in_spoons_bears_on_nothing() -> None:
    book = book_of("""== Card
Plain
Olive oil | 700 g
Lye | 90 g
Water | 200 g
Honey | 1 tbsp
2 tsp sugar
""")
    sweet = book.components[book.components["role"] == "additive"]
    assert len(sweet) == 2
    assert not sweet["bears"].any()
    assert sweet["problem"].isna().all()


def test_fats_by_volume_are_turned_into_grams_and_say_so() -> None:
    book = book_of("""== Card
Cups
Olive oil | 2 cups
Lye | 60 g
Water | 150 ml
""")
    lines = book.components.set_index("role")
    assert lines.loc["fat", "grams"] == pytest.approx(432, rel=0.02)  # USDA SR28: a cup of olive oil is 216 g
    assert bool(lines.loc["fat", "by_volume"])
    assert bool(lines.loc["liquid", "by_volume"])
    assert not bool(lines.loc["alkali", "by_volume"])


def test_own_values_are_told_apart_by_their_size() -> None:
    text = "== Chart\nFat | {}\nOlive oil | {}\nCoconut oil | {}\nLard | {}\nTallow | {}\n"
    for heading, values in (
        ("mg KOH/g", (190, 257, 196, 197)),
        ("g KOH per g", (0.19, 0.257, 0.196, 0.197)),
        ("g NaOH per g", (0.1354, 0.1832, 0.1397, 0.1404)),
    ):
        own = book_of(text.format(heading, *values)).own_values
        assert [round(v.mg_koh_per_g) for v in own] == pytest.approx([190, 257, 196, 197], abs=1)


def test_a_share_beside_an_amount_is_a_statement_about_it() -> None:
    book = book_of("""== Card
Plain
Fat | % | g
Olive oil | 70 | 700
Coconut oil | 30 | 300
Lye | | 141
Water | | 300
""")
    shares = book.statements[book.statements["kind"] == "share of fats"]
    assert shares["value"].tolist() == [70, 30]
    assert shares[["about_row", "about_column"]].to_numpy().tolist() == [[3, 3], [4, 3]]
    assert math.isclose(book.components["grams"].sum(), 1441)
