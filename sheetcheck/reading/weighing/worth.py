"""How much sense a way of reading a sheet makes: the nats of its recipes, and of what it leaves unread."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sheetcheck.reading.assemble import Findings, components_frame, statements_frame
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables import percent_recipes
from sheetcheck.reading.text import fold
from sheetcheck.reading.units.evidence import fill_in
from sheetcheck.reading.weighing.settle import weigh_up
from sheetcheck.workbook.grid import Grid, Kind

_A_NUMBER = 0.3  # nats that a number is worth that is used as an amount or a statement
_NO_NAME, _SAME_NAME, _NAMED_LIKE_OTHERS = -2.0, -0.7, -1.0
_HEADING_FOR_A_NAME = -8.0
_WHOLE = ("fat", "alkali", "liquid")
_NAMED_AGAIN = -2.0  # a fat or lye that one recipe has twice: these are two recipes taken for one


@dataclass(frozen=True, slots=True)
class Worth:
    """What a way of reading is worth [nats], of how many recipes, how many of them come out as soap."""

    nats: float = 0.0
    recipes: int = 0
    fits: int = 0
    numbers: int = 0  # of the sheet
    used: int = 0
    whole: int = 0  # recipes with fats, lye and liquid
    wet: int = 0  # recipes with any liquid
    headed: bool = False  # a column is headed as that of the recipes' names

    def better_than(self, other: Worth, by: float) -> bool:
        """Tell whether this way makes clearly more sense than another; nothing in it is worth nothing."""
        return self.recipes > 0 and self.nats > other.nats + by and (self.fits * 3 >= self.recipes or other.recipes > 0)

    @property
    def nothing_left(self) -> bool:
        """Tell whether all recipes come out as soap and hardly a number is left: no other way can be better."""
        return self.recipes > 0 and self.fits >= 0.8 * self.recipes and self.used >= 0.9 * self.numbers

    @property
    def like_goods(self) -> bool:
        """Tell whether the only recipe of a sheet has no liquid and does not come out as soap: prices or stock.

        What the sheet itself heads as a recipe never is: its lye may be the slip.
        """
        return self.recipes == 1 and self.wet == 0 and self.fits == 0 and self.nats < 0 and not self.headed

    @property
    def may_be_better(self) -> bool:
        """Tell whether a sheet has anything that could be recipes."""
        return self.numbers > 2


def worth_of(found: Findings, sheet: Sheet) -> Worth:
    """Return what the findings of one sheet are worth; they are not changed."""
    numbers = _numbers(sheet.grid)
    if not found.drafts:
        return Worth(numbers=numbers)
    own = found.copied()
    order = own.reading_order()
    components, statements = components_frame(own, order), statements_frame(own, order)
    fill_in(components, statements, own.unit_group_of(order), sheet.settings.default_unit)
    statements = percent_recipes.fill_in(components, statements)
    nats, fits = weigh_up(components, statements, len(own.drafts), sheet.words.own_names)
    used = len(
        {(r, c) for frame in (components, statements) for r, c in zip(frame["row"], frame["column"], strict=True)}
    )
    names = Counter(fold(draft.name) for draft in own.drafts)
    known = sum(sheet.words.name(d.name).kind in ("fat", "alkali") for d in own.drafts if d.name)
    nats += _NO_NAME * names.pop("", 0) + _SAME_NAME * sum(n - 1 for n in names.values()) + _NAMED_LIKE_OTHERS * known
    nats += _HEADING_FOR_A_NAME * sum(_heads_numbers(draft.name) for draft in own.drafts)
    named = components[components["role"].isin(("fat", "alkali")) & components["substance"].notna()]
    nats += _NAMED_AGAIN * int(named.duplicated(["recipe", "substance"]).sum())
    roles = components[components["role"].isin(_WHOLE)].groupby("recipe")["role"].nunique()
    whole = int((roles == len(_WHOLE)).sum())
    wet = components.loc[components["role"] == "liquid", "recipe"].nunique()
    headed = any(c.role == "recipe" and not c.why for reading in sheet.readings for c in reading.columns)
    return Worth(nats + _A_NUMBER * min(used, numbers), len(own.drafts), fits, numbers, used, whole, wet, headed)


@lru_cache(maxsize=4096)
def _heads_numbers(name: str) -> bool:
    """Tell whether a name is a heading of a column of numbers: `Weighed (g)`, `% of fats`."""
    heading = read_heading(name)
    return heading.role in ("amount", "share", "unit") or (heading.role is None and heading.unit is not None)


def _numbers(grid: Grid) -> int:
    """Count the cells that hold a number, or a text that begins with one: `102 grams`."""
    texts = grid.text[grid.kind == Kind.TEXT].tolist()
    written = sum(bool(str(text).lstrip("~ ")[:1].isnumeric()) for text in texts)
    return int(np.count_nonzero(grid.kind == Kind.NUMBER)) + written
