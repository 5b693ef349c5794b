"""Which recipes are rescaled."""

import pytest

from sheetcheck.errors import SettingError
from sheetcheck.model import Audit
from sheetcheck.pipeline import audit
from sheetcheck.rescaling.bench import Bench
from sheetcheck.rescaling.choosing import choose
from sheetcheck.rescaling.scaling import rescale
from sheetcheck.rescaling.targets import read_targets
from tests.books import write_book

ROWS = [
    ["Soap", "Lard (oz)", "Coconut oil (oz)", "Lye (oz)", "Water (oz)", "Superfat %"],
    ["Sound", 24, 8, 4.55, 10.5, 5],
    ["Stale", 48, 16, 4.55, 10.5, 5],  # twice the fats on the old lye: WARNING
    ["Burning", 24, 8, 5.4, 10.5, 5],  # free lye: DANGER
    ["Unread", "a few", 8, 4.55, 10.5, 5],
    ["Mystery", 24, 8, 4.55, "some", 5],
]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Audit:
    return audit(write_book(tmp_path_factory.mktemp("choosing") / "book.xlsx", {"Soaps": ROWS}))


def taken(book: Audit, *also: str) -> list[str]:
    return choose(book, also)[0]["name"].tolist()


def test_flagged_and_unchecked_recipes_are_left_out_with_the_reason(book: Audit) -> None:
    assert taken(book) == ["Sound"]
    whys = {left.name: left.why for left in choose(book)[1]}
    assert whys["Stale"].startswith("WARNING: ")
    assert "--also" in whys["Stale"]
    assert whys["Burning"].startswith("DANGER: Free lye")
    assert "--also" not in whys["Burning"]
    assert "A5" in whys["Unread"] or "B5" in whys["Unread"]
    assert "Free lye cannot be ruled out" in whys["Unread"]


def test_the_maker_may_answer_for_a_flagged_recipe(book: Audit) -> None:
    assert taken(book, "stale") == ["Sound", "Stale"]


@pytest.mark.parametrize("name", ["Burning", "Unread", "Mystery"])
def test_free_lye_is_never_rescaled_nor_what_may_hold_some(book: Audit, name: str) -> None:
    assert taken(book, name) == ["Sound"]


def test_an_answered_recipe_keeps_its_own_superfat(book: Audit) -> None:
    done = rescale(book, read_targets(["x2"], {}), Bench(), also=["Stale"], only=["Stale"])
    (job,) = done.jobs.itertuples()
    assert job.own_name == "Stale"
    assert job.superfat_before <= job.superfat_typical < job.superfat_before + job.lye_step_points + 1e-9


@pytest.mark.parametrize("option", ["also", "only"])
def test_a_name_that_no_recipe_has(book: Audit, option: str) -> None:
    with pytest.raises(SettingError, match="did you mean “Sound”"):
        choose(book, **{option: ["Soundd"]})


def test_nothing_to_rescale_is_no_fault(book: Audit) -> None:
    done = rescale(book, read_targets(["x2"], {}), Bench(), only=["Burning"])
    assert done.jobs.empty
    assert [left.name for left in done.left_out] == ["Burning"]
