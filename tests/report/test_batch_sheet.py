"""The sheet of what comes out: for every recipe whose batch is known, and nothing that invites to make free lye."""

import math
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, CellContent, Link, NewSheet, Styled
from sheetcheck.report.batch_sheet import FIRST, HEADINGS, batch_sheet
from sheetcheck.report.cautions_sheet import cautions_sheet
from sheetcheck.report.json_report import build
from tests.books import write_book


@pytest.fixture(scope="module")
def audit(tmp_path_factory: pytest.TempPathFactory) -> Audit:
    rows = [
        ["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"],
        ["Plain", 80, 24.29, 10.86],
        ["Heavy", 64, 24, 13],
        ["Unread", "some", 24, 9],
    ]
    return sheetcheck.audit(write_book(tmp_path_factory.mktemp("book") / "book.xlsx", {"Recipes": rows}))


@pytest.fixture(scope="module")
def sheet(audit: Audit) -> NewSheet:
    made = batch_sheet(audit)
    assert made is not None
    return made


def value(content: CellContent) -> object:
    return content.value if isinstance(content, Styled) else content


def by_heading(sheet: NewSheet, row: int) -> dict[str, object]:
    return dict(zip(HEADINGS, map(value, sheet.rows[row]), strict=True))


def test_a_line_for_each_recipe_of_known_batch(sheet: NewSheet) -> None:
    links = [row[0] for row in sheet.rows[FIRST - 1 :]]
    assert [(link.text, link.cell) for link in links if isinstance(link, Link)] == [("Plain", "A2"), ("Heavy", "A3")]


def test_what_comes_out_of_a_sound_recipe(sheet: NewSheet) -> None:
    plain = by_heading(sheet, FIRST - 1)
    assert plain["Into the pot"] == pytest.approx(80 + 24.29 + 10.86)
    assert plain["Dry soap, at least"] == pytest.approx(80 + 10.86)
    assert plain["Free alkali, %"] == 0
    parts = [plain[part] for part in ("Soap, %", "Fat left over, %", "Glycerine, %")]
    assert all(isinstance(part, float) and part > 0 for part in parts)
    assert 65 < float(str(plain["Hottest the lye can get, °C"])) < 110  # over an open jug; common practice


def test_free_lye_has_its_share_and_no_promise_of_soap(sheet: NewSheet) -> None:
    heavy = by_heading(sheet, FIRST)
    assert float(str(heavy["Free alkali, %"])) > 0.05
    assert heavy["Soap, %"] is heavy["Fat left over, %"] is None


def test_it_says_the_limit_and_how_hot_lye_becomes(sheet: NewSheet) -> None:
    said = " ".join(str(value(row[0])) for row in sheet.rows[1:3])
    assert "0.05 %" in said
    assert "never liquid into lye" in said


def test_the_report_has_the_same(audit: Audit, sheet: NewSheet) -> None:
    told = {r["name"]: r["comes_out"] for r in build(audit)["recipes"]}
    assert told["Plain"]["batch_g"] == pytest.approx(115.15 * 28.349523, abs=0.01)
    assert told["Heavy"]["free_alkali_percent"] == pytest.approx(
        float(str(by_heading(sheet, FIRST)["Free alkali, %"])), abs=1e-3
    )
    assert told["Unread"]["batch_g"] is None
    assert told["Plain"]["superfat_percent_if_lye_aged"] is None


def test_no_sheet_where_no_batch_is_known(tmp_path: Path) -> None:
    rows = [["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"], ["One", "some", 24, 9], ["Two", "a lump", 24, 9]]
    audit = sheetcheck.audit(write_book(tmp_path / "book.xlsx", {"Recipes": rows}))
    assert math.isnan(audit.recipes["batch_g"].max())
    assert batch_sheet(audit) is None


def test_the_cautions_say_how_hot_the_lye_of_this_book_becomes(audit: Audit) -> None:
    said = [str(value(row[0])) for row in cautions_sheet(audit).rows if row]
    (heat,) = (sentence for sentence in said if "at most by itself" in sentence)
    assert f"{audit.recipes['hottest_lye'].max():.0f} °C" in heat
    assert "beyond what common plastics stand" in heat
    assert len(cautions_sheet(audit).rows) == len(cautions_sheet().rows) + 1
