"""What made-up books are made of: amounts, recipes, faults, books, and the factors that makers carry in their heads.

Shares no code and no fat values with the package: the factors below (g NaOH for 1 g of fat) are common practice, from
memory.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.benchmarks.makers import Maker

OUNCE, POUND = 28.349523125, 453.59237
KOH_PER_NAOH = 1.4025

NAOH_PER_G = {
    "olive oil": 0.1350,
    "coconut oil": 0.1830,
    "palm oil": 0.1410,
    "palm kernel oil": 0.1760,
    "lard": 0.1390,
    "tallow": 0.1405,
    "castor oil": 0.1285,
    "sunflower oil": 0.1350,
    "safflower oil": 0.1360,
    "canola oil": 0.1340,
    "soybean oil": 0.1360,
    "rice bran oil": 0.1340,
    "almond oil": 0.1370,
    "apricot kernel oil": 0.1370,
    "avocado oil": 0.1340,
    "shea butter": 0.1280,
    "cocoa butter": 0.1380,
    "babassu oil": 0.1770,
    "grapeseed oil": 0.1340,
    "hemp oil": 0.1350,
}


@dataclass(frozen=True)
class Amount:
    """What one cell says."""

    role: str  # fat | liquid | alkali
    substance: str
    value: float
    unit: str

    @property
    def grams(self) -> float:
        """In grams."""
        return self.value * {"g": 1.0, "kg": 1000.0, "oz": OUNCE, "lb": POUND}[self.unit]


@dataclass(frozen=True)
class Recipe:
    """One recipe: its amounts, and what the sheet states beside them."""

    name: str
    amounts: tuple[Amount, ...]
    superfat: float | None = None
    total: float | None = None
    concentration: float | None = None
    remark: str = ""

    def of(self, role: str) -> list[int]:
        """Places of the amounts of a role."""
        return [i for i, amount in enumerate(self.amounts) if amount.role == role]

    def grams(self, role: str) -> float:
        """Grams of a role."""
        return sum(self.amounts[i].grams for i in self.of(role))

    def with_amounts(self, changed: dict[int, Amount]) -> Recipe:
        """Return the recipe with other amounts in some places."""
        return replace(self, amounts=tuple(changed.get(i, a) for i, a in enumerate(self.amounts)))


@dataclass(frozen=True)
class Fault:
    """A slip in one recipe: its kind, the places that are wrong, and what they should say."""

    recipe: int
    kind: str
    right: dict[int, Amount]
    material: bool


@dataclass(eq=False)
class Book:
    """A book, right and as written; each is a book of its own, whatever it holds."""

    unit: str
    decimals: int
    shape: str  # table: a recipe per row | list: ingredients below one another | across: a recipe per column
    tidy: bool
    states_superfat: bool
    palette: list[str]
    factors: dict[str, float]
    right: list[Recipe] = field(default_factory=list)
    written: list[Recipe] = field(default_factory=list)
    faults: dict[int, Fault] = field(default_factory=dict)
    maker: Maker | None = None


@dataclass(frozen=True)
class Scenario:
    """What books of a scenario are like; None leaves it to chance."""

    name: str
    unit: str | None = None
    tidy: bool | None = None
    states_superfat: bool | None = None
    states_total: bool | None = None
    least: int = 8
    most: int = 200
    faulty: tuple[float, float] = (0.08, 0.12)
    laundry: bool = True  # a few recipes of laundry soap, without margin on purpose and stated so
