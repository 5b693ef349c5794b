"""Doubtful words settled by the whole book, and asked about where it does not tell."""

from __future__ import annotations

import pytest
from book_files import parse

from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.settings import Settings

# Superfat 5 %, lye to 30 %: worked out with the usual values of olive, coconut and lard (192.5, 256.7 and 198 mg KOH
# per g, the tables' own; their sources are in reference/sources.csv).
HEAD = "== Recipes g\nRecipe | {one} | {two} | Lard | {lye} | Water | SF\n"
ROWS = (
    "One | 500 | 250 | 250 | 138.6 | 323 | 5",
    "Two | 600 | 300 | 100 | 141.6 | 330 | 5",
    "Three | 400 | 200 | 400 | 137.2 | 320 | 5",
    "Four | 700 | 150 | 150 | 134.5 | 314 | 5",
    "Five | 300 | 300 | 400 | 142.1 | 332 | 5",
)


def book(one: str, two: str, lye: str, rows: tuple[str, ...] = ROWS, settings: Settings | None = None) -> Book:
    text = HEAD.format(one=one, two=two, lye=lye) + "\n".join(rows) + "\n"
    return read_book(parse(text).workbook, settings or Settings(), weighed=True)


def meant(read: Book) -> dict[str, str]:
    return {a.text: a.means for a in read.assumed}


def test_words_that_rows_agree_on_are_assumed_and_said() -> None:
    read = book("OO", "CO", "caustic")
    assert meant(read) == {"OO": "olive oil", "CO": "coconut oil", "caustic": "sodium hydroxide"}
    assert not read.questions
    assert all(a.probability > 0.9 and a.recipes and a.cells for a in read.assumed)


@pytest.mark.parametrize("faulty", range(5))
def test_a_slip_in_one_row_changes_no_meaning(faulty: int) -> None:
    # with ten times the lye, and with a fifth of it left out, the row must stay as wrong as it is
    for factor in (10.0, 0.8, 1.2):
        cells = ROWS[faulty].split(" | ")
        cells[4] = f"{float(cells[4]) * factor:.1f}"
        rows = (*ROWS[:faulty], " | ".join(cells), *ROWS[faulty + 1 :])
        read = book("OO", "CO", "caustic", rows)
        assert meant(read).get("CO", "asked") in ("coconut oil", "asked")
        assert "CO" in meant(read) or "CO" in [q.text for q in read.questions]


def test_one_row_alone_settles_no_short_form_and_it_is_asked_once() -> None:
    read = book("OO", "CO", "lye", ROWS[:1])
    asked = {q.text: q for q in read.questions}
    assert "CO" in asked
    assert asked["CO"].recipes == (1,)
    assert "coconut oil" in [c.means for c in asked["CO"].choices]


def test_an_answer_ends_the_question() -> None:
    read = book("OO", "CO", "lye", ROWS[:1], Settings(names={"CO": "coconut oil", "OO": "olive oil"}))
    assert not read.questions
    assert set(read.components["name_certainty"]) == {"exact"}


def test_a_fat_that_no_table_has_is_asked_about_and_never_assumed() -> None:
    read = book("Olive", "Zzyx", "lye")
    assert "Zzyx" not in meant(read)
    assert [q.text for q in read.questions] == ["Zzyx"]
