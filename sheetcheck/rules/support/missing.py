"""What is not there: recipe by recipe, or all of a table at once where none of its recipes has it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import ONE_CAUSE

if TYPE_CHECKING:
    import pandas as pd


def by_table(evidence: Evidence, missing: pd.Series[bool]) -> Iterator[list[int]]:
    """Yield the recipes of a mask one by one, and those of a table together where it holds for every one of them."""
    for _, recipes in evidence.recipes.groupby(["sheet", "table"], sort=False):
        of_table = missing[recipes.index]
        numbers = [int(number) for number in of_table.index[of_table]]
        if len(numbers) >= ONE_CAUSE and of_table.all():
            yield numbers
        else:
            yield from ([number] for number in numbers)
