"""Rows of the frames with the types of their columns, for the words of the few recipes that a rule marks."""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, Protocol, cast

import numpy as np
import pandas as pd


class ComponentRow(Protocol):
    """A row of the frame of components."""

    recipe: int
    sheet: str
    row: int
    column: int
    name: str
    role: str
    substance: str | None
    written: str | None
    value: float
    unit: str | None
    unit_from: str | None
    units_said: tuple[tuple[str, str], ...] | None
    grams: float
    other_grams: float
    strength: float
    bears: bool
    problem: str | None


class StatementRow(Protocol):
    """A row of the frame of statements."""

    recipe: int
    sheet: str
    row: int
    column: int
    kind: str
    written: str | None
    value: float
    other_value: float
    unit: str | None


class RecipeRow(Protocol):
    """A row of the frame of recipes; `Index` is the recipe's number."""

    Index: int
    name: str
    sheet: str
    row: int
    column: int
    first_row: int
    first_column: int
    last_row: int
    last_column: int
    table: int
    unit: str | None
    stated_superfat: float
    stated_superfat_other: float
    batch_g: float
    alkali: str | None
    alkali_g: float
    alkali_least_g: float
    water_g: float
    liquid_g: float
    needed_low_g: float
    needed_typical_g: float
    superfat_low: float
    superfat_typical: float
    superfat_high: float
    superfat_if_weak: float
    superfat_if_pure: float
    lye_concentration: float
    free_alkali_percent: float


class Rows:
    """The rows of a frame by their place in it: an index made once, so that a row costs microseconds."""

    def __init__(self, frame: pd.DataFrame, kind: type) -> None:
        self._row = _row_type(kind)
        self._columns = [_reader(column) for column in (frame.index, *(frame[n] for n in self._row._fields[1:]))]

    def at(self, place: int) -> Any:  # noqa: ANN401 - the protocol that the caller asked for
        """Return one row."""
        return self._row._make(read(place) for read in self._columns)


def _reader(column: pd.Series[Any] | pd.Index[Any]) -> Callable[[int], Any]:
    """Return what gives a value of a column, as plain objects and not as those of an array."""
    values = column.array
    if isinstance(values, pd.Categorical):
        code, words = values.codes.item, [*values.categories.tolist(), np.nan]  # code -1: there is none
        return lambda place: words[code(place)]
    plain = values.to_numpy() if isinstance(values, pd.arrays.NumpyExtensionArray) else None
    return values.__getitem__ if plain is None else plain.item


def component_rows(lines: pd.DataFrame) -> Iterator[ComponentRow]:
    """Go through components one by one."""
    return cast("Iterator[ComponentRow]", _rows(lines, ComponentRow))


def first_component(lines: pd.DataFrame) -> ComponentRow:
    """Return the first of some components."""
    return next(component_rows(lines.iloc[:1]))


def statement_rows(said: pd.DataFrame) -> Iterator[StatementRow]:
    """Go through statements one by one."""
    return cast("Iterator[StatementRow]", _rows(said, StatementRow))


def recipe_rows(recipes: pd.DataFrame) -> Iterator[RecipeRow]:
    """Go through recipes one by one."""
    return cast("Iterator[RecipeRow]", _rows(recipes, RecipeRow))


def _rows(frame: pd.DataFrame, kind: type) -> Iterator[tuple[Any, ...]]:
    """Do as `itertuples` does, of the columns of `kind` alone: most rules ask for one row, of a frame of sixty."""
    row = _row_type(kind)
    return map(row._make, zip(frame.index, *(frame[name] for name in row._fields[1:]), strict=True))


@cache
def _row_type(kind: type) -> Any:  # noqa: ANN401 - a named tuple of just these fields
    return namedtuple(kind.__name__, ["Index", *(name for name in kind.__annotations__ if name != "Index")])  # noqa: PYI024 - made from a protocol
