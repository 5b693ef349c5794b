"""What the plan of a copy holds, before any file is written."""

import dataclasses
import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import (
    ACROSS_A_PAGE,
    Audit,
    CellContent,
    Formula,
    Link,
    Mark,
    NewSheet,
    ResultColumns,
    Signal,
    Styled,
)
from sheetcheck.reading.answers import beside_questions
from sheetcheck.report import results
from sheetcheck.report.marks import plan
from sheetcheck.report.places import CAUTIONS, FINDINGS, RESULTS, SUMMARY, VALUES
from sheetcheck.words import Voice, catalogue, languages, speaking

DAY = dt.date(2026, 1, 2)


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


@pytest.fixture(scope="module")
def marks(farm: Audit) -> list[Mark]:
    return plan(farm, DAY)


def sheet(marks: list[Mark], name: str) -> NewSheet:
    return next(m for m in marks if isinstance(m, NewSheet) and m.name == name)


def inner(content: CellContent) -> object:
    return content.value if isinstance(content, Styled) else content


def contents(marks: list[Mark]) -> Iterator[object]:
    for mark in marks:
        if isinstance(mark, NewSheet):
            yield from (inner(c) for row in mark.rows for c in row)
        if isinstance(mark, ResultColumns):
            yield from (inner(c) for row in mark.values.values() for c in row)


def text(content: CellContent) -> str:
    value = inner(content)
    return str(value.text if isinstance(value, Link) else value.value if isinstance(value, Formula) else value or "")


def test_a_book_that_is_audited_twice_has_the_same_plan(farm: Audit, marks: list[Mark]) -> None:
    assert plan(farm, DAY) == marks


def test_the_verdict_carries_its_day(marks: list[Mark]) -> None:
    columns = [m for m in marks if isinstance(m, ResultColumns)]
    assert [c.headings[1] for c in columns] == ["Verdict of 2026-01-02"] * 2


def test_every_heading_has_room_on_one_line(marks: list[Mark]) -> None:
    for columns in (m for m in marks if isinstance(m, ResultColumns)):
        assert all(len(h) <= w + 0.2 for h, w in zip(columns.headings, columns.widths, strict=True))


@pytest.mark.parametrize("language", languages())
def test_verdicts_fit_a_page_and_so_do_the_figures(language: str, farm: Audit) -> None:
    """A page of A4 or Letter, upright, with the margins of a new workbook, is as wide as this in LibreOffice."""
    with speaking(Voice(catalogue=catalogue(language))):
        marks = plan(farm)
    for columns in (m for m in marks if isinstance(m, ResultColumns)):
        assert sum(columns.widths[:3]) <= ACROSS_A_PAGE
        assert sum(columns.widths[3:]) <= ACROSS_A_PAGE


def test_reasons_are_short(marks: list[Mark]) -> None:
    for columns in (m for m in marks if isinstance(m, ResultColumns)):
        for row in columns.values.values():
            assert len(text(row[2])) <= 70


def test_a_flagged_verdict_leads_to_its_finding_and_back(farm: Audit, marks: list[Mark]) -> None:
    findings = sheet(marks, FINDINGS).rows
    numbers = {str(r.name): r for r in farm.recipes.itertuples()}
    followed = 0
    for columns in (m for m in marks if isinstance(m, ResultColumns)):
        for row, cells in columns.values.items():
            verdict = inner(cells[1])
            if isinstance(verdict, Formula) and verdict.link is not None:
                assert verdict.link.sheet == FINDINGS
                finding = findings[int(verdict.link.cell[1:]) - 1]
                names = text(finding[1]).split(", ")
                assert {numbers[name].row for name in names} == {row}
                followed += 1
    assert followed >= 14


def test_no_formula_says_fine_but_as_a_verdict_that_was_given(marks: list[Mark]) -> None:
    for value in contents(marks):
        if isinstance(value, Formula) and '"fine"' in value.text:
            assert value.text.startswith("IF(IFERROR(AND(")
            assert value.value == "fine"


def test_the_worst_comes_first_and_all_of_it_is_there(marks: list[Mark], farm: Audit) -> None:
    rows = sheet(marks, SUMMARY).rows
    begin = next(i for i, row in enumerate(rows) if row and text(row[0]) == "Worst first") + 1
    count = sum(f.signal is not Signal.NOTICE for f in beside_questions(farm.findings, farm.book))
    first = rows[begin : begin + count]
    assert [text(row[0]) for row in first][:5] == ["◆ DANGER"] * 4 + ["▲ WARNING"]
    assert all(text(row[0]) for row in first)
    assert all(len(text(row[3]).split()) <= 25 + 8 for row in first)  # eight of a suggestion's own
    assert all(isinstance(inner(row[1]), Link) for row in first)


def test_cautions_say_what_matters_most(marks: list[Mark]) -> None:
    for name in (SUMMARY, CAUTIONS):
        words = " ".join(text(c) for row in sheet(marks, name).rows for c in row).lower()
        for said in ("gloves", "goggles", "never liquid into lye", "30 minutes", "rinse the mouth", "where you live"):
            assert said in words, f"{name}: {said}"


def test_every_value_has_a_source(marks: list[Mark]) -> None:
    rows = {text(row[0]): row for row in sheet(marks, VALUES).rows if row}
    for name in ("olive oil", "coconut oil", "lard", "goat milk"):
        low, typical, high = (inner(rows[name][i]) for i in (2, 3, 4))
        assert low <= typical <= high  # type: ignore[operator]  # numbers, by the sheet's headings
        assert len(text(rows[name][12])) > 5


def test_alone_nothing_refers_to_the_sheets_of_the_book(farm: Audit) -> None:
    alone = plan(farm, DAY, alone=True)
    assert all(isinstance(mark, NewSheet) for mark in alone)
    ours = {mark.name for mark in alone if isinstance(mark, NewSheet)}
    assert len(sheet(alone, RESULTS).rows) == 1 + len(farm.recipes)
    for value in contents(alone):
        if isinstance(value, Link):
            assert value.sheet in ours
        if isinstance(value, Formula):
            assert "Ounces!" not in value.text
            assert "Grams!" not in value.text


def test_beyond_so_many_recipes_results_are_values_and_the_summary_says_so(
    farm: Audit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(results, "LIVE_UP_TO", 10)
    marks = plan(farm, DAY)
    for columns in (m for m in marks if isinstance(m, ResultColumns)):
        assert not any(isinstance(inner(c), Formula) for row in columns.values.values() for c in row)
    words = " ".join(text(c) for row in sheet(marks, SUMMARY).rows for c in row)
    assert "plain values" in words


def test_live_and_plain_results_show_the_same(farm: Audit, monkeypatch: pytest.MonkeyPatch) -> None:
    live = [m for m in plan(farm, DAY) if isinstance(m, ResultColumns)]
    monkeypatch.setattr(results, "LIVE_UP_TO", 10)
    plain = [m for m in plan(farm, DAY) if isinstance(m, ResultColumns)]
    for one, other in zip(live, plain, strict=True):
        for row in one.values:
            for a, b in zip(one.values[row], other.values[row], strict=True):
                shown, meant = text(a), text(b)
                assert shown == meant or float(shown) == pytest.approx(float(meant), abs=6e-4)


def test_withheld_lye_is_nowhere(farm: Audit, marks: list[Mark]) -> None:
    sea_beet = farm.recipes[farm.recipes["name"] == "Sea Beet"].iloc[0]
    columns = next(m for m in marks if isinstance(m, ResultColumns) and m.sheet == "Ounces")
    assert columns.values[int(sea_beet["row"])][6:8] == [None, None]


def test_a_mark_refers_to_no_sheet_that_the_copy_has_not(farm: Audit, marks: list[Mark]) -> None:
    names = {m.name for m in marks if isinstance(m, NewSheet)} | {s.sheet for s in farm.book.sheets}
    for value in contents(marks):
        if isinstance(value, Link):
            assert value.sheet in names


def test_a_book_without_findings_has_nothing_to_put_right(root: Path) -> None:
    audit = sheetcheck.audit(root / "examples/clean_book/clean_book.xlsx")
    words = " ".join(text(c) for row in sheet(plan(audit, DAY), SUMMARY).rows for c in row)
    assert "Nothing amiss in 12 recipes." in words
    assert "Nothing to put right." in words
    assert dataclasses.asdict(sheet(plan(audit, DAY), FINDINGS))["tab"] == "NOTICE"
