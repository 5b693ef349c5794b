"""What the page shows and asks, part by part."""

import datetime as dt
import math
from dataclasses import replace
from pathlib import Path

import pytest

from sheetcheck.errors import SettingError
from sheetcheck.model import Assumed, PossibleAnswer, Question, SinceLast
from sheetcheck.page import asked, sizes
from sheetcheck.page.excerpt import Excerpts, shown_text
from sheetcheck.page.result import ResultShown
from sheetcheck.pipeline import audit
from sheetcheck.reading.answers import Answers, all_listed, since_last
from sheetcheck.rescaling.mould_words import read_mould
from sheetcheck.settings import Settings
from sheetcheck.workbook.grid import Cell, CellStyle, Kind
from sheetcheck.workbook.marked import open_unmarked
from tests.books import write_book


def cell(number: float, code: str = "General", kind: Kind = Kind.NUMBER, text: str = "") -> Cell:
    return Cell(1, 1, kind, number, text, None, CellStyle(number_format=code))


@pytest.mark.parametrize(
    ("number", "code", "shown"),
    [
        (16, "General", "16"),
        (9.5, '0.00" oz"', "9.50 oz"),
        (1250, "#,##0", "1,250"),
        (1250, "0", "1250"),
        (1250.5, "#,##0.0", "1,250.5"),
        (0.05, "0%", "5\N{NO-BREAK SPACE}%"),
        (0.055, "0%", "5.5\N{NO-BREAK SPACE}%"),  # what is computed with, not what is rounded away
        (4.583, "0.00", "4.583"),
        (7, '"No. "0', "No. 7"),
        (2.5, "0.0\\ \\g", "2.5 g"),
        (3, '[Red]0.0_);("-"0.0)', "3.0"),
        (0.5, "# ?/?", "0.5"),
    ],
)
def test_a_number_shows_as_in_her_sheet(number: float, code: str, shown: str) -> None:
    assert shown_text(cell(number, code)) == shown


def test_other_cells_show_what_they_hold() -> None:
    assert shown_text(cell(math.nan, kind=Kind.TEXT, text="2 lb 3 oz")) == "2 lb 3 oz"
    assert shown_text(cell(math.nan, kind=Kind.ERROR, text="#REF!")) == "#REF!"
    assert shown_text(cell(1, kind=Kind.BOOL)) == "TRUE"


@pytest.fixture(scope="module")
def shore(root: Path) -> ResultShown:
    book = root / "examples/shore_book/shore_book.xlsx"
    done = audit(book)
    return ResultShown(done, Excerpts.of(done, open_unmarked(book).grids), {})


def test_worst_first(shore: ResultShown) -> None:
    looks = [recipe.look for recipe in shore.to_look_at]
    assert looks[:4] == ["danger"] * 4
    unchecked = [bool(recipe.why) for recipe in shore.to_look_at]
    urgent = [look in ("danger", "warning") or why for look, why in zip(looks, unchecked, strict=True)]
    assert urgent == sorted(urgent, reverse=True)
    assert not any(unchecked[-3:])
    assert len(shore.fine) == 26
    assert len(shore.to_look_at) == 14
    assert shore.without_rows == 0


def test_her_row_with_our_words_at_its_edge(shore: ResultShown) -> None:
    cockle = shore.to_look_at[0]
    assert cockle.name == "Cockle Row"
    assert cockle.excerpt is not None
    heading, row = cockle.excerpt.rows
    assert (heading.number, row.number) == (3, 8)
    assert [c.text for c in heading.cells if c][:3] == ["Soap", "Olive (oz)", "Coconut (oz)"]
    assert [c.cell for c in row.cells if c and c.doubted] == ["L8"]
    assert [p.text for p in row.pencilled] == ["L8 Lye: 128.4 oz → 128.4 g? (sure)"]
    assert all(a is not None or b is not None for a, b in zip(heading.cells, row.cells, strict=True))


def test_all_that_is_said_stands_somewhere(shore: ResultShown) -> None:
    said = {id(r.finding) for r in shore.about_many}
    said |= {id(r.finding) for recipe in (*shore.to_look_at, *shore.fine) for r in recipe.remarks}
    assert said == {id(f) for f in shore.audit.findings}
    for recipe in shore.to_look_at:
        assert recipe.excerpt is not None
        assert recipe.why or recipe.remarks or shore.about_many
        pencilled = [p for row in recipe.excerpt.rows for p in row.pencilled]
        assert len(pencilled) >= min(1, len(recipe.remarks))


def test_rows_of_every_shape(root: Path) -> None:
    """Rows of recipes as lists, as cards and beside each other: the doubted cell is among them."""
    for name in ("old_books/as_printed.xlsx", "whole_chemistry/drawer_book.xlsx", "whole_chemistry/mill_book.xlsx"):
        book = root / "examples" / name
        done = audit(book)
        excerpts = Excerpts.of(done, open_unmarked(book).grids)
        for finding in done.findings:
            if len(finding.about()) != 1 or not finding.repairs or finding.certainty is None:
                continue
            excerpt = excerpts.by_recipe[finding.about()[0]]
            doubted = {c.cell for row in excerpt.rows for c in row.cells if c is not None and c.doubted}
            assert {change.cell for change in finding.repairs[0].changes} <= doubted, (name, finding.cell)


def test_since_last_time(root: Path, tmp_path: Path) -> None:
    rows = [["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"], ["A", 80, 24.29, 10.86], ["B", 64, 24, 13]]
    before = audit(write_book(tmp_path / "b.xlsx", {"S": rows}))
    rows[2][3], rows[1][3] = 8.69, 14
    now = audit(write_book(tmp_path / "b.xlsx", {"S": rows}))
    assert since_last(Answers(listed=all_listed(before.findings, before.book)), now.findings, now.book) == SinceLast(
        1, 1, 0
    )
    assert root.exists()


# --------------------------------------------------------------------------- questions


def test_unknown_names_are_asked_once(shore: ResultShown) -> None:
    (question,) = asked.questions(shore.book)
    assert question.text == "Aunt's blend"
    assert question.ask.startswith("What is “Aunt's blend”?")
    assert question.cells == ("Ounces!J3",)


def test_names_that_the_reader_asks_nothing_about_are_asked_too(shore: ResultShown) -> None:
    (question,) = asked.questions(replace(shore.book, questions=()))
    assert (question.text, question.ask, question.choices) == ("Aunt's blend", "What is “Aunt's blend”?", ())
    assert question.cells == ("Ounces!J3",)


def test_the_readers_questions_come_first(shore: ResultShown) -> None:
    choices = (PossibleAnswer("total of the fats", 0.8, 17), PossibleAnswer("not an ingredient", 0.2, 0))
    book = replace(
        shore.book,
        questions=(Question("aunt's blend", "What is it?", ("Ounces!J3",), (1, 2), choices),),
        assumed=(Assumed("OO", "olive oil", ("S!D7",), (1,), "20 of 22 recipes come out as stated so", 0.999),),
    )
    (question,) = asked.questions(book)  # a word that the reader asks about is not asked about again
    assert question.recipes == 2
    assert [c.said for c in question.choices] == ["total of the fats (then 17 recipes come out)", "not an ingredient"]
    (assumed,) = asked.assumptions(book)
    assert (assumed.text, assumed.taken_for) == ("OO", "olive oil")


def test_meanings_become_names() -> None:
    offered = {"GFM": frozenset({"total of the fats"})}
    settings = asked.with_meanings(
        Settings(names={"old": "lard"}), {"GFM": "total of the fats", "x": " tallow "}, offered
    )
    assert dict(settings.names) == {"old": "lard", "GFM": "total of the fats", "x": "tallow"}
    assert dict(asked.with_meanings(settings, {"x": "", "GFM": ""}, {}).names) == {"old": "lard"}
    with pytest.raises(SettingError, match="no ingredient that is known"):
        asked.with_meanings(settings, {"x": "good lather"}, offered)


def test_words_are_kept_where_she_says_so() -> None:
    assert asked.kept() == {}
    words = {'a "quoted" = word\n': "lard", "\\x\t\x7f": "olive oil", "ä": "tallow"}
    asked.keep(words)
    asked.keep({"ä": "lard"})
    assert asked.kept() == {**words, "ä": "lard"}
    asked.kept_place().write_text("[names\nbroken", encoding="utf-8")
    assert asked.kept() == {}
    asked.forget()
    asked.forget()
    assert not asked.kept_place().exists()


# --------------------------------------------------------------------------- sizes


def test_the_form_says_what_the_command_would() -> None:
    wanted = sizes.wanted(
        {
            "times": ["2"],
            "fats": [" 5 lb "],
            "bars": [""],
            "moulds": ["Two loaves", "Shells"],
            "mould_count": ["2"],
            "mould_shape": ["box"],
            "mould_sizes": ["10 x 3.5 x 2.5"],
            "mould_unit": ["in"],
            "weigh_in": ["lb oz"],
            "pot": ["8 qt"],
            "headspace": [""],
            "keep_lye": ["yes"],
            "paper": ["letter"],
            "only": ["Quince"],
        }
    )
    assert wanted.to == ("x2", "fats=5 lb", "moulds=Two loaves", "moulds=Shells", "mould=2 box 10 x 3.5 x 2.5 in")
    assert dict(wanted.bench) == {"weigh_in": "lb oz", "pot": "8 qt"}
    assert (wanted.keep_lye, wanted.paper, wanted.only, wanted.also) == (True, "letter", ("Quince",), ())


def test_a_mould_by_the_water_that_fills_it() -> None:
    said = {"mould_shape": ["water"], "mould_sizes": ["950 g"], "mould_unit": ["cm"], "paper": ["a0"]}
    assert sizes.wanted(said).to == ("mould=1 water 950 g",)
    assert sizes.wanted(said).paper is None
    assert sizes.wanted({"mould_shape": ["fats"], "mould_sizes": ["60 oz"]}).to == ("mould=1 holds 60 oz of fats",)


def test_sizes_with_a_fraction_or_their_own_unit_stay_as_typed() -> None:
    half = sizes.wanted({"mould_shape": ["box"], "mould_sizes": ["3 1/2 x 10 x 2 1/2"], "mould_unit": ["in"]}).to[0]
    assert read_mould(half.removeprefix("mould="), "").ml == pytest.approx(3.5 * 10 * 2.5 * 2.54**3)
    own = sizes.wanted({"mould_shape": ["box"], "mould_sizes": ["10 x 3.5 x 2.5 in"], "mould_unit": ["cm"]}).to[0]
    assert own == "mould=1 box 10 x 3.5 x 2.5 in"


def test_the_date_of_a_batch() -> None:
    assert sizes.wanted({"times": ["2"], "date": ["2026-05-01"]}).date == dt.date(2026, 5, 1)
    assert sizes.wanted({"times": ["2"], "date": [""]}).date is None
    with pytest.raises(SettingError, match="such as"):
        sizes.wanted({"times": ["2"], "date": ["in May"]})


def test_a_form_without_a_size() -> None:
    with pytest.raises(SettingError, match="fill in one of the sizes"):
        sizes.wanted({"times": [" "]})
