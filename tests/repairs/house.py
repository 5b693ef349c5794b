"""A tidy book of an invented maker, to put one odd row into: grams, 5 % superfat, one part of lye to two of liquid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sheetcheck import repairs, rules
from sheetcheck.model import Finding, Repair, address
from sheetcheck.repairs import RepairResult
from sheetcheck.rules import Evidence
from tests.builders import Sketch, evidence, recipe

BLENDS: tuple[dict[str, int], ...] = (
    {"olive oil": 550, "coconut oil": 250, "palm oil": 200},
    {"olive oil": 700, "coconut oil": 200, "shea butter": 100},
    {"lard": 600, "coconut oil": 250, "olive oil": 150},
    {"tallow": 500, "coconut oil": 250, "olive oil": 250},
    {"olive oil": 1000},
    {"lard": 700, "coconut oil": 300},
    {"olive oil": 450, "coconut oil": 300, "palm oil": 200, "castor oil": 50},
    {"tallow": 400, "lard": 300, "coconut oil": 200, "castor oil": 100},
    {"olive oil": 600, "palm oil": 200, "coconut oil": 200},
    {"sunflower oil": 300, "lard": 400, "coconut oil": 300},
    {"olive oil": 400, "lard": 350, "coconut oil": 250},
    {"palm oil": 400, "olive oil": 350, "coconut oil": 250},
)
NAOH = {  # g for 1 g of fat, as makers know them; common practice, from memory
    "olive oil": 0.135, "coconut oil": 0.183, "palm oil": 0.141, "shea butter": 0.128, "lard": 0.139,
    "tallow": 0.1405, "castor oil": 0.1285, "sunflower oil": 0.135,
}  # fmt: skip


def sound(fats: Mapping[str, float], superfat: float = 5.0, unit: str = "g", **more: Any) -> Sketch:  # noqa: ANN401 - see recipe()
    """Return a recipe as this maker would write it."""
    decimals = 0 if unit == "g" else 2
    lye = round(sum(amount * NAOH[fat] for fat, amount in fats.items()) * (1 - superfat / 100), decimals)
    return written(fats, round(2 * lye, decimals), lye, unit, **more)


def written(fats: Mapping[str, float], liquid: float, lye: float, unit: str = "g", **more: Any) -> Sketch:  # noqa: ANN401 - the same
    """Return a recipe just as given."""
    return recipe(
        more.pop("name", "Row"),
        fats={fat: f"{amount:.10g} {unit}" for fat, amount in fats.items()},
        liquid={"water": f"{liquid:.10g} {unit}"},
        lye={"sodium hydroxide": f"{lye:.10g} {unit}"},
        **more,
    )


def book_with(*odd: Sketch, unit: str = "g") -> Evidence:
    """Put odd rows below the twelve sound ones: row 14 of the sheet is the first of them."""
    each = 1.0 if unit == "g" else 1 / 25  # 40 oz batches
    blends = ({fat: amount * each for fat, amount in blend.items()} for blend in BLENDS)
    rows = [*(sound(blend, unit=unit) for blend in blends), *odd]
    return evidence([replace(row, name=f"Row {number}") for number, row in enumerate(rows, 1)])


def searched(book: Evidence) -> tuple[RepairResult, list[Finding]]:
    """Search a book; return the result and all findings, those of the rules too."""
    ruled = rules.run(book).findings
    found = repairs.search(book, ruled)
    return found, [*ruled, *found.findings]


def of_odd_row(book: Evidence, number: int = 13) -> tuple[Repair, ...]:
    """Repairs of the odd row."""
    return searched(book)[0].by_recipe.get(number, ())


def cell(book: Evidence, substance: str, number: int = 13, line: int = 0) -> str:
    """Address of an amount of the odd row, of its first line unless another is asked for."""
    lines = book.components
    found = lines[(lines["recipe"] == number) & (lines["substance"] == substance)].iloc[line]
    return address(int(found["row"]), int(found["column"]))


def first(repairs_: tuple[Repair, ...]) -> dict[str, tuple[float | None, str | None]]:
    """What the first repair would change: value and unit by cell."""
    assert repairs_, "no repair was offered"
    return {change.cell: (change.value, change.unit) for change in repairs_[0].changes}
