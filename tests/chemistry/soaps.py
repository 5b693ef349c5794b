"""Recipes as frames for the tests of this folder: `soap(lye=10.86, lard=80, water=24.29)`."""

from collections.abc import Sequence
from math import nan

import pandas as pd

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import OwnValue
from sheetcheck.reference import substances
from sheetcheck.settings import Settings

Line = dict[str, object]

OUNCE = 28.349523125  # g, international avoirdupois ounce, by definition


def line(recipe: int, key: str | None, grams: float, **over: object) -> Line:
    """One amount, as reading gives it."""
    role = substances()[key].role if key in substances() else "unknown"
    made = {"recipe": recipe, "name": key or "what is it", "role": role, "substance": key, "name_certainty": "exact",
            "grams": grams, "strength": nan, "bears": role != "additive"}  # fmt: skip
    return made | over


def book(
    *recipes: list[Line], settings: Settings | None = None, own_values: Sequence[OwnValue] = (), **columns: object
) -> pd.DataFrame:
    """Compute recipes, each a list of `line(0, ...)`."""
    components = pd.DataFrame([made | {"recipe": number} for number, of in enumerate(recipes, 1) for made in of])
    read = pd.DataFrame({"stated_superfat": nan, "stated_superfat_other": nan}, index=range(1, len(recipes) + 1))
    return compute(read.assign(**columns), components, settings or Settings(), own_values)


def soap(
    *lines: Line, settings: Settings | None = None, own_values: Sequence[OwnValue] = (), **columns: object
) -> pd.Series:
    """Compute one recipe: a Series."""
    return book(list(lines), settings=settings, own_values=own_values, **columns).loc[1]


def plain(fats: dict[str, float], lye: float, water: float, unit: float = 1.0) -> list[Line]:
    """Fats, sodium hydroxide and water."""
    amounts = {**fats, "sodium hydroxide": lye, "water": water}
    return [line(0, key, amount * unit) for key, amount in amounts.items()]
