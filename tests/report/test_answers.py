"""Answers in a copy are taken up by the next check, as long as nothing that they rest on has changed."""

import io
import shutil
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from rich.console import Console

import sheetcheck
from sheetcheck.cli.options import meanings_from
from sheetcheck.errors import SettingError
from sheetcheck.model import (
    Assumed,
    Audit,
    Finding,
    NewSheet,
    PossibleAnswer,
    Question,
    Signal,
    SinceLast,
    Styled,
)
from sheetcheck.pipeline import Checked, check
from sheetcheck.reading.answers import (
    ANSWER_HEADING,
    ASK_FOR_A_MEANING,
    KEY_HEADING,
    Answers,
    all_listed,
    earlier_copies,
    read_answers,
    since_last,
    understood,
)
from sheetcheck.report.findings_sheet import choices
from sheetcheck.report.marks import plan
from sheetcheck.report.places import FINDINGS, READING, SUMMARY
from sheetcheck.report.terminal import show
from sheetcheck.settings import Settings
from sheetcheck.workbook import write_copy

CHOICE = PossibleAnswer("not an ingredient", 0.05, 0)


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
    asked_for = {(recipe, "QUESTION"): (recipe, rule) for recipe, rule in answers if rule in ASK_FOR_A_MEANING}
    for row in range(heading[0].row + 1, sheet.max_row + 1):
        key = (sheet.cell(row, column["Recipe"]).value, sheet.cell(row, column["Rule"]).value)
        key = asked_for.get(key, key)  # what the reader asks for is asked once, as a question
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
    assert set(read_answers([third.copy]).to_findings.values()) == {"look later"}


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
    assert read_answers(earlier_copies(book, tmp_path / "shore_book.checked.xlsx")) == Answers()


def test_keys_tell_findings_apart(book: Path) -> None:
    sheet = openpyxl.load_workbook(check(book).copy)[FINDINGS]
    heading = next(row for row in sheet.iter_rows() if any(c.value == KEY_HEADING for c in row))
    column = next(c.column for c in heading if c.value == KEY_HEADING)
    keys = [sheet.cell(row, column).value for row in range(heading[0].row + 1, sheet.max_row + 1)]
    assert len(keys) == len(set(keys)) > 10


# --------------------------------------------------------------------------- decisions, meanings, since last time


WHELK = ("Whelk", "free-lye")


def test_yes_keeps_the_suggestion_beside_hers_as_her_decision(book: Path) -> None:
    before = book.read_bytes()
    first = check(book)
    answer(first.copy, {WHELK: "yes, that was it"})
    second = check(book)
    found = finding(second, *WHELK)
    assert (found.signal, found.answer) == (Signal.DANGER, "yes, that was it"), "free lye stays what it is"
    workbook = openpyxl.load_workbook(second.copy, data_only=True)
    said = "Your decision: L23 Lye: 11.25 oz → 5.02 oz; M23 Water: 5.02 oz → 11.25 oz. It is not yet in your book."
    assert said in [c.value for row in workbook[FINDINGS].iter_rows() for c in row]
    assert said in workbook["Ounces"]["L23"].comment.text
    assert workbook["Ounces"]["L23"].value == 11.25
    assert book.read_bytes() == before
    summary = [c.value for row in workbook[SUMMARY].iter_rows() for c in row]
    assert "1 of these you have decided: put it into your book, then check again." in summary
    assert said.removesuffix(". It is not yet in your book.") in summary


def test_what_falls_away_with_a_suggestion_says_so_and_asks_for_nothing_else(book: Path) -> None:
    workbook = openpyxl.load_workbook(check(book).copy)
    rows = {(r[1].value, r[2].value): r[5].value for r in workbook[FINDINGS].iter_rows()}
    assert rows["Whelk", "Ounces!M23"] == "Goes with L23: M23 Water: 5.02 oz → 11.25 oz."
    assert rows["Brent Goose", "Ounces!L25"] == "an amount of lye"


def test_what_a_word_means_is_taken_up_and_carried_on(book: Path) -> None:
    first = check(book)
    assert first.audit.recipes.query("name == 'Sheldrake'")["verdict"].item() == "not checked"
    answer(first.copy, {("Sheldrake", "unknown-ingredient"): "lard"})
    for checked in (second := check(book), check(book)):  # the second copy carries it on to the third check
        assert checked.audit.settings.names["Aunt's blend"] == "lard"
        assert checked.audit.recipes.query("name == 'Sheldrake'")["verdict"].item() == "fine"
    rows = [[c.value for c in row] for row in openpyxl.load_workbook(second.copy)[READING].iter_rows()]
    line = next(row for row in rows if row[0] == "Aunt's blend")
    assert line[2:5] == ["lard", "as you answered", "lard"]


def test_what_the_maker_set_wins_over_what_she_answered(book: Path) -> None:
    first = check(book)
    answer(first.copy, {("Sheldrake", "unknown-ingredient"): "lard"})
    assert check(book, settings=Settings(names={"Aunt's blend": "tallow"})).audit.settings.names == {
        "Aunt's blend": "tallow"
    }


def test_since_last_time_is_told(book: Path) -> None:
    assert check(book).audit.since_last is None
    again = check(book).audit.since_last
    assert again is not None
    assert (again.put_right, again.new) == (0, 0)
    change(book, "L8", 4.53)  # put right
    change(book, "L4", 56.4)  # a new slip
    workbook = openpyxl.load_workbook(book)
    workbook["Ounces"]["M22"] = 12.25  # of a recipe that has another fault, which stays
    workbook.save(book)
    checked = check(book)
    since = checked.audit.since_last
    assert since is not None
    assert (since.put_right, since.new, since.as_before) == (1, 1, again.as_before - 1)
    texts = [c.value for c in openpyxl.load_workbook(checked.copy)[SUMMARY]["A"]]
    assert f"Since last time: 1 put right, 1 new, {since.as_before} as before." in texts


# --------------------------------------------------------------------------- questions of the reader


def asked(book: Path) -> Audit:
    """An audit whose reader had something to ask, and something that it took to mean something."""
    audit = sheetcheck.audit(book)
    choices = (PossibleAnswer("total of the fats", 0.8, 17), PossibleAnswer("olive oil", 0.2, 2))
    question = Question("GFM", "What is GFM?", ("Ounces!B3", "Grams!B3"), tuple(range(1, 19)), choices)
    assumed = Assumed("Lye", "lye", ("Ounces!L3",), (1, 2), "20 of 22 recipes come out as stated so", 0.999)
    return replace(audit, book=replace(audit.book, questions=(question,), assumed=(assumed,)))


def test_questions_stand_first_in_summary_terminal_and_list(book: Path, tmp_path: Path) -> None:
    audit = asked(book)
    write_copy(book, tmp_path / "copy.xlsx", plan(audit))
    workbook = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    first = next(workbook[FINDINGS].iter_rows(min_row=4, values_only=True))
    assert first[0] == "? QUESTION"
    assert first[3:6] == (
        "GFM",
        "What is GFM?",
        "total of the fats (fits 17 of 18); olive oil (fits 2 of 18)",
    )
    column = [c.value for c in workbook[SUMMARY]["A"]]
    assert "1 question first: 18 recipes wait for the answer." in column
    assert column.index("? QUESTION") < column.index("◆ DANGER")
    shown = io.StringIO()
    show(audit, Console(file=shown, width=200))
    text = shown.getvalue()
    assert text.index("What is GFM?") < text.index("◆ DANGER  Cockle Row")


@pytest.mark.parametrize(
    ("said", "meant"),
    [("total of the fats", "total of the fats"), ("Olive oil", "olive oil"), ("my own lard", "my own lard")],
)
def test_the_answer_to_a_question_is_read_back(said: str, meant: str, book: Path, tmp_path: Path) -> None:
    write_copy(book, tmp_path / "copy.xlsx", plan(asked(book)))
    workbook = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    workbook[FINDINGS]["G4"] = said
    sheet = workbook[READING]
    row = next(c.row for c in sheet["A"] if c.value == "Lye" and sheet.cell(c.row, 3).value == "lye")
    sheet.cell(row, 5).value = "not an ingredient"
    workbook.save(tmp_path / "copy.xlsx")
    assert read_answers([tmp_path / "copy.xlsx"]).meanings == {"GFM": meant, "Lye": "not an ingredient"}


def test_look_later_is_no_meaning(book: Path, tmp_path: Path) -> None:
    write_copy(book, tmp_path / "copy.xlsx", plan(asked(book)))
    workbook = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    workbook[FINDINGS]["G4"] = "look later"
    workbook.save(tmp_path / "copy.xlsx")
    assert read_answers([tmp_path / "copy.xlsx"]).meanings == {}


def test_a_word_that_a_question_asks_for_is_asked_once(book: Path) -> None:
    audit = sheetcheck.audit(book)
    question = Question("Aunt's blend", "What is “Aunt's blend”?", ("Ounces!J3",), (21,), (CHOICE,))
    audit = replace(audit, book=replace(audit.book, questions=(question,)))
    sheet = next(mark for mark in plan(audit) if isinstance(mark, NewSheet) and mark.name == FINDINGS)
    said = [[c.value if isinstance(c, Styled) else c for c in row] for row in sheet.rows]
    asking = [row for row in said if len(row) > 10 and row[10] == "Aunt's blend"]
    assert [row[0] for row in asking] == ["? QUESTION"]
    earlier = Answers(listed=all_listed(audit.findings, audit.book))
    assert since_last(earlier, audit.findings, audit.book) == SinceLast(0, 0, len(earlier.listed or ()))


def test_only_what_has_an_effect_can_be_chosen() -> None:
    choices_ = (PossibleAnswer("a fat", 0.9, 1), PossibleAnswer("total", 0.05, 0), CHOICE)
    question = Question("mine", "What is “mine”?", (), (1,), choices_)
    assert [c.means for c in choices(question)] == ["not an ingredient"]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("olive oil", "olive oil"),
        (" Olive Oil ", "olive oil"),
        ("not an ingredient", "not an ingredient"),
        ("total of the fats", "total of the fats"),
        ("a fat", None),
        ("catnip foo", None),
    ],
)
def test_a_meaning_is_known_or_it_is_none(said: str, meant: str | None) -> None:
    assert understood(said) == meant


def test_an_answer_on_the_command_line_is_kept_by_the_copy(book: Path) -> None:
    first = check(book, meanings={"Aunt's blend": "lard"})
    assert first.audit.recipes.query("name == 'Sheldrake'")["verdict"].item() == "fine"
    assert check(book).audit.settings.names["Aunt's blend"] == "lard"
    assert check(book, meanings={"Aunt's blend": "tallow"}).audit.settings.names["Aunt's blend"] == "tallow"


def test_answers_on_the_command_line_are_words_and_meanings() -> None:
    assert meanings_from(["OO = olive oil", "a=b=lard"]) == {"OO": "olive oil", "a=b": "lard"}
    for wrong in ("olive oil", "=lard", "OO=catnip foo"):
        with pytest.raises(SettingError, match="--answer"):
            meanings_from([wrong])
