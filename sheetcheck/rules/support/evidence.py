"""What a rule is given: the book as read, the recipes with their numbers, the settings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property, wraps
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
import pandas as pd

from sheetcheck.model import Book, Role, address
from sheetcheck.reading.units import dimension
from sheetcheck.reference import limits
from sheetcheck.rules.support.rows import ComponentRow, RecipeRow, first_component, recipe_rows
from sheetcheck.rules.support.wording import holds
from sheetcheck.settings import Settings

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Place:
    """A cell, what the sheet calls it, and what it holds with its unit of mass; none of these for an anchor."""

    sheet: str
    cell: str
    name: str = ""
    holds: str = ""
    unit: str | None = None

    def __str__(self) -> str:
        return f"{self.cell} ({self.name})" if self.name else self.cell


@dataclass(frozen=True)
class Evidence:
    """Everything a rule may look at. `recipes` has the columns read and those computed."""

    book: Book
    recipes: pd.DataFrame
    settings: Settings
    remembered: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def components(self) -> pd.DataFrame:
        """The amounts of all recipes."""
        return self.book.components

    @property
    def statements(self) -> pd.DataFrame:
        """What the sheets say about their recipes beyond amounts."""
        return self.book.statements

    def limit(self, name: str) -> float:
        """Return a limit as set, or of the cited table where it is not set or cannot be."""
        return self.settings.limit(name) if limits()[name].settable else limits()[name].value

    def rows(self, mask: pd.Series[bool]) -> Iterator[RecipeRow]:
        """Recipes of a mask, one by one; `.Index` is the recipe's number."""
        return recipe_rows(self.recipes[mask])

    def lines(self, recipe: int) -> pd.DataFrame:
        """Return the components of one recipe, in reading order."""
        order, numbers = self._by_recipe
        start, end = np.searchsorted(numbers, [recipe, recipe + 1])
        return self.components.iloc[order[start:end]]

    def of_role(self, role: Role) -> pd.Series[bool]:
        """Tell for each recipe if it lists anything of this role, read or not."""
        listed = self.components.loc[self.components["role"] == role, "recipe"].unique()
        return pd.Series(self.recipes.index.isin(listed), index=self.recipes.index)

    def nowhere(self) -> pd.Series[bool]:
        """Return a mask that holds for no recipe."""
        return pd.Series(False, index=self.recipes.index)

    def place(self, recipe: int, *roles: Role) -> Place:
        """Return the cell of the largest amount of the first of these roles that the recipe lists, else of its name."""
        lines = self.lines(recipe)
        for role in roles:
            own = lines[lines["role"] == role]
            if not own.empty:
                largest = int(np.argmax(own["grams"].fillna(0).to_numpy()))
                return place_of(first_component(own.iloc[[largest]]))
        return self.anchor(recipe)

    def expected_place(self, recipe: int, role: Role) -> Place:
        """Return the cell where the table has this role elsewhere; the recipe's name where that is unclear."""
        own = self.recipe(recipe)
        table = self.recipes[(self.recipes["sheet"] == own.sheet) & (self.recipes["table"] == own.table)]
        others = self.components[self.components["recipe"].isin(table.index) & (self.components["role"] == role)]
        across = own.first_row == own.last_row
        if others.empty or across == (own.first_column == own.last_column):
            return self.anchor(recipe)
        if across:
            return Place(own.sheet, address(own.row, int(others["column"].mode()[0])))
        return Place(own.sheet, address(int(others["row"].mode()[0]), own.column))

    def anchor(self, recipe: int) -> Place:
        """Return the cell that holds the recipe's name."""
        own = self.recipe(recipe)
        return Place(own.sheet, address(own.row, own.column))

    def cells(self, recipe: int, role: Role) -> list[str]:
        """Return the cells of all amounts of a role, in reading order."""
        lines = self.lines(recipe)
        lines = lines[lines["role"] == role]
        return [address(row, column) for row, column in zip(lines["row"], lines["column"], strict=True)]

    def recipe(self, recipe: int) -> RecipeRow:
        """Return one recipe by its number."""
        return next(recipe_rows(self.recipes.loc[[recipe]]))

    @cached_property
    def _by_recipe(self) -> tuple[NDArray[np.intp], NDArray[np.int64]]:
        numbers = self.components["recipe"].to_numpy(dtype=np.int64)
        order = np.argsort(numbers, kind="stable")
        return order, numbers[order]


def place_of(line: ComponentRow) -> Place:
    """Return where a component stands and what it holds."""
    unit = line.unit if isinstance(line.unit, str) and dimension(line.unit) == "mass" else None
    return Place(line.sheet, address(line.row, line.column), str(line.name or ""), holds(line), unit)


T = TypeVar("T")


def once(find: Callable[[Evidence], T]) -> Callable[[Evidence], T]:
    """Let a function of the evidence be computed once for all rules that ask for it."""

    @wraps(find)
    def remembered(evidence: Evidence) -> T:
        if find.__name__ not in evidence.remembered:
            evidence.remembered[find.__name__] = find(evidence)
        found: T = evidence.remembered[find.__name__]
        return found

    return remembered
