"""A book that shows decimal commas is spoken of with decimal commas; what programs read stays as it is."""

from __future__ import annotations

import json
import re
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from sheetcheck.pipeline import annotate, audit, check, rescale
from sheetcheck.reading.amounts.decimal_mark import decimal_mark
from sheetcheck.reading.answers import ANSWER_HEADING, KEY_HEADING, ON_PURPOSE, keys_of
from sheetcheck.report.json_report import build
from sheetcheck.words import Manner, speaking
from sheetcheck.workbook.read import read_workbook
from tests.books import write_book

HEADINGS = ["Rezept", "Olivenöl", "Kokosöl", "NaOH", "Wasser", "Überfettung"]
SOUND = [["Abend", 17.5, 7.5, 3.52, 8.25, "5 %"], ["Morgen", 35.0, 15.0, 7.04, 16.5, "5 %"]]
ODD = [["Mittag", 17.5, 7.5, "4,75 oz", 8.25, "5 %"], ["Nacht", 17.5, 7.5, 2.52, 8.25, "5 %"]]
SHEET = [["Alle Mengen in oz"], HEADINGS, *SOUND, *ODD]
POINT = re.compile(r"\d\.\d")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(tmp_path / "Rezepte.xlsx", {"Seifen": SHEET})


def _mark(path: Path) -> str:
    return decimal_mark(read_workbook(path).grids)


@pytest.mark.parametrize(
    ("texts", "mark"),
    [
        (["9,5 oz"], ","),
        (["1.250,5 g"], ","),
        (["Olivenöl 9,5 oz, NaOH 1,25 oz"], ","),
        (["12,5"], ","),
        (["2,5 %"], ","),
        (["9.5 oz"], "."),
        ([], "."),
        (["1.250 g", "1,250 g"], "."),  # either may be thousands
        (["batches 3,12 and 4", "10,99 €", "3.12.2024", "A,5"], "."),  # no amounts
        (["9,5 oz", "9.5 oz"], "."),  # both
        (["9,5 oz", "9,5 oz", "9,5 oz", "9,5 oz", "9,5 oz", "9.5 oz"], ","),
    ],
)
def test_the_texts_of_a_book_show_its_decimal_mark(texts: list[str], mark: str, tmp_path: Path) -> None:
    assert _mark(write_book(tmp_path / "b.xlsx", {"A": [[text] for text in texts] or [["Soap", 12.5]]})) == mark


@pytest.mark.parametrize(
    ("number_format", "text", "mark"),
    [
        ("[$-407]0.00", "Seife", ","),
        ("#,##0.00 [$€-407]", "Seife", ","),
        ("[$-409]0.00", "Soap", "."),
        ("[$-80A]0.00", "Jabón", "."),  # Mexico
        ("[$-F800]dddd", "Soap", "."),  # the system's own
        ("0.00", "Soap", "."),
        ("[$-407]0.00", "9.5 oz", "."),  # a text goes before a format
    ],
)
def test_else_its_number_formats_do(number_format: str, text: str, mark: str, tmp_path: Path) -> None:
    place = tmp_path / "b.xlsx"
    with xlsxwriter.Workbook(str(place)) as made:
        sheet = made.add_worksheet()
        sheet.write(0, 0, text)
        sheet.write(0, 1, 9.5, made.add_format({"num_format": number_format}))
    assert _mark(place) == mark


def test_a_file_of_text_shows_it_too(tmp_path: Path) -> None:
    place = tmp_path / "b.csv"
    place.write_text("Rezept;Olivenöl (g);NaOH (g);Wasser (g)\nAbend;500,5;64,2;150,0\n", encoding="utf-8")
    assert _mark(place) == ","


def test_findings_and_the_copy_speak_so(book: Path, tmp_path: Path) -> None:
    result = audit(book)
    assert result.book.manner.decimal_mark == ","
    said = [t for f in result.findings for t in (f.message, f.expected, f.look_at)]
    assert any("4,75 oz" in text for text in said)
    assert any("2,52 oz" in text for text in said)  # a number in its cell
    assert [text for text in said if POINT.search(text)] == []

    copy = openpyxl.load_workbook(annotate(result, book, tmp_path / "copy.xlsx").copy)
    texts = [
        text
        for sheet in copy
        if sheet.sheet_state == "visible" and sheet.title not in ("Check cautions", "Check values")
        for row in sheet.iter_rows()
        for cell in row
        for text in (cell.value, cell.comment.text if cell.comment else None)
        if isinstance(text, str) and not text.startswith(("=", "Beside your recipes"))  # with an example of hers
    ]
    assert any("2,52 oz" in text for text in texts)
    assert [text for text in texts if POINT.search(text)] == []
    assert isinstance(copy["Seifen"]["B3"].value, float)


def test_what_programs_read_is_the_same_in_every_style(book: Path) -> None:
    german = audit(book)
    with speaking(Manner().voice()):
        report = build(german)
    plain = write_book(book.with_name("Plain.xlsx"), {"Seifen": [*SHEET[:4], ["Mittag", 17.5, 7.5, 4.75, 8.25, "5 %"]]})
    english = audit(plain)
    assert english.book.manner.decimal_mark == "."
    written = {c["cell"]: c["written"] for r in report["recipes"] for c in r["components"]}
    assert (written["B3"], written["D5"], written["D6"]) == ("17.5", "4,75 oz", "2.52")
    changed = [change for f in report["findings"] for r in f["repairs"] for change in r["changes"]]
    assert changed
    assert all(change["written"] in ("2.52 oz", "4,75 oz") for change in changed if change["cell"] in ("D5", "D6"))
    assert json.dumps(report)


def test_keys_of_answers_do_not_hang_on_the_style(book: Path) -> None:
    german = audit(book)
    keys = keys_of(german.findings, german.book)
    with speaking(Manner(decimal_mark=".").voice()):
        assert keys_of(german.findings, german.book) == keys
    numbers = [f for f in german.findings if f.is_number]
    assert numbers
    for finding in numbers:
        assert "," not in finding.written
        with speaking(german.book.manner.voice()):
            assert finding.shown == finding.written.replace(".", ",")


def test_an_answer_is_taken_up_when_the_style_changes(book: Path, tmp_path: Path) -> None:
    copy = check(book, tmp_path / "Rezepte.checked.xlsx").copy
    opened = openpyxl.load_workbook(copy)
    sheet = opened["Check findings"]
    headings = {c.value: c.column for row in sheet.iter_rows(max_row=6) for c in row}
    for row in range(1, sheet.max_row + 1):
        if sheet.cell(row, headings[KEY_HEADING]).value and sheet.cell(row, 3).value == "Seifen!D6":
            sheet.cell(row, headings[ANSWER_HEADING]).value = ON_PURPOSE
    opened.save(copy)
    write_book(book, {"Seifen": [*SHEET[:4], ["Mittag", 17.5, 7.5, "4.75 oz", 8.25, "5 %"], SHEET[5]]})

    again = check(book, copy, overwrite=True).audit

    assert again.book.manner.decimal_mark == "."
    assert [f.answer for f in again.findings if f.cell == "D6" and f.rule != "answer-not-needed"] == [ON_PURPOSE]


def test_a_rescaled_book_is_read_as_it_was_meant(book: Path, tmp_path: Path) -> None:
    rescaled, place = rescale(book, ["x2"], tmp_path / "big.xlsx")
    assert len(rescaled.jobs)
    again = audit(place)
    assert not again.book.components["problem"].notna().any()
