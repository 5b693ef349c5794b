"""Clean books with the oddities of real ones: no sound recipe is lost, none gets WARNING or worse, all is read."""

from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, Signal
from tests.books import write_book
from tests.clean_books import BOOKS, ODDITIES, SHAPES


@pytest.fixture(scope="module", params=BOOKS)
def audited(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Audit]:
    folder: Path = tmp_path_factory.mktemp("clean")
    return request.param, sheetcheck.audit(write_book(folder / "book.xlsx", BOOKS[request.param].sheets))


def test_no_recipe_is_lost_and_none_is_invented(audited: tuple[str, Audit]) -> None:
    name, audit = audited
    assert sorted(audit.recipes["name"]) == sorted(r.name for r in BOOKS[name].recipes)
    assert set(audit.recipes["verdict"]) <= {"fine", "flagged"}


def test_no_sound_recipe_gets_warning(audited: tuple[str, Audit]) -> None:
    _name, audit = audited
    loud = [(f.rule, f.cell, f.message) for f in audit.findings if f.signal.rank >= Signal.WARNING.rank]
    assert loud == []


def test_every_amount_is_read_as_it_is_written(audited: tuple[str, Audit]) -> None:
    name, audit = audited
    components = audit.book.components
    assert components["problem"].isna().all()
    grams = components.groupby(["recipe", "role"], observed=True)["grams"].sum().unstack()
    grams.index = audit.recipes.loc[grams.index, "name"]
    for recipe in BOOKS[name].recipes:
        unit = 28.349523125 if recipe.unit == "oz" else 1.0
        read = grams.loc[recipe.name]
        assert read["fat"] == pytest.approx(unit * sum(recipe.fats.values()), rel=1e-4), recipe.name
        assert read["alkali"] == pytest.approx(unit * recipe.lye, rel=1e-4), recipe.name
        assert read["liquid"] == pytest.approx(unit * sum(recipe.liquids.values()), rel=1e-4), recipe.name


def test_what_is_stated_is_read(audited: tuple[str, Audit]) -> None:
    name, audit = audited
    stated = audit.recipes.set_index("name")["stated_superfat"]
    for recipe in BOOKS[name].recipes:
        if recipe.superfat is not None:
            assert stated[recipe.name] == recipe.superfat
        elif recipe.remark is not None:
            assert stated[recipe.name] == (16 if "16 %" in recipe.remark else 0)


def test_there_are_enough_books_of_every_shape() -> None:
    assert len(BOOKS) >= 40
    assert all(any(name.endswith(f": {shape.__name__}") for name in BOOKS) for shape in SHAPES)
    assert len(ODDITIES) >= 10
