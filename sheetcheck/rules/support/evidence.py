"""What a rule is given: the book as read, the recipes with their numbers, the settings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, wraps
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numpy as np
import pandas as pd

from sheetcheck.model import Book, Role, address
from sheetcheck.reading.units.units import dimension
from sheetcheck.reference import limits
from sheetcheck.rules.support.rows import ComponentRow, RecipeRow, Rows, recipe_rows
from sheetcheck.rules.support.wording import holds, is_number
from sheetcheck.settings import Settings
from sheetcheck.words import tr, with_own_mark

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Place:
    """A cell, what the sheet calls it, and what it holds with its unit of mass; none of these for an anchor."""

    sheet: str
    cell: str
    name: str = ""
    written: str = ""  # what it holds; a number always with a point
    unit: str | None = None
    is_number: bool = False  # so that it is shown with the decimal mark of the book

    def __str__(self) -> str:
        return f"{self.cell} ({self.name})" if self.name else self.cell

    @property
    def holds(self) -> str:
        """What it holds, as the maker sees it."""
        return with_own_mark(self.written) if self.is_number else self.written

    def said(self) -> str:
        """Say what it holds."""
        return tr("{place} holds {text}.", place=self, text=self.holds)


@dataclass(frozen=True)
class Evidence:
    """Everything a rule may look at. `recipes` has the columns read and those computed."""

    book: Book
    recipes: pd.DataFrame
    settings: Settings
    only: frozenset[int] | None = None  # recipes that are asked about, where not all are
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
        if self.only is not None:
            mask = mask & mask.index.isin(list(self.only))
        return recipe_rows(self.recipes[mask])

    def about(self, recipes: Sequence[int]) -> Evidence:
        """Return the evidence with the amounts and statements of some recipes alone, beside the habits of all."""
        only = frozenset(recipes)
        components = self.components[self.components["recipe"].isin(only)].reset_index(drop=True)
        statements = self.statements[self.statements["recipe"].isin(only)].reset_index(drop=True)
        return replace(self, book=replace(self.book, components=components, statements=statements), only=only)

    def lines(self, recipe: int) -> list[ComponentRow]:
        """Return the components of one recipe, in reading order."""
        return [cast("ComponentRow", self._component_rows.at(place)) for place in self._lines(recipe).tolist()]

    def of_role(self, role: Role) -> pd.Series[bool]:
        """Tell for each recipe if it lists anything of this role, read or not."""
        listed = np.bincount(self._position[self._of_role(role)], minlength=len(self.recipes)) > 0
        return pd.Series(listed, index=self.recipes.index)

    def total(self, values: pd.Series[float], role: Role | None = None) -> pd.Series[float]:
        """Add up a value of each component, or of those of one role, by recipe; unknown where one of them is."""
        value, position = values.to_numpy(dtype=np.float64), self._position
        if role is not None:
            value, position = value[self._of_role(role)], position[self._of_role(role)]
        return pd.Series(np.bincount(position, value, len(self.recipes)), index=self.recipes.index)

    def nowhere(self) -> pd.Series[bool]:
        """Return a mask that holds for no recipe."""
        return pd.Series(False, index=self.recipes.index)

    def place(self, recipe: int, *roles: Role) -> Place:
        """Return the cell of the largest amount of the first of these roles that the recipe lists, else of its name."""
        lines = self._lines(recipe)
        for role in roles:
            own = lines[self._of_role(role)[lines]]
            if len(own):
                largest = own[np.argmax(np.nan_to_num(self._grams[own]))]
                return place_of(cast("ComponentRow", self._component_rows.at(int(largest))))
        return self.anchor(recipe)

    def expected_place(self, recipe: int, role: Role) -> Place:
        """Return the cell where the table has this role elsewhere; the recipe's name where that is unclear."""
        own = self.recipe(recipe)
        usual = self._usual_places(role).get((own.sheet, own.table))
        across = own.first_row == own.last_row
        if usual is None or across == (own.first_column == own.last_column):
            return self.anchor(recipe)
        row, column = usual
        return Place(own.sheet, address(own.row, column) if across else address(row, own.column))

    def _usual_places(self, role: Role) -> dict[tuple[str, int], tuple[int, int]]:
        """Return the commonest row and column of a role, by sheet and table."""
        if role not in self._usual:
            of_role = self._of_role(role)
            tables = self.recipes[["sheet", "table"]].iloc[self._position[of_role]]
            lines = self.components.loc[of_role, ["row", "column"]].set_axis(tables.index)
            groups = lines.groupby([tables["sheet"].astype(object), tables["table"]], sort=False)
            self._usual[role] = {_key(key): (_commonest(g["row"]), _commonest(g["column"])) for key, g in groups}
        return self._usual[role]

    @cached_property
    def _usual(self) -> dict[Role, dict[tuple[str, int], tuple[int, int]]]:
        return {}

    def anchor(self, recipe: int) -> Place:
        """Return the cell that holds the recipe's name."""
        own = self.recipe(recipe)
        return Place(own.sheet, address(own.row, own.column))

    def cells(self, recipe: int, role: Role) -> list[str]:
        """Return the cells of all amounts of a role, in reading order."""
        lines = self._lines(recipe)
        own = lines[self._of_role(role)[lines]].tolist()
        return [address(row, column) for row, column in ((self._rows.item(i), self._columns.item(i)) for i in own)]

    def recipe(self, recipe: int) -> RecipeRow:
        """Return one recipe by its number."""
        return cast("RecipeRow", self._recipe_rows.at(self._where(recipe)))

    def _where(self, recipe: int) -> int:
        """Return the place of a recipe in the frame of recipes."""
        place = self.recipes.index.get_loc(recipe)
        if not isinstance(place, int):
            raise KeyError(recipe)
        return place

    def _lines(self, recipe: int) -> NDArray[np.intp]:
        """Return where the components of one recipe lie, in reading order."""
        order, starts = self._by_recipe
        position = self._where(recipe)
        first, end = int(starts[position]), int(starts[position + 1])
        return np.arange(first, end) if order is None else order[first:end]

    def _of_role(self, role: Role) -> NDArray[np.bool_]:
        if role not in self._by_role:
            self._by_role[role] = (self.components["role"] == role).to_numpy(dtype=bool)
        return self._by_role[role]

    @cached_property
    def _by_role(self) -> dict[Role, NDArray[np.bool_]]:
        return {}

    @cached_property
    def _component_rows(self) -> Rows:
        return Rows(self.components, ComponentRow)

    @cached_property
    def _recipe_rows(self) -> Rows:
        return Rows(self.recipes, RecipeRow)

    @cached_property
    def _rows(self) -> NDArray[np.int32]:
        return self.components["row"].to_numpy()

    @cached_property
    def _columns(self) -> NDArray[np.int32]:
        return self.components["column"].to_numpy()

    @cached_property
    def _grams(self) -> NDArray[np.float64]:
        return self.components["grams"].to_numpy(dtype=np.float64)

    @cached_property
    def _position(self) -> NDArray[np.intp]:
        """Where the recipe of each component lies in the frame of recipes."""
        return self.recipes.index.get_indexer(pd.Index(self.components["recipe"]))

    @cached_property
    def _by_recipe(self) -> tuple[NDArray[np.intp] | None, NDArray[np.int64]]:
        """Components ordered by recipe (None: as they are), and where each recipe begins (one more: the end)."""
        ordered = bool((self._position[1:] >= self._position[:-1]).all())
        order = None if ordered else np.argsort(self._position, kind="stable")
        return order, np.searchsorted(self._position, np.arange(len(self.recipes) + 1), sorter=order)


def _key(key: Any) -> tuple[str, int]:  # noqa: ANN401 - a pair, whatever pandas calls it
    return str(key[0]), int(key[1])


def _commonest(numbers: pd.Series[int]) -> int:
    return int(numbers.mode().iloc[0])


def place_of(line: ComponentRow) -> Place:
    """Return where a component stands and what it holds."""
    unit = line.unit if isinstance(line.unit, str) and dimension(line.unit) == "mass" else None
    where = address(line.row, line.column)
    return Place(line.sheet, where, str(line.name or ""), holds(line), unit, is_number(line))


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
