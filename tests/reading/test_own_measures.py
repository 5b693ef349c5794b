"""The maker's own measures, set in a file or on a sheet of her book."""

import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetcheck.cli.read_command import run as show
from sheetcheck.errors import SettingError
from sheetcheck.model import Audit
from sheetcheck.pipeline import audit
from sheetcheck.reading.units.own_measures import read_measures
from sheetcheck.settings import from_mapping
from tests.books import write_book

MINE = {"dipper lard": "205 g", "small pot": "1.4 L", "stick": "4 oz", "box": "2 stick"}


def read(folder: Path, rows: list[list[object]], units: dict[str, str] = MINE, **sheets: list[list[object]]) -> Audit:
    book = write_book(folder / "book.xlsx", {"Soaps": rows, **sheets})
    return audit(book, from_mapping({"units": units}, "here") if units else None)


def grams(done: Audit) -> dict[str, float]:
    components = done.book.components
    return dict(zip(components["name"].astype(str).str.lower(), components["grams"], strict=True))


def test_what_measures_come_to() -> None:
    found = {
        m.written.partition(" = ")[0]: (m.name, m.substance, round(m.amount, 2), m.unit) for m in read_measures(MINE)
    }
    assert found == {
        "dipper lard": ("dipper", "lard", 205, "g"),
        "small pot": ("small pot", None, 1400, "mL"),
        "stick": ("stick", None, 113.4, "g"),  # 4 international avoirdupois ounces of 28.349523125 g
        "box": ("box", None, 226.8, "g"),
    }


LIST = [
    ["Soap", "Ingredient", "Amount"],
    ["Gable", "Lard", "4 dippers"],
    [None, "Coconut oil", "2 ½ sticks"],
    [None, "Water", "300 g"],
    [None, "Lye", "145 g"],
]
UNITS_APART = [
    ["Soap", "Ingredient", "Amount", "Unit"],
    ["Gable", "Lard", 4, "dipper"],
    [None, "Coconut oil", 2.5, "sticks"],
    [None, "Water", 300, "g"],
    [None, "Lye", 145, "g"],
]
CARD = [["Gable"], ["4 dippers of lard"], ["2 1/2 sticks coconut oil"], ["300 g water"], ["145 g lye"]]
ROWS = [
    ["Soap", "Lard", "Coconut oil", "Water", "Lye"],
    ["Gable", "4 dippers", "2.5 sticks", "300 g", "145 g"],
    ["Porch", "8 dippers", "5 sticks", "600 g", "290 g"],
]


@pytest.mark.parametrize("rows", [LIST, UNITS_APART, CARD, ROWS], ids=["list", "units apart", "card", "rows"])
def test_every_arrangement(tmp_path: Path, rows: list[list[object]]) -> None:
    done = read(tmp_path, rows)
    found = grams(Audit(done.book, done.recipes, (), done.settings)) if rows is not ROWS else None
    first = done.book.components[done.book.components["recipe"] == done.recipes.index[0]]
    weight = dict(zip(first["substance"].astype(str), first["grams"], strict=True))
    assert weight["lard"] == pytest.approx(820)
    assert weight["coconut oil"] == pytest.approx(283.5, abs=0.01)
    assert done.recipes["superfat_typical"].notna().all()
    assert found is None or len(found) == 4
    said = " ".join(done.book.notices)
    assert "dipper lard = 205 g" in said
    assert "Soaps!" in said


def test_a_measure_of_one_ingredient_is_none_of_another(tmp_path: Path) -> None:
    rows = [*LIST[:2], [None, "Olive oil", "2 dippers"], *LIST[3:]]
    done = read(tmp_path, rows)
    olive = done.book.components.set_index("name").loc["Olive oil"]
    assert olive["grams"] != olive["grams"]
    assert olive["problem"]


def test_the_reading_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "mine.toml"
    place.write_text('[units]\n"dipper lard" = "205 g"\nstick = "4 oz"\n', encoding="utf-8")
    show(write_book(tmp_path / "book.xlsx", {"Soaps": LIST}), (), place, None, None)
    said = " ".join(capsys.readouterr().out.split())
    assert "Your own measure dipper lard = 205 g was used: Soaps!C2." in said


def test_they_may_stand_on_a_sheet_of_her_book(tmp_path: Path) -> None:
    own = [["Setting", "Value"], *([f"units.{name}", amount] for name, amount in MINE.items())]
    assert grams(read(tmp_path, LIST, {}, Settings=own))["lard"] == pytest.approx(820)


@pytest.mark.parametrize(
    ("units", "says"),
    [
        ({"dipper": "205"}, "what weight or volume"),
        ({"dipper": "3 in"}, "what weight or volume"),
        ({"dipper": "-2 g"}, "what weight or volume"),
        ({"dipper": "a lot"}, "what weight or volume"),
        ({"cup": "240 mL"}, "is a unit already"),
        ({"dipper": "__import__('os')"}, "what weight or volume"),
    ],
)
def test_a_slip_names_the_measure(tmp_path: Path, units: dict[str, str], says: str) -> None:
    with pytest.raises(SettingError, match=says) as told:
        read(tmp_path, LIST, units)
    assert next(iter(units)) in str(told.value)


@settings(max_examples=12, deadline=None)
@given(st.integers(1, 40), st.integers(50, 900))
def test_a_measure_is_worth_its_weight(count: int, weight: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        by_measure = [*LIST[:1], ["Gable", "Lard", f"{count} dippers"], *LIST[3:]]
        by_weight = [*LIST[:1], ["Gable", "Lard", f"{count * weight} g"], *LIST[3:]]
        one = read(Path(folder), by_measure, {"dipper": f"{weight} g"})
        other = read(Path(folder), by_weight, {})
    assert one.recipes["superfat_typical"].iloc[0] == pytest.approx(other.recipes["superfat_typical"].iloc[0])


def test_pint_is_loaded_only_where_there_are_any(tmp_path: Path) -> None:
    rows = [[cell if cell != "4 dippers" else "820 g" for cell in row] for row in LIST]
    book = write_book(tmp_path / "book.xlsx", {"Soaps": rows})
    code = f"import sys; from sheetcheck.pipeline import audit; audit({str(book)!r}); print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stdout.strip() == "False", done.stderr
