"""Her superfat: asked once where her book leaves it open, answered in a copy or set, by sheet where keepers differ."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from pathlib import Path

import openpyxl
import pytest

import sheetcheck
from sheetcheck.errors import SettingError
from sheetcheck.model import Audit
from sheetcheck.page import asked
from sheetcheck.pipeline import check
from sheetcheck.reading.answers import ANSWER_HEADING, WORD_HEADING
from sheetcheck.reading.own_superfat import percent_said, with_superfats_answered
from sheetcheck.report.places import FINDINGS
from sheetcheck.settings import Settings, from_mapping

NAOH = (0.135, 0.183, 0.139)  # g for 1 g of olive, coconut, lard; common practice, from memory
HEADINGS = ("Soap", "Olive oil (g)", "Coconut oil (g)", "Lard (g)", "Lye (g)", "Water (g)")
Row = list[str | int]


def rows(superfats: Sequence[int], count: int, seed: int = 1) -> list[Row]:
    """Return sound recipes at these superfats in turn."""
    rng = random.Random(seed)  # noqa: S311 - made-up recipes
    found: list[Row] = []
    for number in range(count):
        fats = [rng.choice([400, 500, 550, 600]), rng.choice([200, 250, 300]), rng.choice([100, 150, 200])]
        demand = sum(grams * per_g for grams, per_g in zip(fats, NAOH, strict=True))
        lye = round(demand * (1 - superfats[number % len(superfats)] / 100))
        found.append([f"Bar {seed}-{number}", *fats, lye, 2 * lye])
    return found


def odd(superfat: float, lye: float = 1.0) -> Row:
    """Return a row unlike all others, with so many times the lye of this superfat."""
    fats = (460, 340, 230)
    weighed = round(sum(g * per_g for g, per_g in zip(fats, NAOH, strict=True)) * (1 - superfat / 100))
    return ["Odd", *fats, round(weighed * lye), 2 * weighed]


def book(folder: Path, sheets: Mapping[str, list[Row]]) -> Path:
    workbook = openpyxl.Workbook()
    workbook.remove(workbook.active)
    for name, lines in sheets.items():
        sheet = workbook.create_sheet(name)
        sheet.append(HEADINGS)
        for line in lines:
            sheet.append(line)
    place = folder / "book.xlsx"
    workbook.save(place)
    return place


def asked_of(audit: Audit) -> dict[str, list[str]]:
    return {q.text: [c.means for c in q.choices] for q in audit.book.questions}


def mixed(folder: Path) -> Path:
    lines = rows([5, 5, 8], 14)
    return book(folder, {"Recipes": [*lines, odd(5, 0.83)]})


def test_it_is_asked_once_with_what_the_book_suggests(tmp_path: Path) -> None:
    audit = sheetcheck.audit(mixed(tmp_path))
    assert asked_of(audit) == {"superfat": ["5 %", "8 %"]}
    (question,) = audit.book.questions
    assert "Which superfat do you use? Of 14 sound recipes that state none, 10 come to about 5 %." in question.ask
    assert question.recipes == (15,)


@pytest.mark.parametrize(
    ("superfats", "lye", "settings"),
    [
        ([5], 0.83, Settings()),  # the book has said it
        ([5, 5, 8], 1.0, Settings()),  # nothing waits for it
        ([5, 5, 8], 0.83, Settings(target_superfat=5.0)),
        ([5, 5, 8], 0.83, Settings(superfats={"Recipes": 5.0})),
    ],
)
def test_it_is_not_asked_for_nothing(tmp_path: Path, superfats: list[int], lye: float, settings: Settings) -> None:
    lines = rows(superfats, 14)
    assert asked_of(sheetcheck.audit(book(tmp_path, {"Recipes": [*lines, odd(5, lye)]}), settings)) == {}


def test_an_answer_in_a_copy_is_taken_up_and_kept(tmp_path: Path) -> None:
    place = mixed(tmp_path)
    first = check(place).copy
    for typed in ("8 %", 8):  # as it is offered, and as some programs keep what was chosen
        answered = openpyxl.load_workbook(first)
        sheet = answered[FINDINGS]
        heading = next(row for row in sheet.iter_rows() if any(c.value == ANSWER_HEADING for c in row))
        column = {c.value: c.column for c in heading}
        line = next(r for r in range(1, 20) if sheet.cell(r, column[WORD_HEADING]).value == "superfat")
        sheet.cell(line, column[ANSWER_HEADING]).value = typed
        answered.save(tmp_path / "answered.xlsx")
        again = sheetcheck.audit(tmp_path / "answered.xlsx")
        assert again.settings.target_superfat == 8
        assert asked_of(again) == {}
    kept = check(tmp_path / "answered.xlsx", tmp_path / "kept.xlsx").copy
    assert sheetcheck.audit(kept).settings.target_superfat == 8


def test_it_tells_the_search_which_lye_was_meant(tmp_path: Path) -> None:
    place = book(tmp_path, {"Recipes": [*rows([4, 8, 12], 3), odd(5, 0.7)]})

    def near(aim: float, said: float) -> float:
        audit = sheetcheck.audit(place, Settings(target_superfat=said))
        repairs = {r for finding in audit.findings if finding.recipe == 4 for r in finding.repairs}
        return sum(r.probability for r in repairs if abs((r.superfat_percent or 99) - aim) < 1.2)

    assert near(4.0, said=4.0) > 1.5 * near(4.0, said=8.0)
    assert near(8.0, said=8.0) > 1.5 * near(8.0, said=4.0)


KEEPERS = {"Ada": rows([4], 12, 1), "Bea": rows([10], 12, 2)}


def keepers(folder: Path, lye: float) -> Path:
    return book(folder, KEEPERS | {"Bea": [*KEEPERS["Bea"], odd(10, lye)]})


def test_sheets_that_lie_apart_have_keepers_of_their_own(tmp_path: Path) -> None:
    with_another = {"Cam": [*rows([3, 6, 9], 12, 3), odd(6, 0.8)]}
    audit = sheetcheck.audit(book(tmp_path, KEEPERS | with_another))
    assert list(asked_of(audit)) == ["superfat of Cam"]  # those of Ada and Bea their sheets have said
    assert "Which superfat is used on “Cam”?" in audit.book.questions[0].ask


def test_each_keepers_rows_are_held_against_her_own_superfat(tmp_path: Path) -> None:
    """A lye of 1.12 times what Bea uses is as usual for Ada's superfat as can be, and odd for hers."""
    place = keepers(tmp_path, 1.125)
    own = Settings(superfats={"Ada": 4.0, "Bea": 10.0})
    odd_row = 25
    repairs = [r for f in sheetcheck.audit(place, own).findings if odd_row in f.about() for r in f.repairs]
    assert repairs
    assert repairs[0].superfat_percent == pytest.approx(10, abs=1.5)


def test_answers_are_settings_and_a_setting_wins() -> None:
    given = Settings(names={"superfat": "5,5 %", "superfat of Bea": "10", "OO": "olive oil"})
    settled = with_superfats_answered(given)
    assert (settled.target_superfat, dict(settled.superfats), dict(settled.names)) == (
        5.5, {"Bea": 10.0}, {"OO": "olive oil"},
    )  # fmt: skip
    assert with_superfats_answered(Settings(names={"superfat": "5 %"}, target_superfat=7.0)).target_superfat == 7
    with pytest.raises(SettingError, match="percentage from 0 to 50"):
        with_superfats_answered(Settings(names={"superfat": "tallow"}))


@pytest.mark.parametrize("said", ["tallow", "5 oz", "60 %", "", "5 or 8"])
def test_what_is_no_superfat(said: str) -> None:
    assert percent_said(said) is None


def test_the_page_takes_a_percentage_for_it_and_for_no_word() -> None:
    assert asked.with_meanings(Settings(), {"superfat": "6 %"}, {}).names == {"superfat": "6 %"}
    with pytest.raises(SettingError):
        asked.with_meanings(Settings(), {"OO": "6 %"}, {})


def test_superfats_of_sheets_are_checked(tmp_path: Path) -> None:
    with pytest.raises(SettingError, match="from 0 to 50"):
        from_mapping({"superfats": {"Ada": 60}}, "here")
    with pytest.raises(SettingError, match="Bea"):
        sheetcheck.audit(keepers(tmp_path, 1.0), Settings(superfats={"Beaa": 5.0}))
