"""Names of ingredients: where they stand, how they are shown, which lines share one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sheetcheck.model import address
from sheetcheck.reference import substances
from sheetcheck.rules.support.evidence import Place
from sheetcheck.words import tr

if TYPE_CHECKING:
    import pandas as pd


def by_name(lines: pd.DataFrame) -> Iterator[pd.DataFrame]:
    """Part lines by sheet and name: a name is one cause in however many recipes it stands."""
    folded = lines["name"].astype(object).fillna("").astype(str).str.casefold()
    for _, group in lines.groupby([lines["sheet"], folded], sort=False):
        yield group


def name_place(lines: pd.DataFrame) -> Place:
    """Return the cell that names the first of these lines, with the name; the amount's own cell where none does."""
    first = lines.iloc[0]
    row, column = int(first["name_row"]), int(first["name_column"])
    if not row:
        row, column = int(first["row"]), int(first["column"])
    return Place(first["sheet"], address(row, column), written=str(first["name"] or ""))


def shown_name(key: object) -> str:
    """Say the name of a substance of the tables; a name that is not in them is the maker's own."""
    substance = substances().get(str(key))
    return tr(substance.name) if substance else str(key)
