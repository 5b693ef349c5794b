"""The worklist, as it stands in the file: links there and back, answers with a drop-down, a frame that stays."""

import datetime as dt
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

import sheetcheck
from sheetcheck.model import Change, Finding, Repair, Signal
from sheetcheck.pipeline import check
from sheetcheck.reading.answers import ANSWER_HEADING, ANSWERS, KEY_HEADING, read_answers
from sheetcheck.report.finding_words import in_short, suggested, suggested_changes, suggested_in_short
from sheetcheck.report.marks import plan
from sheetcheck.report.places import FINDINGS, SUMMARY
from sheetcheck.report.words import FINDINGS_HEADINGS
from sheetcheck.words import Voice, speaking
from sheetcheck.workbook import write_copy
from tests.books import write_book
from tests.report.voices import Shouting

DAY = dt.date(2026, 1, 2)
HEADINGS = 3  # their row
SMALL_SCREEN = 1366  # pixels across
PER_CHARACTER, HEADERS_AND_BAR = 7, 50  # pixels in Calibri 11; of row numbers and scroll bar


@pytest.fixture
def book(root: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(root / "examples/shore_book/shore_book.xlsx", tmp_path))


@pytest.fixture(scope="module")
def copy(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("findings") / "copy.xlsx"
    book = root / "examples/shore_book/shore_book.xlsx"
    write_copy(book, target, plan(sheetcheck.audit(book), DAY))
    return target


def columns(sheet: Worksheet) -> dict[str, int]:
    return {str(c.value): c.column for c in sheet[HEADINGS]}


def place(location: str) -> tuple[str, str]:
    sheet, cell = location.rsplit("!", 1)
    return sheet.strip("'"), cell


def test_headings_in_their_order_frozen_with_a_filter(copy: Path) -> None:
    sheet = openpyxl.load_workbook(copy)[FINDINGS]
    assert [c.value for c in sheet[HEADINGS] if c.value][: len(FINDINGS_HEADINGS)] == list(FINDINGS_HEADINGS)
    assert sheet.freeze_panes == f"C{HEADINGS + 1}"
    assert sheet.auto_filter.ref == f"A{HEADINGS}:L{sheet.max_row}"


def test_the_answer_is_in_sight_on_a_small_screen_and_the_key_is_hidden(copy: Path) -> None:
    sheet = openpyxl.load_workbook(copy)[FINDINGS]
    found = columns(sheet)
    letters = {heading: openpyxl.utils.get_column_letter(column) for heading, column in found.items()}
    to_the_answer = [sheet.column_dimensions[letters[h]].width for h in FINDINGS_HEADINGS[: found[ANSWER_HEADING]]]
    assert sum(to_the_answer) * PER_CHARACTER + HEADERS_AND_BAR <= SMALL_SCREEN
    assert sheet.column_dimensions[letters[KEY_HEADING]].hidden


def test_every_answer_cell_has_a_drop_down(copy: Path) -> None:
    sheet = openpyxl.load_workbook(copy)[FINDINGS]
    column = openpyxl.utils.get_column_letter(columns(sheet)[ANSWER_HEADING])
    offered = {}
    for choices in sheet.data_validations.dataValidation:
        (area,) = choices.sqref.ranges
        for row in range(area.min_row, area.max_row + 1):
            offered[f"{column}{row}"] = options(sheet, choices.formula1)
    rows = range(HEADINGS + 1, sheet.max_row + 1)
    assert set(offered) == {f"{column}{row}" for row in rows}
    suggested, rule = columns(sheet)["Suggested, or expected there"], columns(sheet)["Rule"]
    for row in rows:
        said = str(sheet.cell(row, suggested).value)
        has_one = "→" in said and not said.startswith("Goes with")  # that is answered where it is suggested
        assert ("yes, that was it" in offered[f"{column}{row}"]) == has_one
        if sheet.cell(row, rule).value in ("QUESTION", "unknown-ingredient"):
            assert "not an ingredient" in offered[f"{column}{row}"]
        else:
            assert {*ANSWERS} - {"yes, that was it"} <= set(offered[f"{column}{row}"])


def options(sheet: Worksheet, formula: str) -> list[str]:
    """What a drop-down offers, written in it or in a range of its sheet."""
    if formula.startswith('"'):
        return formula.strip('"').split(",")
    return [str(c.value) for row in sheet[formula.replace("$", "").removeprefix("=")] for c in row]


def test_links_lead_to_the_cell_and_back_from_the_verdict(copy: Path) -> None:
    workbook = openpyxl.load_workbook(copy, data_only=True)
    sheet = workbook[FINDINGS]
    found = columns(sheet)
    there = {}
    for row in range(HEADINGS + 1, sheet.max_row + 1):
        leads_to, cell = place(sheet.cell(row, found["Cell"]).hyperlink.location)
        assert sheet.cell(row, found["Cell"]).value == f"{leads_to}!{cell}"
        there[row] = (leads_to, int(re.sub(r"\D", "", cell)), sheet.cell(row, found["Signal"]).value)
    back = waiting = 0
    for name in ("Ounces", "Grams"):
        verdict = next(c.column for r in workbook[name].iter_rows() for c in r if str(c.value).startswith("Verdict of"))
        for row in range(1, workbook[name].max_row + 1):
            cell = workbook[name].cell(row, verdict)
            if cell.hyperlink is not None:
                to, target = place(cell.hyperlink.location)
                leads_to, recipe_row, signal = there[int(target[1:])]
                assert to == FINDINGS
                assert leads_to == name
                assert recipe_row in (row, HEADINGS)  # a finding on the heading of a column
                if signal == "? QUESTION":  # the recipe waits for its answer
                    assert cell.value.endswith("not checked")
                    waiting += 1
                else:
                    assert cell.value in ("fine", "fine, little margin", signal, f"{signal}, not checked")
                back += 1
    assert back >= 14
    assert waiting == 1  # for what "Aunt's blend" is


def test_what_is_written_is_what_the_named_cell_holds(copy: Path) -> None:
    workbook = openpyxl.load_workbook(copy, data_only=True)
    sheet = workbook[FINDINGS]
    found = columns(sheet)
    seen = 0
    for row in range(HEADINGS + 1, sheet.max_row + 1):
        name, cell = place(sheet.cell(row, found["Cell"]).hyperlink.location)
        held = workbook[name][cell].value
        if isinstance(held, int | float):
            written = sheet.cell(row, found["Written there"]).value.replace(",", "")
            assert float(written.split()[0]) == pytest.approx(held), f"{name}!{cell}"
            seen += 1
    assert seen > 10


def test_a_link_with_a_long_name_of_a_sheet_is_not_cut(tmp_path: Path) -> None:
    name = "What mother made before the war"
    rows = [["Soap", "Lard (g)", "Water (g)", "Lye (g)"], ["Heavy", 1000, 320, 300], ["Plain", 1000, 320, 132]]
    book = write_book(tmp_path / "long.xlsx", {name: rows})
    write_copy(book, tmp_path / "copy.xlsx", plan(sheetcheck.audit(book), DAY))
    workbook = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    for sheet, column in ((FINDINGS, "C"), (SUMMARY, "B")):
        texts = [c.value for c in workbook[sheet][column] if str(c.value).startswith(name)]
        assert texts
        assert workbook[sheet].column_dimensions[column].width * 1.1 >= max(map(len, texts))


def answered(copy: Path, recipe: str, rule: str, answer: str) -> None:
    workbook = openpyxl.load_workbook(copy)
    sheet = workbook[next(s for s in workbook.sheetnames if s.casefold() == FINDINGS.casefold())]
    for row in range(HEADINGS + 1, sheet.max_row + 1):
        if (sheet.cell(row, 2).value, sheet.cell(row, 9).value) == (recipe, rule):
            sheet.cell(row, 7).value = answer
    workbook.save(copy)


def test_an_answer_survives_the_other_program(book: Path, soffice: str, tmp_path: Path) -> None:
    """LibreOffice writes the whole copy anew when it saves; its answers are read all the same."""
    first = check(book)
    answered(first.copy, "Lugworm Scrub", "no-margin", "on purpose")
    saved = tmp_path / "saved"
    command = [soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx"]
    subprocess.run([*command, "--outdir", str(saved), str(first.copy)], check=True, capture_output=True, timeout=180)
    shutil.copy(saved / first.copy.name, first.copy)
    second = check(book)
    lugworm = [f for f in second.audit.findings if f.rule == "no-margin"]
    assert [(f.signal, f.answer) for f in lugworm] == [("NOTICE", "on purpose")]


def test_an_answer_in_another_language_is_understood(book: Path) -> None:
    with speaking(Voice(catalogue=Shouting())):
        first = check(book)
        answered(first.copy, "Lugworm Scrub", "no-margin", "ON PURPOSE")
        assert set(read_answers([first.copy]).to_findings.values()) == {"on purpose"}
        assert "CHECK SUMMARY" in openpyxl.load_workbook(first.copy).sheetnames
    assert SUMMARY == "Check summary"


def test_what_a_formula_makes_by_itself_is_not_suggested() -> None:
    """Water that is reckoned from the lye follows when the lye is put right: only the lye is to be changed."""
    lye = Change("S", "D65", "114.7 g", 141.6, "g", name="NaOH")
    water = Change("S", "D66", "232.9 g", 287.4, "g", name="Water", reads_from=("D65", "C58"))
    repair = Repair("stale", (lye, water), 0.99, 5.7, "why")
    finding = Finding("superfat-not-as-stated", Signal.WARNING, "S", "D65", "m", certainty="sure", repairs=(repair,))
    assert in_short(finding) == "Superfat differs from what you wrote: D65 NaOH: 114.7 g → 141.6 g (sure)."
    assert suggested_changes(finding) == (lye,)
    alone = replace(finding, repairs=(replace(repair, changes=(water,)),))
    assert suggested(alone).endswith("(sure). D66 holds a formula: look at D65 and C58, which it reads.")
    assert "by way of D65 and C58" in suggested_in_short(alone)
