"""The sheets that say how the book was read and with what values it was computed; the words of notes."""

import dataclasses
import datetime as dt
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, CellContent, CellMark, Formula, Link, Mark, NewSheet, Signal, Styled
from sheetcheck.reference import cautions
from sheetcheck.report.marks import LONGEST_NOTE, note, plan
from sheetcheck.report.places import CAUTIONS, READING, SUMMARY, VALUES
from sheetcheck.report.words import FINE, VALUES_HEADINGS
from sheetcheck.settings import Settings
from sheetcheck.words import Manner, Voice, speaking
from tests.books import write_book
from tests.report.kitchen import SHEETS
from tests.report.voices import Shouting

DAY = dt.date(2026, 1, 2)
OWN_VALUES = [["Saponification values", "mg KOH per g"], ["Olive oil", 190.5], ["Lard", 194], ["Coconut oil", 257]]


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Path:
    sheets = SHEETS | {"Chart": OWN_VALUES, "To buy": [["What", "Pieces"], ["Jars", 4], ["Labels", 100]]}
    return write_book(tmp_path_factory.mktemp("book") / "kitchen.xlsx", sheets)


@pytest.fixture(scope="module")
def audit(kitchen: Path) -> Audit:
    return sheetcheck.audit(kitchen)


@pytest.fixture(scope="module")
def marks(audit: Audit) -> list[Mark]:
    return list(plan(audit, DAY))


def sheet(marks: list[Mark], name: str) -> NewSheet:
    return next(m for m in marks if isinstance(m, NewSheet) and m.name == name)


def text(content: CellContent) -> str:
    value = content.value if isinstance(content, Styled) else content
    value = value.value if isinstance(value, Formula) else value.text if isinstance(value, Link) else value
    return "" if value is None else str(value)


def table(found: NewSheet) -> list[list[str]]:
    return [[text(content) for content in row] for row in found.rows]


def test_what_was_not_read_stands_first_with_a_link(root: Path) -> None:
    farm = sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")
    found = sheet(list(plan(farm, DAY)), READING)
    rows = table(found)
    first = next(number for number, row in enumerate(rows) if row[:1] == ["Not read"])
    block = next(number for number, row in enumerate(rows) if row[:1] == ["Ounces"])
    assert first < block
    not_read = rows[first + 1 : first + 1 + len(farm.book.not_understood)]
    assert {row[1] for row in not_read} == {"Shopping!A1", "Grams!D17"}
    assert isinstance(found.rows[first + 1][1], Link)
    assert all(len(row[3]) > 5 for row in not_read)


def test_each_sheet_has_a_block_with_what_its_columns_were_taken_for(marks: list[Mark], audit: Audit) -> None:
    rows = table(sheet(marks, READING))
    for name in audit.book.sheets:
        assert [name.sheet] in [row[:1] for row in rows]
    by_heading = {row[1]: row for row in rows if len(row) == 4}
    assert by_heading["Lye (g)"][2:] == ["alkali: sodium hydroxide", "g (heading)"]


def test_units_in_the_cells_are_said(marks: list[Mark]) -> None:
    rows = table(sheet(marks, READING))
    start = next(number for number, row in enumerate(rows) if row[:1] == ["List"])
    amounts = next(row for row in rows[start:] if row[1:2] == ["Amount"])
    assert amounts[3].endswith("(in the cells)")
    assert {"g", "oz", "lb"} <= set(amounts[3].removesuffix(" (in the cells)").split(", "))


def test_her_own_values_stand_beside_and_only_these(marks: list[Mark]) -> None:
    rows = {row[0]: row for row in table(sheet(marks, VALUES)) if len(row) == len(VALUES_HEADINGS)}
    own = VALUES_HEADINGS.index("Your own")
    assert {name: row[own] for name, row in rows.items() if row[own] and name != "Substance"} == {
        "olive oil": "190.5",
        "lard": "194.0",
        "coconut oil": "257.0",
    }


def test_used_is_her_own_value_where_the_setting_says_so(kitchen: Path) -> None:
    used = VALUES_HEADINGS.index("Used")
    for in_use, sentence in ((False, "shown, not used"), (True, "are used")):
        marks = list(plan(sheetcheck.audit(kitchen, Settings(use_own_values=in_use)), DAY))
        rows = table(sheet(marks, VALUES))
        olive = next(row for row in rows if row[:1] == ["olive oil"])
        assert (float(olive[used]) == 190.5) is in_use
        assert sentence in rows[-1][0]


def test_every_caution_has_its_sentence_and_its_source(marks: list[Mark]) -> None:
    rows = table(sheet(marks, CAUTIONS))
    said = {row[0]: row[1] for row in rows if len(row) == 2}
    for caution in cautions():
        assert len(said[caution.sentence]) > 10


def test_notes_are_short_and_one_a_cell(root: Path) -> None:
    farm = sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")
    marked = [m for m in plan(farm, DAY) if isinstance(m, CellMark)]
    assert len({(m.sheet, m.cell) for m in marked}) == len(marked) >= 15
    for mark in marked:
        assert mark.note is not None
        assert len(mark.note) <= LONGEST_NOTE
        assert mark.note.startswith(f"{mark.signal}: ")


def test_a_note_that_is_too_long_ends_where_the_rest_stands(root: Path) -> None:
    farm = sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")
    long = note([f for f in farm.findings if f.signal is Signal.DANGER] * 2)
    assert len(long) <= LONGEST_NOTE
    assert long.endswith(" … (see the findings)")


def test_a_mixed_book_shows_no_recipe_as_fine_that_was_not_checked(marks: list[Mark], audit: Audit) -> None:
    shown = {row[0]: row[1] for row in table(sheet(marks, "Check results"))[1:]}
    for name, verdict in zip(audit.recipes["name"], audit.recipes["verdict"], strict=True):
        if name in shown and verdict == "not checked":
            assert shown[name] != FINE


def test_all_words_of_our_own_are_said_in_the_language(audit: Audit) -> None:
    """Headings, titles and what is said of the book as a whole; sentences of rules are theirs to translate."""
    with speaking(Voice(catalogue=Shouting())):
        spoken = list(plan(audit, DAY))
    for name in (SUMMARY, VALUES, CAUTIONS):
        ours = [c for row in sheet(spoken, name).rows for c in row if isinstance(c, Styled)]
        for style in ("title", "heading", "heading of numbers", "verdict", "strong"):
            for content in (text(c) for c in ours if c.style == style):
                assert content == content.upper(), f"{name}: {content}"


def test_cached_texts_have_the_decimal_mark_of_the_book_and_numbers_stay_numbers(audit: Audit) -> None:
    book = dataclasses.replace(audit.book, manner=Manner(decimal_mark=","))
    spoken = sheet(list(plan(dataclasses.replace(audit, book=book), DAY)), "Check results")
    row = next(row for row in spoken.rows if text(row[0]) == "Shop lye")
    assert "," in text(row[4])
    assert "." not in text(row[4])
    for at in (3, 5, 6, 7, 8):
        value = row[at].value  # type: ignore[union-attr]  # a styled cell
        assert isinstance(value.value if isinstance(value, Formula) else value, float)
