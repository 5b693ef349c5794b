"""A made-up book as the frames that reading/ gives, so that the search can be measured apart from reading."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import COMPONENT_COLUMNS, RECIPE_READ_COLUMNS, STATEMENT_COLUMNS, Book, address
from sheetcheck.rules import Evidence
from sheetcheck.settings import Settings
from tests.benchmarks.book_generator import Book as MadeUp
from tests.benchmarks.book_generator import Recipe
from tests.benchmarks.layout import extra_of, name_of, place_of


def evidence_of(book: MadeUp, settings: Settings | None = None) -> Evidence:
    """Return a made-up book, as written, as the rules and the search take it."""
    settings = settings or Settings()
    components, recipes, statements = _frames(book)
    read = Book("made-up.xlsx", "0" * 64, components, recipes, statements, (), ())
    return Evidence(book=read, recipes=compute(recipes, components, settings), settings=settings)


def cell_of(book: MadeUp, number: int, place: int) -> str:
    """Address of an amount."""
    return address(*place_of(book, number, place))


def _frames(book: MadeUp) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    components: list[dict[str, Any]] = []
    statements: list[dict[str, Any]] = []
    recipes: list[dict[str, Any]] = []
    for number, recipe in enumerate(book.written):
        places = [place_of(book, number, place) for place in range(len(recipe.amounts))]
        components += [_component(number, recipe, place, where) for place, where in enumerate(places)]
        statements += _statements(book, number, recipe)
        recipes.append(_recipe(book, number, recipe, places))
    return (
        _frame(components, COMPONENT_COLUMNS),
        _frame(recipes, RECIPE_READ_COLUMNS).set_axis(pd.RangeIndex(1, len(recipes) + 1, name="recipe")),
        _frame(statements, STATEMENT_COLUMNS),
    )


def _frame(lines: list[dict[str, Any]], columns: Mapping[str, str]) -> pd.DataFrame:
    frame = pd.DataFrame(lines, columns=list(columns))
    return frame.astype({name: dtype for name, dtype in columns.items() if dtype != "object"}).astype(
        {name: "object" for name, dtype in columns.items() if dtype == "object"}
    )


def _decimals(value: float) -> int:
    return len(f"{value:.10g}".partition(".")[2])


def _component(number: int, recipe: Recipe, place: int, where: tuple[int, int]) -> dict[str, Any]:
    amount = recipe.amounts[place]
    return {
        "recipe": number + 1,
        "sheet": "Recipes",
        "row": where[0],
        "column": where[1],
        "name_row": where[0],
        "name_column": 1,
        "name": amount.substance,
        "role": amount.role,
        "substance": amount.substance,
        "name_certainty": "exact",
        "written": None,
        "stored": "number",
        "value": amount.value,
        "unit": amount.unit,
        "unit_from": "heading",
        "units_said": None,
        "grams": amount.grams,
        "other_grams": np.nan,
        "by_volume": False,
        "strength": np.nan,
        "decimals": _decimals(amount.value),
        "bears": True,
        "problem": None,
    }


def _statements(book: MadeUp, number: int, recipe: Recipe) -> list[dict[str, Any]]:
    where = [extra_of(book, number, which) for which in range(3)]
    grams = {"g": 1.0, "oz": 28.349523125}[book.unit]
    said = (
        ("fats total", recipe.total, grams, book.unit),
        ("superfat", recipe.superfat, 1.0, None),
        ("lye concentration", recipe.concentration, 1.0, None),
    )
    return [
        {
            "recipe": number + 1,
            "sheet": "Recipes",
            "row": where[which][0],
            "column": where[which][1],
            "kind": kind,
            "about_row": 0,
            "about_column": 0,
            "written": None,
            "stored": "number",
            "value": value * each,
            "other_value": np.nan,
            "unit": unit,
            "place": "column",
        }
        for which, (kind, value, each, unit) in enumerate(said)
        if value is not None
    ]


def _recipe(book: MadeUp, number: int, recipe: Recipe, places: list[tuple[int, int]]) -> dict[str, Any]:
    rows = [row for row, _ in places]
    stated = np.nan if recipe.superfat is None else recipe.superfat
    return {
        "name": recipe.name,
        "sheet": "Recipes",
        "layout": book.shape,
        "row": name_of(book, number)[0],
        "column": name_of(book, number)[1],
        "first_row": min(rows),
        "first_column": 1,
        "last_row": max(rows),
        "last_column": max(column for _, column in places) + 3,
        "table": 1,
        "section": "",
        "remarks": recipe.remark,
        "struck": False,
        "unit": book.unit,
        "stated_superfat": stated,
        "stated_superfat_other": np.nan,
        "no_margin_stated": stated <= 1,
        "stated_concentration": np.nan,
        "unread": 0,
    }
