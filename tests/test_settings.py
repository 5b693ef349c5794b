"""Settings: each wrong one names its place."""

from pathlib import Path

import pytest

from sheetcheck.errors import SettingError
from sheetcheck.pipeline import audit
from sheetcheck.reference import limits
from sheetcheck.settings import Settings, from_mapping, load
from tests.books import write_book


@pytest.mark.parametrize(
    ("data", "place"),
    [
        ({"superfat": 5}, "here: superfat"),
        ({"target_superfat": "five"}, "here: target_superfat"),
        ({"target_superfat": 95}, "here: target_superfat"),
        ({"naoh_purity": True}, "here: naoh_purity"),
        ({"default_unit": "stone"}, "here: default_unit"),
        ({"use_own_values": 1}, "here: use_own_values"),
        ({"leave_out_sheets": "Prices"}, "here: leave_out_sheets"),
        ({"names": {"white": 5}}, "here: names"),
        ({"limits": {"no_such": 5}}, "here: limits.no_such"),
        ({"limits": {"superfat_high_notice": "high"}}, "here: limits.superfat_high_notice"),
        ({"slips": {"no such slip": 5}}, "here: slips.no such slip"),
        ({"slips": {"superfat least": 5}}, "here: slips.superfat least"),
        ({"slips": {"copied": 0}}, "here: slips.copied"),
        ({"slips": {"copied": "often"}}, "here: slips.copied"),
        ({"slips": 7}, "here: slips"),
    ],
)
def test_wrong_setting_names_its_place(data: dict[str, object], place: str) -> None:
    with pytest.raises(SettingError) as caught:
        from_mapping(data, "here")
    assert caught.value.where == place
    assert place in str(caught.value)


def test_limits_of_free_lye_cannot_be_set() -> None:
    fixed = [name for name, limit in limits().items() if not limit.settable]
    assert fixed
    for name in fixed:
        with pytest.raises(SettingError, match="never lowered or hidden"):
            from_mapping({"limits": {name: -50}}, "here")


def test_a_limit_of_the_users_goes_before_the_table() -> None:
    assert Settings().limit("superfat_high_notice") == limits()["superfat_high_notice"].value
    assert from_mapping({"limits": {"superfat_high_notice": 12}}, "here").limit("superfat_high_notice") == 12


def test_later_settings_lie_over_earlier_ones() -> None:
    base = from_mapping({"target_superfat": 6, "default_unit": "oz"}, "file")
    assert from_mapping({"default_unit": "g"}, "command", base) == Settings(target_superfat=6.0, default_unit="g")


def test_file(tmp_path: Path) -> None:
    place = tmp_path / "s.toml"
    place.write_text('default_unit = "g"\n[names]\n"white stuff" = "coconut oil"\n', encoding="utf-8")
    assert load(place) == Settings(default_unit="g", names={"white stuff": "coconut oil"})
    place.write_text("default_unit = \n", encoding="utf-8")
    with pytest.raises(SettingError, match=r"s\.toml"):
        load(place)
    with pytest.raises(SettingError, match="no such file"):
        load(tmp_path / "none.toml")


ROWS = [["Recipe", "Lard (g)", "Lye (g)", "Water (g)"], ["Plain", 900, 118, 270]]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "book.xlsx", {"Recipes": ROWS, "Price list": [["What", "Price"], ["Lard", 3]]})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[roles]\n"Recipes!B" = "unobtainium"', "s.toml, line 2: roles.Recipes!B: “unobtainium” is not known"),
        ('[roles]\n"Recipes!B" = "alkalli"', "did you mean “alkali”?"),
        ('[roles]\n\n"Recipe!B" = "lard"', "s.toml, line 3: roles.Recipe!B: the workbook has no sheet “Recipe”; did"),
        ('[roles]\n"Recipes" = "lard"', "should be like Recipes!D"),
        ('[roles]\n"Recipes!2B" = "lard"', "should be like Recipes!D"),
        ('[names]\nwhite = "xyzzy"', "s.toml, line 2: names.white: “xyzzy” is not known"),
        ('[names]\nwhite = "coconot oyl"', "did you mean “coconut oil”?"),
        ('leave_out_sheets = ["Prices list"]', "s.toml, line 1: leave_out_sheets: the workbook has no sheet"),
        ('leave_out_columns = ["Price!B"]', "the workbook has no sheet “Price”"),
        ('only_sheets = ["recipes"]', "did you mean “Recipes”?"),
        ("\ntarget_superfatt = 5", "s.toml, line 2: target_superfatt: is not a setting; did you mean target_superfat?"),
        ("[limits]\nno_such = 5", "s.toml, line 2: limits.no_such: is not a limit"),
    ],
)
def test_a_misspelt_setting_is_an_error_with_line_and_nearest_word(
    text: str, said: str, book: Path, tmp_path: Path
) -> None:
    place = tmp_path / "s.toml"
    place.write_text(text, encoding="utf-8")
    with pytest.raises(SettingError) as caught:
        audit(book, load(place))
    assert said in str(caught.value)


def test_on_a_sheet_of_the_workbook_its_cell_is_named(tmp_path: Path) -> None:
    own = [["Setting", "Value"], ["roles.Recipes!B", "unobtainium"]]
    book = write_book(tmp_path / "own.xlsx", {"Recipes": ROWS, "Settings": own})
    with pytest.raises(SettingError, match=r"Settings!B2: roles\.Recipes!B"):
        audit(book)


def test_settings_for_many_books_may_name_sheets_that_one_has_not(book: Path) -> None:
    audit(book, from_mapping({"leave_out_sheets": ["Stock"], "for_many_books": True}, "here"))


def test_what_settings_leave_out_is_said(book: Path) -> None:
    """Settings never lower a DANGER without a word."""
    done = audit(book, from_mapping({"leave_out_columns": ["Recipes!C"]}, "here"))
    assert "Left out of the reckoning, as the settings say: Recipes!C." in done.book.notices


BOOK = [
    ["Recipe", "Lard (oz)", "Lye (oz)", "Water (oz)"],
    ["One", 32, 4.2, 9],
    ["Two", 32, 5, 9],
    ["Three", 40, 5.3, 12],
]


@pytest.mark.parametrize(
    "data",
    [
        {"names": {"Lye": "water"}},
        {"names": {"Lard": "coconut oil"}},
        {"roles": {"Recipes!C": "ignore"}},
        {"leave_out_columns": ["Recipes!C"]},
        {"naoh_purity": 80},
    ],
)
def test_no_setting_lowers_a_danger_without_a_word(tmp_path: Path, data: dict[str, object]) -> None:
    book = write_book(tmp_path / "book.xlsx", {"Recipes": BOOK})
    plain = audit(book)
    done = audit(book, from_mapping(data, "here"))
    danger = [{f.recipe for f in a.findings if f.signal == "DANGER"} for a in (plain, done)]
    assert danger[0] == {2}
    assert danger[1] != danger[0]
    assert any("as the settings say" in notice for notice in done.book.notices)
