"""Short forms of ingredients, through the whole audit: explained they are used and said, unexplained never certain."""

from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment

from sheetcheck.model import Audit, Signal
from sheetcheck.pipeline import audit

HEADINGS = ("Soap", "OO", "CO", "PO", "Lye", "Water")
# Lye for 5 % superfat by the typical values of the table of fats: 144 g for the first, 143 g for the second.
SOUND = (("Plain", 400, 300, 300, 144, 300), ("Kitchen", 700, 300, None, 143, 290), ("Rinsed", 400, 300, 300, 144, 300))
TOO_MUCH = (*SOUND[:2], ("Burning", 400, 300, 300, 180, 300))


def audited(
    path: Path, rows: Sequence[Sequence[object]], legend: str | None = None, *, in_notes: bool = False
) -> Audit:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (*([[legend]] if legend else ()), HEADINGS, *rows):
        sheet.append(row)
    if in_notes:
        for cell, meaning in (("B1", "olive oil"), ("C1", "coconut oil"), ("D1", "palm oil")):
            sheet[cell].comment = Comment(meaning, "me")
    book.save(path / "book.xlsx")
    return audit(path / "book.xlsx")


def test_unexplained_they_are_assumed_or_asked_about_and_never_a_danger(tmp_path: Path) -> None:
    result = audited(tmp_path, SOUND)
    assert not [f for f in result.findings if f.signal in (Signal.DANGER, Signal.WARNING)]
    said = {each.text for each in result.book.assumed} | {each.text for each in result.book.questions}
    assert said == {"OO", "CO", "PO"}
    waiting = {recipe for each in result.book.questions for recipe in each.recipes}
    assert set(result.recipes.index[result.recipes["verdict"] == "not checked"]) == waiting


def test_unexplained_they_hide_no_free_lye(tmp_path: Path) -> None:
    result = audited(tmp_path, TOO_MUCH)
    assert "fine" not in result.recipes["verdict"].tolist()[2:]


@pytest.mark.parametrize("legend", ["OO = olive oil, CO = coconut oil, PO = palm oil", "OO: olive; CO: coco; PO: palm"])
def test_explained_they_are_used_and_said(tmp_path: Path, legend: str) -> None:
    result = audited(tmp_path, SOUND, legend)
    assert set(result.recipes["verdict"]) == {"fine"}
    said = [f.message for f in result.findings if f.rule == "name-read-as"]
    assert said[0] == "“OO” was read as olive oil, as the legend in A1 says."
    assert len(said) == 3


def test_explained_in_notes_they_are_used(tmp_path: Path) -> None:
    result = audited(tmp_path, SOUND, in_notes=True)
    assert set(result.recipes["verdict"]) == {"fine"}


def test_explained_they_hide_no_free_lye(tmp_path: Path) -> None:
    result = audited(tmp_path, TOO_MUCH, "OO = olive oil, CO = coconut oil, PO = palm oil")
    assert result.recipes["signal"].tolist()[2] == Signal.DANGER


def test_one_that_is_also_a_unit_hides_no_ingredient(tmp_path: Path) -> None:
    rows = [("Soap", "Olive oil", "Cas", "Coconut oil", "Lye", "Water"), ("Plain", 600, 100, 300, 144, 300)]
    rows += [("Kitchen", 650, 100, 250, 141, 300), ("Rinsed", 550, 150, 300, 144, 300)]
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "book.xlsx")
    result = audit(tmp_path / "book.xlsx")
    fats = result.book.components[result.book.components["role"] == "fat"]
    assert fats.groupby("recipe")["grams"].sum().tolist() == [1000, 1000, 1000]
    assert {each.text: each.means for each in result.book.assumed} == {"Cas": "castor oil"}
    assert not [f for f in result.findings if f.signal in (Signal.DANGER, Signal.WARNING)]
