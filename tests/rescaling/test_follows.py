"""What follows from a batch: bars, days, cost; and the frames that a notebook gets."""

import datetime as dt
import math
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from rescaled_books import KITCHEN, OUNCE, audit_of, shapes_book

import sheetcheck
from sheetcheck.pipeline import rescale as write
from sheetcheck.rescaling.bench import read_bench
from sheetcheck.rescaling.follows import bars_of, cost, pours_of
from sheetcheck.rescaling.prices import Prices, prices_of
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.scaling import Rescaled, rescale
from sheetcheck.rescaling.targets import read_targets
from sheetcheck.workbook.read import read_workbook
from tests.books import write_book


def one(to: str, **bench: str) -> tuple[Job, Rescaled]:
    done = rescale(audit_of([KITCHEN]), read_targets([to], {}), read_bench(bench))
    return next(job_rows(done.jobs)), done


def test_a_bar_cannot_lose_more_than_its_water_and_no_loss_is_invented() -> None:
    bars = bars_of(*one("bars=40 x 4 oz"))
    assert bars is not None
    assert bars.fresh == pytest.approx(4 * OUNCE, rel=0.01)
    dry = (80 + 10.56) / (80 + 10.56 + 24)  # without its 24 oz of water, by hand
    assert bars.least == pytest.approx(bars.fresh * dry, rel=0.002)
    assert bars.most == bars.fresh
    said = bars_of(*one("bars=40 x 4 oz", cure_loss="8-12 %"))
    assert said is not None
    assert (said.least, said.most) == pytest.approx((said.fresh * 0.88, said.fresh * 0.92))
    assert bars_of(*one("x2")) is None


@pytest.mark.parametrize(
    "rows",
    [
        [["Oil", "Price per kg"], ["Lard", 4.0], ["Lye", "6.00"], ["Lard", 5.0]],
        [["What", "Cost (£/kg)"], ["Lye", "£6"], ["Lard", "£5.00"]],
        [["Ingredient", "Pack size", "Price £"], ["Lard", "2 kg", 10], ["Lye", "500 g", 3]],
        [["Ingredient", "Size (kg)", "Price"], ["Lard", 2, 10], ["Lye", 0.5, 3]],
        [["Ingredient", "Price"], ["Lard", "£5.00 per kg"], ["Lye", "0.60 / 100 g"]],
    ],
)
def test_prices_by_what_they_buy(tmp_path: Path, rows: list[list[object]]) -> None:
    prices = prices_of(read_workbook(write_book(tmp_path / "book.xlsx", {"Prices": rows})))
    assert prices.per_g == pytest.approx({"lard": 0.005, "sodium hydroxide": 0.006})


@pytest.mark.parametrize(
    "rows",
    [
        [["Ingredient", "Price"], ["Lard", 5.0]],  # for how much?
        [["Soap", "Cost per batch"], ["Lard", 12.0]],
        [["Soap", "Lard (oz)", "Lye (oz)"], ["Kitchen", 32, 4.2]],
    ],
)
def test_no_price_is_guessed(tmp_path: Path, rows: list[list[object]]) -> None:
    assert not prices_of(read_workbook(write_book(tmp_path / "book.xlsx", {"Prices": rows})))


def test_cost_by_hand_and_what_has_no_price_is_named() -> None:
    job, done = one("x1")
    found = cost(job, replace(done, prices=Prices({"lard": 0.005}, "£")))
    assert found is not None
    assert found.money == pytest.approx(80 * OUNCE * 0.005)
    assert found.unpriced == ("sodium hydroxide",), "water comes from the tap"
    assert cost(job, done) is None


def test_days_of_cutting_and_curing_stand_on_the_sheet(tmp_path: Path) -> None:
    _, result = write(shapes_book(tmp_path / "book.xlsx"), ["x2"], date=dt.date(2026, 5, 1))
    book = openpyxl.load_workbook(result, data_only=True)
    sheet = book[next(name for name in book.sheetnames if name.startswith("W1 "))]
    (row,) = [c.row for c in sheet["A"] if str(c.value).startswith("Cured (four to six weeks")]
    days = [sheet.cell(row, column).value for column in (6, 7)]
    assert [day.date() for day in days] == [dt.date(2026, 5, 29), dt.date(2026, 6, 12)]


def test_a_notebook_gets_frames_and_writes_nothing(tmp_path: Path) -> None:
    book = shapes_book(tmp_path / "book.xlsx")
    done = sheetcheck.rescale(book, "x2")
    assert len(done.recipes) == 9
    assert {"name", "label", "batches", "superfat_typical", "weigh_unit"} <= set(done.recipes.columns)
    grams = done.amounts.groupby("batch")["grams"].sum()
    assert grams.to_numpy() == pytest.approx(done.recipes["batch_g"].to_numpy(), rel=1e-9)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["book.xlsx"]


def test_what_the_package_offers_can_be_seen() -> None:
    assert {"audit", "check", "rescale"} <= set(dir(sheetcheck))


def test_bars_of_moulds_that_are_cut_differently_have_no_one_weight() -> None:
    job, done = one("mould=slab 12 x 9 x 1.25 in (24 bars) + 2 cylinder 3 x 10 in (10 bars each)")
    bars = bars_of(job, done)
    assert bars is not None
    assert bars.count == 44
    assert math.isnan(bars.fresh)
    each = [pour.grams / pour.mould.bars for pour in pours_of(job, done)]
    assert each[1] > 1.2 * each[0], "bars of the cylinders are larger"
    alike, done = one("mould=slab 12 x 9 x 1.25 in (24 bars) + 2 slab 12 x 9 x 1.25 in (24 bars each)")
    same = bars_of(alike, done)
    assert same is not None
    assert same.fresh * 72 == pytest.approx(0.98 * alike.batch_g)
