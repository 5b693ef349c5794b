"""Books of recipes made up at random, with seeded slips and the truth about each.

Shares no code and no fat values with the package: the factors below (g NaOH for 1 g of fat) are those that makers carry
in their heads; common practice, from memory. Each book has its own, one per cent up or down, as suppliers differ.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise

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
TAKEN_FOR = {
    "palm oil": ("palm kernel oil",),
    "palm kernel oil": ("palm oil", "coconut oil"),
    "coconut oil": ("palm kernel oil", "babassu oil"),
    "babassu oil": ("coconut oil",),
    "shea butter": ("cocoa butter",),
    "cocoa butter": ("shea butter",),
}
LIQUIDS = (("water", 0.0), ("goat milk", 0.04), ("water", 0.0), ("water", 0.0))
WEIGHTS = {  # of the slips, as the project takes them to be
    "digit replaced": 30,
    "digit omitted": 6,
    "digit added": 5,
    "digits swapped": 6,
    "unit of a cell": 9,
    "unit of a group": 4,
    "pounds.ounces": 2,
    "kilograms": 1,
    "stale rescale": 7,
    "stale exchange": 5,
    "wrong fat": 5,
    "other alkali": 2,
    "lye and liquid swapped": 3,
    "decimal": 8,
    "copied": 7,
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


SCENARIOS = (
    Scenario("all sorts"),
    Scenario("ounces, tidy, superfat stated", "oz", tidy=True, states_superfat=True),
    Scenario("grams, tidy, superfat stated", "g", tidy=True, states_superfat=True),
    Scenario("ounces, irregular, nothing stated", "oz", tidy=False, states_superfat=False, states_total=False),
    Scenario("grams, irregular, nothing stated", "g", tidy=False, states_superfat=False, states_total=False),
    Scenario("small books", most=12),
)


def books(scenario: Scenario, seed: int, rows: int) -> Iterator[Book]:
    """Yield books of a scenario until they hold so many recipes."""
    rng = random.Random(f"{scenario.name} {seed}")  # noqa: S311 - made-up books, no secrets
    made = 0
    while made < rows:
        book = _book(rng, scenario)
        made += len(book.right)
        yield book


def _or_chance(rng: random.Random, chance: float, *, given: bool | None) -> bool:
    drawn = rng.random() < chance
    return drawn if given is None else given


def _book(rng: random.Random, scenario: Scenario) -> Book:
    unit = scenario.unit or ("oz" if rng.random() < 0.55 else "g")
    book = Book(
        unit=unit,
        decimals=rng.choice([1, 2, 2]) if unit == "oz" else rng.choice([0, 0, 1]),
        shape=rng.choice(["table", "table", "list", "across"]),
        tidy=_or_chance(rng, 0.65, given=scenario.tidy),
        states_superfat=_or_chance(rng, 0.5, given=scenario.states_superfat),
        palette=rng.sample(sorted(NAOH_PER_G), rng.randint(6, 10)),
        factors={fat: each * rng.uniform(0.99, 1.01) for fat, each in NAOH_PER_G.items()},
    )
    count = round(math.exp(rng.uniform(math.log(scenario.least), math.log(scenario.most))))
    states_total = _or_chance(rng, 0.5, given=scenario.states_total)
    maker = _Maker(rng, book, states_total=states_total, laundry=scenario.laundry)
    book.right = [maker.recipe(number) for number in range(count)]
    book.written = list(book.right)
    rate = rng.uniform(*scenario.faulty)
    for number in range(count):
        if rng.random() < rate:
            _add_fault(rng, book, number)
    return book


class _Maker:
    """One maker's ways."""

    def __init__(self, rng: random.Random, book: Book, *, states_total: bool, laundry: bool) -> None:
        self.rng, self.book, self.states_total, self.laundry = rng, book, states_total, laundry
        self.superfat = rng.choice([5, 5, 5, 6, 7, 8, 4])
        self.concentration = rng.choice([28, 30, 31, 33, 33, 35, 36])
        self.by_fat = rng.random() < 0.2  # liquid as a share of the fats
        self.states_concentration = rng.random() < 0.2
        sizes = [16, 24, 32, 36, 48, 50, 64, 80] if book.unit == "oz" else [400, 500, 700, 800, 1000, 1200, 1500, 2000]
        if book.unit == "oz" and book.decimals == 1:  # a coarse scale goes with larger batches
            sizes = [size for size in sizes if size >= 32]
        self.sizes = rng.sample(sizes, rng.randint(1, 3))
        self.step = 5 if book.tidy else rng.choice([5, 1])

    def recipe(self, number: int) -> Recipe:
        """Return one sound recipe."""
        rng, book = self.rng, self.book
        superfat, remark = self._superfat()
        fats = rng.sample(book.palette, min(rng.randint(2, 6), len(book.palette)))
        if superfat == 18:  # a salt bar
            fats = ["coconut oil", *[fat for fat in fats if fat != "coconut oil"][:1]]
            cuts = [0, 80, 100]
        else:
            cuts = [0, *sorted(rng.sample(range(self.step, 100, self.step), len(fats) - 1)), 100]
        size = rng.choice(self.sizes) * (1.0 if book.tidy else rng.uniform(0.7, 1.4))
        shares = [b - a for a, b in pairwise(cuts)]
        wobble = 0.0 if book.tidy else 0.1
        amounts = [
            Amount("fat", fat, self._rounded(size * share / 100 * rng.uniform(1 - wobble, 1 + wobble)), book.unit)
            for fat, share in zip(fats, shares, strict=True)
        ]
        amounts = [a for a in amounts if a.value > 0]
        demand = sum(a.value * book.factors[a.substance] for a in amounts)
        fat = sum(a.value for a in amounts)
        lye = self._rounded(demand * (1 - superfat / 100) * rng.choice([1.0] * 30 + [0.99]))
        liquid = rng.choice(LIQUIDS)[0]
        amounts.append(Amount("liquid", liquid, self._rounded(self._liquid(lye, fat)), book.unit))
        amounts.append(Amount("alkali", "sodium hydroxide", lye, book.unit))
        return Recipe(
            name=f"Batch {number + 1}",
            amounts=tuple(amounts),
            superfat=superfat if book.states_superfat or remark else None,
            total=self._rounded(fat) if self.states_total else None,
            concentration=self.concentration if self.states_concentration and not self.by_fat else None,
            remark=remark,
        )

    def _superfat(self) -> tuple[float, str]:
        chance = self.rng.random()
        if chance < 0.015:
            return 18, "18 % superfat, salt bar"
        if chance < 0.03:
            return (0, "laundry, 0 % superfat") if self.laundry else (self.superfat, "")
        most = 10 if self.book.states_superfat else 8
        return (self.superfat, "") if chance < 0.83 else (self.rng.randint(3, most), "")

    def _liquid(self, lye: float, fat: float) -> float:
        if self.by_fat:
            return fat * self.rng.choice([0.33, 0.33, 0.33, 0.38])
        usual = self.rng.random() < 0.85
        concentration = self.concentration if usual or self.states_concentration else self.rng.choice([27, 30, 33, 36])
        liquid = lye * (100 - concentration) / concentration
        return liquid * (self.rng.uniform(0.9, 1.25) if self.rng.random() < 0.03 else 1.0)

    def _rounded(self, value: float) -> float:
        return round(value, self.book.decimals)


# --------------------------------------------------------------------------- slips


def _add_fault(rng: random.Random, book: Book, number: int) -> None:
    for _ in range(30):
        kind = rng.choices(list(WEIGHTS), list(WEIGHTS.values()))[0]
        made = _SLIPS[kind](rng, book, number)
        if made is None:
            continue
        written, right = made
        if written == book.right[number]:
            continue
        material = _moved(book, number, written)
        book.written[number] = written
        book.faults[number] = Fault(number, kind, right, material)
        return


def _moved(book: Book, number: int, written: Recipe) -> bool:
    """Whether superfat moved by more than 3 points, or liquid to lye by more than a tenth."""
    right = book.right[number]

    def superfat(recipe: Recipe) -> float:
        demand = sum(recipe.amounts[i].grams * book.factors[recipe.amounts[i].substance] for i in recipe.of("fat"))
        return 100 * (1 - recipe.grams("alkali") / demand)

    def water(recipe: Recipe) -> float:
        return recipe.grams("liquid") / recipe.grams("alkali")

    meant = [right.amounts[i].substance for i in right.of("fat")]
    said = [written.amounts[i].substance for i in written.of("fat")]
    if meant != said:
        return abs(superfat(written) - superfat(right)) > 3
    return abs(superfat(written) - superfat(right)) > 3 or abs(water(written) / water(right) - 1) > 0.1


Made = tuple[Recipe, dict[int, Amount]] | None


def _one_cell(rng: random.Random, book: Book, number: int) -> tuple[Recipe, int, Amount]:
    recipe = book.right[number]
    weights = [{"fat": 1.0, "liquid": 1.2, "alkali": 1.5}[a.role] for a in recipe.amounts]
    place = rng.choices(range(len(recipe.amounts)), weights)[0]
    return recipe, place, recipe.amounts[place]


def _typed(recipe: Recipe, place: int, value: float) -> Made:
    amount = recipe.amounts[place]
    if value <= 0 or value == amount.value:
        return None
    return recipe.with_amounts({place: replace(amount, value=value)}), {place: amount}


def _digit(how: str):  # noqa: ANN202 - a slip, as the table below wants it
    def slip(rng: random.Random, book: Book, number: int) -> Made:
        recipe, place, amount = _one_cell(rng, book, number)
        text = _as_typed(amount.value, book.decimals)
        digits = [i for i, letter in enumerate(text) if letter.isdigit()]
        if how == "replaced":
            i = rng.choice(digits)
            text = text[:i] + rng.choice([d for d in "0123456789" if d != text[i]]) + text[i + 1 :]
        elif how == "omitted":
            if len(digits) < 2:
                return None
            i = rng.choice(digits)
            text = text[:i] + text[i + 1 :]
        elif how == "added":
            i = rng.choice(digits)
            text = text[: i + 1] + rng.choice([text[i]] * 9 + list("0123456789")) + text[i + 1 :]
        else:
            pairs = [(i, j) for i, j in pairwise(digits) if text[i] != text[j]]
            if not pairs:
                return None
            i, j = rng.choice(pairs)
            letters = list(text)
            letters[i], letters[j] = letters[j], letters[i]
            text = "".join(letters)
        return _typed(recipe, place, float(text)) if text.strip(".") else None

    return slip


def _as_typed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _decimal(rng: random.Random, book: Book, number: int) -> Made:
    recipe, place, amount = _one_cell(rng, book, number)
    return _typed(recipe, place, round(amount.value * rng.choice([10, 0.1]), 3))


def _converted(rng: random.Random, amount: Amount, unit: str) -> Amount:
    """The amount as weighed in another unit, with the decimals that one would write."""
    each = {"g": 1.0, "kg": 1000.0, "oz": OUNCE, "lb": POUND}[unit]
    decimals = {"g": rng.choice([0, 0, 1]), "kg": 3, "oz": rng.choice([1, 2, 2]), "lb": 2}[unit]
    return replace(amount, value=round(amount.grams / each, decimals), unit=unit)


def _unit(places: str):  # noqa: ANN202
    def slip(rng: random.Random, book: Book, number: int) -> Made:
        recipe, place, _ = _one_cell(rng, book, number)
        other = {"oz": "g", "g": "oz"}[book.unit]
        if places == "group":
            group = rng.choice(["fats", "lye and liquid", "all"])
            chosen = recipe.of("fat") if group == "fats" else [*recipe.of("liquid"), *recipe.of("alkali")]
            chosen = list(range(len(recipe.amounts))) if group == "all" else chosen
            if len(chosen) < 2:
                return None
        else:
            chosen = [place]
        if places == "kilograms":
            if book.unit != "g":
                return None
            other = "kg"
        meant = {i: _converted(rng, recipe.amounts[i], other) for i in chosen}
        if any(amount.value <= 0 for amount in meant.values()):
            return None
        return recipe.with_amounts({i: replace(a, unit=book.unit) for i, a in meant.items()}), meant

    return slip


def _pounds_ounces(rng: random.Random, book: Book, number: int) -> Made:
    recipe, place, amount = _one_cell(rng, book, number)
    if book.unit != "oz" or amount.value < 17 or amount.value != round(amount.value) or amount.value % 16 == 0:
        return None
    pounds, ounces = divmod(int(amount.value), 16)
    return _typed(recipe, place, float(f"{pounds}.{ounces}"))


def _rescaled(rng: random.Random, book: Book, number: int) -> Made:
    """Fats scaled up or down, lye and liquid as before."""
    recipe = book.right[number]
    factor = rng.choice([2, 2, 1.5, 0.5, 0.5, 1.25, 0.75, 3])
    changed = {
        i: replace(recipe.amounts[i], value=round(recipe.amounts[i].value / factor, book.decimals))
        for i in [*recipe.of("liquid"), *recipe.of("alkali")]
    }
    if any(amount.value <= 0 for amount in changed.values()):
        return None
    return recipe.with_amounts(changed), {i: recipe.amounts[i] for i in changed}


def _exchanged(rng: random.Random, book: Book, number: int) -> Made:
    """Lye and liquid of the same recipe with another fat in it."""
    recipe = book.right[number]
    place = rng.choice(recipe.of("fat"))
    fat = rng.choice(book.palette)
    old = sum(recipe.amounts[i].value * book.factors[recipe.amounts[i].substance] for i in recipe.of("fat"))
    here = recipe.amounts[place]
    factor = 1 + here.value * (book.factors[fat] - book.factors[here.substance]) / old
    if abs(factor - 1) < 0.02:
        return None
    changed = {
        i: replace(recipe.amounts[i], value=round(recipe.amounts[i].value * factor, book.decimals))
        for i in [*recipe.of("liquid"), *recipe.of("alkali")]
    }
    return recipe.with_amounts(changed), {i: recipe.amounts[i] for i in changed}


def _wrong_fat(rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    here = [recipe.amounts[i].substance for i in recipe.of("fat")]
    places = [i for i in recipe.of("fat") if any(o not in here for o in TAKEN_FOR.get(recipe.amounts[i].substance, ()))]
    if not places:
        return None
    place = rng.choice(places)
    amount = recipe.amounts[place]
    fat = rng.choice([other for other in TAKEN_FOR[amount.substance] if other not in here])
    return recipe.with_amounts({place: replace(amount, substance=fat)}), {place: amount}


def _other_alkali(_rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    place = recipe.of("alkali")[0]
    return _typed(recipe, place, round(recipe.amounts[place].value * KOH_PER_NAOH, book.decimals))


def _swapped(_rng: random.Random, book: Book, number: int) -> Made:
    recipe = book.right[number]
    lye, wet = recipe.of("alkali")[0], recipe.of("liquid")[0]
    one, two = recipe.amounts[lye], recipe.amounts[wet]
    if one.value == two.value:
        return None
    return (
        recipe.with_amounts({lye: replace(one, value=two.value), wet: replace(two, value=one.value)}),
        {lye: one, wet: two},
    )


def _copied(rng: random.Random, book: Book, number: int) -> Made:
    if number == 0:
        return None
    recipe, place, amount = _one_cell(rng, book, number)
    before = book.right[number - 1]
    same = [a for a in before.amounts if a.role == amount.role and (a.role != "fat" or a.substance == amount.substance)]
    return _typed(recipe, place, same[0].value) if same else None


_SLIPS = {
    "digit replaced": _digit("replaced"),
    "digit omitted": _digit("omitted"),
    "digit added": _digit("added"),
    "digits swapped": _digit("swapped"),
    "unit of a cell": _unit("cell"),
    "unit of a group": _unit("group"),
    "pounds.ounces": _pounds_ounces,
    "kilograms": _unit("kilograms"),
    "stale rescale": _rescaled,
    "stale exchange": _exchanged,
    "wrong fat": _wrong_fat,
    "other alkali": _other_alkali,
    "lye and liquid swapped": _swapped,
    "decimal": _decimal,
    "copied": _copied,
}
