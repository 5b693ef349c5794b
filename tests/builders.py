"""Small books as frames, for tests of the stages after reading: one recipe per row, an amount as `"80 oz"`.

    evidence([recipe("Kitchen", fats={"lard": "80 oz"}, lye="10.86 oz", liquid={"water": "24.29 oz"})])

A recipe stands in one row of the sheet "Recipes" from row 2 on: its name in A, then a column for each ingredient. An
amount is a text, or a mapping that has the text under "amount" and beside it any column of the frame of components.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import nan
from typing import Any

import pandas as pd

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import COMPONENT_COLUMNS, RECIPE_READ_COLUMNS, STATEMENT_COLUMNS, Book, OwnValue
from sheetcheck.reading.units.units import dimension, to_grams
from sheetcheck.reference import name_index, substances
from sheetcheck.rules import Evidence
from sheetcheck.settings import Settings

Amount = str | Mapping[str, Any]

ROLES = {
    "fats": "fat",
    "lye": "alkali",
    "liquid": "liquid",
    "acids": "acid",
    "additives": "additive",
    "unknown": "unknown",
}
BEARING = {"fat", "alkali", "liquid", "acid", "unknown"}


@dataclass
class Sketch:
    """One recipe before it is a row of a frame."""

    name: str
    amounts: list[tuple[str, str, Amount]]  # role, name of the ingredient, amount
    columns: dict[str, Any] = field(default_factory=dict)
    statements: list[dict[str, Any]] = field(default_factory=list)


def recipe(
    name: str = "Plain",
    *,
    lye: Amount | Mapping[str, Amount] | None = None,
    stated: float = nan,
    stated_other: float = nan,
    no_margin: bool = False,
    statements: Iterable[Mapping[str, Any]] = (),
    columns: Mapping[str, Any] | None = None,
    **by_role: Mapping[str, Amount],
) -> Sketch:
    """Sketch a recipe; `by_role` takes fats, liquid, acids, additives and unknown, each name with its amount."""
    if lye is not None:
        by_role["lye"] = {"lye": lye} if isinstance(lye, str) or "amount" in lye else lye
    own = {
        "stated_superfat": stated,
        "stated_superfat_other": stated_other,
        "no_margin_stated": no_margin,
        "stated_concentration": nan,
    }
    amounts = [
        (role, ingredient, amount)
        for group, role in ROLES.items()
        for ingredient, amount in by_role.pop(group, {}).items()
    ]
    if by_role:
        raise TypeError(f"a recipe has no {', '.join(by_role)}")
    return Sketch(name, amounts, own | dict(columns or {}), [dict(s) for s in statements])


def book(recipes: Sequence[Sketch], own_values: Sequence[OwnValue] = (), sheet: str = "Recipes") -> Book:
    """Set the recipes out on one sheet, as reading would give them."""
    at = _columns(recipes)
    components = [
        _component(number, sheet, sketch_row, role, name, amount, at[role, name])
        for number, sketch in enumerate(recipes, 1)
        for sketch_row in [number + 1]
        for role, name, amount in sketch.amounts
    ]
    statements = [
        {"recipe": number, "sheet": sheet, "row": number + 1, "column": len(at) + 2 + place} | said
        for number, sketch in enumerate(recipes, 1)
        for place, said in enumerate(sketch.statements)
    ]
    components_frame = _frame(COMPONENT_COLUMNS, components)
    return Book(
        name="book.xlsx",
        sha256="",
        components=components_frame,
        recipes=_recipes(recipes, components_frame, sheet, len(at) + 1),
        statements=_frame(STATEMENT_COLUMNS, [_STATEMENT | said for said in statements]),
        sheets=(),
        not_understood=(),
        own_values=tuple(own_values),
    )


def evidence(
    recipes: Sequence[Sketch], settings: Settings | None = None, own_values: Sequence[OwnValue] = ()
) -> Evidence:
    """Set the recipes out on a sheet and compute them."""
    settings = settings or Settings()
    read = book(recipes, own_values)
    return Evidence(read, compute(read.recipes, read.components, settings, own_values), settings)


_STATEMENT: dict[str, Any] = {
    "about_row": 0, "about_column": 0, "written": None, "stored": "number", "value": nan, "other_value": nan,
    "unit": None, "place": "column",
}  # fmt: skip


def _columns(recipes: Sequence[Sketch]) -> dict[tuple[str, str], int]:
    """Return the column of each ingredient, from B on, in the order in which they come up."""
    names = dict.fromkeys((role, name) for sketch in recipes for role, name, _ in sketch.amounts)
    return {key: column for column, key in enumerate(names, 2)}


def _component(number: int, sheet: str, row: int, role: str, name: str, amount: Amount, column: int) -> dict[str, Any]:
    given = {"amount": amount} if isinstance(amount, str) else dict(amount)
    text = given.pop("amount")
    keys = (name,) if name in substances() else name_index().get(name, ())
    substance = keys[0] if len(keys) == 1 else None
    line: dict[str, Any] = {
        "recipe": number, "sheet": sheet, "row": row, "column": column, "name_row": 1, "name_column": column,
        "name": name, "role": role, "substance": substance, "name_certainty": "exact" if substance else "unknown",
        "written": None, "stored": "number", "value": nan, "unit": None, "unit_from": "heading", "units_said": None,
        "grams": nan, "other_grams": nan, "by_volume": False, "strength": nan, "decimals": 0, "bears": role in BEARING,
        "problem": None,
    }  # fmt: skip
    return line | _read(text, substance) | given


def _read(text: str, substance: str | None) -> dict[str, Any]:
    number, _, unit = text.partition(" ")
    try:
        value = float(number)
    except ValueError:
        return {"written": text, "stored": "text", "problem": f"{text!r} is not an amount"}
    decimals = len(number.partition(".")[2])
    if not unit:
        return {"value": value, "decimals": decimals, "problem": "no unit is known for it"}
    grams = to_grams(value, unit, substances().get(substance or ""))
    return {
        "value": value,
        "unit": unit,
        "grams": grams,
        "decimals": decimals,
        "by_volume": dimension(unit) == "volume",
    }


def _recipes(recipes: Sequence[Sketch], components: pd.DataFrame, sheet: str, last_column: int) -> pd.DataFrame:
    unread = components[components["bears"] & components["grams"].isna()].groupby("recipe").size()
    rows = []
    for number, sketch in enumerate(recipes, 1):
        units = components.loc[components["recipe"] == number, "unit"].dropna()
        own = {
            "name": sketch.name, "sheet": sheet, "layout": "one recipe per row", "row": number + 1, "column": 1,
            "first_row": number + 1, "first_column": 1, "last_row": number + 1, "last_column": last_column,
            "table": 1, "section": "", "remarks": "", "struck": False,
            "unit": units.mode()[0] if len(units) else None, "unread": unread.get(number, 0),
        }  # fmt: skip
        rows.append(own | sketch.columns)
    frame = _frame(RECIPE_READ_COLUMNS, rows)
    frame.index = pd.RangeIndex(1, len(frame) + 1, name="recipe")
    return frame


def _frame(columns: Mapping[str, str], rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series([row[name] for row in rows], dtype=dtype) for name, dtype in columns.items()})
