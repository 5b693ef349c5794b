"""Answers in a copy are taken up by the next check, as long as nothing that they rest on has changed."""

import shutil
from pathlib import Path

import openpyxl
import pytest

from sheetcheck.model import Finding, Signal
from sheetcheck.pipeline import Checked, check
from sheetcheck.reading.answers import ANSWER_HEADING, KEY_HEADING, earlier_copies, read_answers
from sheetcheck.report.places import FINDINGS


@pytest.fixture
def book(root: Path, tmp_path: Path) -> Path:
    target = tmp_path / "shore_book.xlsx"
    shutil.copy(root / "examples/shore_book/shore_book.xlsx", target)
    return target


def answer(copy: Path, answers: dict[tuple[str, str], str]) -> None:
    """Answer findings, named by recipe and rule, as a spreadsheet program saves it."""
    workbook = openpyxl.load_workbook(copy)
    sheet = workbook[FINDINGS]
    heading = next(row for row in sheet.iter_rows() if any(c.value == ANSWER_HEADING for c in row))
    column = {c.value: c.column for c in heading}
    left = dict(answers)
    for row in range(heading[0].row + 1, sheet.max_row + 1):
        key = (sheet.cell(row, column["Recipe"]).value, sheet.cell(row, column["Rule"]).value)
        if key in left:
            sheet.cell(row, column[ANSWER_HEADING]).value = left.pop(key)
    assert left == {}
    workbook.save(copy)


def finding(done: Checked, recipe: str, rule: str) -> Finding:
    names = done.audit.recipes["name"]
    return next(f for f in done.audit.findings if f.rule == rule and f.recipe and names[f.recipe] == recipe)


LUGWORM, COCKLE = ("Lugworm Scrub", "no-margin"), ("Cockle Row", "free-lye")
SANDPIPER = ("Sandpiper", "superfat-not-as-stated")


def test_on_purpose_is_a_notice_from_then_on(book: Path) -> None:
    first = check(book)
    assert finding(first, *LUGWORM).signal is Signal.CAUTION
    answer(first.copy, {LUGWORM: "on purpose"})
    second = check(book)
    found = finding(second, *LUGWORM)
    assert (found.signal, found.answer) == (Signal.NOTICE, "on purpose")
    assert found.message.startswith("On purpose, as you answered (else CAUTION).")
    assert second.audit.recipes.loc[found.recipe, "verdict"] == "fine"


def test_free_lye_stays_danger_whatever_is_answered(book: Path) -> None:
    first = check(book)
    answer(first.copy, {COCKLE: "on purpose"})
    found = finding(check(book), *COCKLE)
    assert found.signal is Signal.DANGER
    assert found.answer == "on purpose"
    assert found.repairs


def test_look_later_stays_in_the_next_copy_and_the_one_after(book: Path) -> None:
    first = check(book)
    answer(first.copy, {SANDPIPER: "look later"})
    second = check(book)
    assert second.copy != first.copy, "a copy with answers in it is not replaced"
    third = check(book)
    assert third.copy == second.copy, "a copy that nobody touched is"
    found = finding(third, *SANDPIPER)
    assert (found.signal, found.answer) == (Signal.WARNING, "look later")
    assert set(read_answers([third.copy]).values()) == {"look later"}


def test_corrected_that_is_not_is_said(book: Path) -> None:
    first = check(book)
    answer(first.copy, {SANDPIPER: "corrected"})
    found = finding(check(book), *SANDPIPER)
    assert found.answer == ""
    assert "you answered “corrected”" in found.look_at


def change(book: Path, cell: str, value: object) -> None:
    workbook = openpyxl.load_workbook(book)
    workbook["Ounces"][cell] = value
    workbook.save(book)


def test_an_answer_is_dropped_when_an_amount_changes(book: Path) -> None:
    first = check(book)
    answer(first.copy, {LUGWORM: "on purpose"})
    change(book, "M17", 10.75)  # the water, of which the finding says nothing
    found = finding(check(book), *LUGWORM)
    assert (found.signal, found.answer) == (Signal.CAUTION, "")


def test_an_answer_stays_when_rows_move(book: Path) -> None:
    first = check(book)
    answer(first.copy, {LUGWORM: "on purpose"})
    workbook = openpyxl.load_workbook(book)
    for column in range(1, 17):  # a recipe goes: those below move up
        for row in range(10, 26):
            workbook["Ounces"].cell(row, column).value = workbook["Ounces"].cell(row + 1, column).value
    workbook.save(book)
    found = finding(check(book), *LUGWORM)
    assert found.cell == "L16"
    assert found.answer == "on purpose"


def test_a_copy_that_is_audited_itself_brings_its_answers(book: Path, tmp_path: Path) -> None:
    first = check(book)
    answer(first.copy, {LUGWORM: "on purpose"})
    moved = tmp_path / "elsewhere"
    moved.mkdir()
    copy = Path(shutil.copy(first.copy, moved / "mine.xlsx"))
    assert finding(check(copy), *LUGWORM).answer == "on purpose"


def test_other_files_have_no_answers(book: Path, tmp_path: Path) -> None:
    (tmp_path / "shore_book.checked.xlsx").write_text("no workbook")
    assert read_answers(earlier_copies(book, tmp_path / "shore_book.checked.xlsx")) == {}


def test_keys_tell_findings_apart(book: Path) -> None:
    sheet = openpyxl.load_workbook(check(book).copy)[FINDINGS]
    heading = next(row for row in sheet.iter_rows() if any(c.value == KEY_HEADING for c in row))
    column = next(c.column for c in heading if c.value == KEY_HEADING)
    keys = [sheet.cell(row, column).value for row in range(heading[0].row + 1, sheet.max_row + 1)]
    assert len(keys) == len(set(keys)) > 10
