"""Tables with one recipe in a row: which columns hold amounts, and which headings name them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from sheetcheck.model import Audit, address
from sheetcheck.report.amounts import BESIDE_THE_TABLE, FIRST_TEXT, Amounts, says
from sheetcheck.report.places import WORKINGS
from sheetcheck.workbook.ranges import quoted

Key = tuple[str, int]  # sheet, and the number of the table on it


@dataclass(frozen=True)
class Tables:
    """The tables of a book, and the conditions under which what was read from them still holds."""

    audit: Audit
    amounts: Amounts

    @cached_property
    def of_recipe(self) -> Mapping[int, Key]:
        """The table in which each recipe stands."""
        rows = self.audit.recipes[self.audit.recipes["layout"] == BESIDE_THE_TABLE]
        return {int(n): (str(s), int(t)) for n, s, t in zip(rows.index, rows["sheet"], rows["table"], strict=True)}

    @cached_property
    def headings(self) -> Mapping[Key, tuple[str, ...]]:
        """For each table, the conditions that its headings name what they named; in reading order."""
        found: dict[Key, dict[str, None]] = {}
        for sheet, table, row, column, name in self._named():
            condition = says(name, f"{quoted(sheet)}!{address(row, column)}")
            if condition is not None:
                found.setdefault((sheet, table), {})[condition] = None
        return {key: tuple(conditions) for key, conditions in found.items()}

    def _named(self) -> list[tuple[str, int, int, int, str]]:
        c = self.audit.book.components
        c = c[c["recipe"].isin(list(self.of_recipe)) & (c["name_row"] > 0) & (c["name_row"] != c["row"])]
        table = c["recipe"].map({recipe: key[1] for recipe, key in self.of_recipe.items()})
        named = c.assign(table=table)[["sheet", "table", "name_row", "name_column", "name"]].drop_duplicates()
        return [(str(s), int(t), int(r), int(k), str(n)) for s, t, r, k, n in named.itertuples(index=False)]

    @cached_property
    def values_row(self) -> int:
        """Row of the sheet of workings that says whether the values are what they were: below the texts."""
        return FIRST_TEXT + len(self.amounts.texts) + 2

    @cached_property
    def _columns(self) -> tuple[Mapping[Key, frozenset[int]], Mapping[int, frozenset[int]]]:
        """The columns of amounts of each table, and those that each recipe fills."""
        of_table: dict[Key, set[int]] = defaultdict(set)
        of_recipe: dict[int, set[int]] = defaultdict(set)
        c = self.audit.book.components
        for recipe, column in zip(c["recipe"].tolist(), c["column"].tolist(), strict=True):
            if recipe in self.of_recipe:
                of_table[self.of_recipe[recipe]].add(column)
                of_recipe[recipe].add(column)
        return (
            {key: frozenset(columns) for key, columns in of_table.items()},
            {recipe: frozenset(columns) for recipe, columns in of_recipe.items()},
        )

    def without_amount(self, recipe: int) -> list[int]:
        """Return the columns of amounts of its table in which a recipe has none."""
        key = self.of_recipe.get(recipe)
        of_table, of_recipe = self._columns
        return [] if key is None else sorted(of_table.get(key, frozenset()) - of_recipe.get(recipe, frozenset()))

    def conditions(self, recipe: int) -> list[str]:
        """Return the conditions that values and headings are what they were."""
        conditions = [f"{quoted(WORKINGS)}!$B${self.values_row}"]
        key = self.of_recipe.get(recipe)
        if key is not None and key in self.headings:
            place = self.values_row + 1 + list(self.headings).index(key)
            conditions.append(f"{quoted(WORKINGS)}!$B${place}")
        return conditions
