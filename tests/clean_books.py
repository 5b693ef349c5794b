"""Small clean workbooks with the harmless oddities of real ones, each in several shapes: nothing in them is wrong.

Lye and liquid are reckoned here from middle saponification values of the trade (common practice, no source), apart from
the package's own tables, so that a makers' usual factors are what is tried.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

Rows = list[list[object]]
Sheets = dict[str, Rows]

NAOH_PER_G = {"Olive": 0.1353, "Coconut": 0.183, "Lard": 0.140, "Palm": 0.1415, "Castor": 0.1286, "Tallow": 0.1405}
FATS = tuple(NAOH_PER_G)
MIXES: tuple[dict[str, float], ...] = (
    {"Olive": 500, "Coconut": 250, "Palm": 250},
    {"Lard": 700, "Coconut": 300},
    {"Olive": 700, "Coconut": 250, "Castor": 50},
    {"Tallow": 800, "Coconut": 200},
    {"Olive": 1000},
    {"Lard": 500, "Olive": 300, "Coconut": 200},
    {"Palm": 400, "Coconut": 300, "Olive": 300},
    {"Olive": 600, "Lard": 400},
)
THIRDS: tuple[dict[str, float], ...] = (
    {"Olive": 333, "Coconut": 333, "Lard": 333},
    {"Olive": 666, "Coconut": 333},
    {"Tallow": 500, "Olive": 350, "Coconut": 150},
)
GRAMS_PER_OZ = 28.349523125


@dataclass(frozen=True)
class Recipe:
    """One recipe in grams, or in another unit where `unit` says so."""

    name: str
    fats: dict[str, float]
    lye: float
    liquids: dict[str, float]
    superfat: float | str | None = None
    remark: str | None = None
    unit: str = "g"

    def shares(self) -> dict[str, float]:
        """Return the per cent of each fat, to one decimal: they may add up to 99.9."""
        return {fat: round(100 * amount / sum(self.fats.values()), 1) for fat, amount in self.fats.items()}

    def in_ounces(self) -> "Recipe":
        """Return the same recipe in ounces, to two decimals."""
        fats = {fat: ounces(amount) for fat, amount in self.fats.items()}
        liquids = {liquid: ounces(amount) for liquid, amount in self.liquids.items()}
        return replace(self, fats=fats, lye=ounces(self.lye), liquids=liquids, unit="oz")


def ounces(grams: float) -> float:
    """Return grams in ounces, to two decimals."""
    return round(grams / GRAMS_PER_OZ, 2)


def lye_for(mix: dict[str, float], superfat: float) -> float:
    """Return the sodium hydroxide for a mix of fats."""
    return sum(NAOH_PER_G[fat] * grams for fat, grams in mix.items()) * (1 - superfat / 100)


def recipes(
    superfat: float = 5,
    concentration: float = 31,
    step: float = 1,
    *,
    names: str = "Soap",
    mixes: Sequence[dict[str, float]] = MIXES,
) -> list[Recipe]:
    """Make a recipe of each mix."""
    made = []
    for number, mix in enumerate(mixes, 1):
        lye = round(lye_for(mix, superfat) / step) * step
        water = {"Water": float(round(lye * (100 - concentration) / concentration))}
        made.append(Recipe(f"{names} {number}", dict(mix), lye, water))
    return made


def stating(made: Sequence[Recipe], superfat: float | str, remark: str | None = None) -> list[Recipe]:
    """Let recipes state their superfat."""
    return [replace(each, superfat=superfat, remark=remark) for each in made]


def saying(made: Sequence[Recipe], remark: str) -> list[Recipe]:
    """Let recipes say something in a remark."""
    return [replace(each, remark=remark) for each in made]


def split_liquid(made: Sequence[Recipe]) -> list[Recipe]:
    """Let half of the water be goat milk."""
    return [
        replace(
            each, liquids={"Water": round(each.liquids["Water"] / 2), "Goat milk": round(each.liquids["Water"] / 2)}
        )
        for each in made
    ]


# --------------------------------------------------------------------------- oddities

LAUNDRY_REMARKS = (
    "laundry soap 0 %",
    "Waschseife, Überfettung 0 %",
    "savon de ménage, surgras 0 %",
    "jabón de lavar, sobreengrasado 0 %",
    "sapone da bucato, surgrassaggio 0 %",
    "huishoudzeep, oververting 0 %",
    "sabão para roupa, sobreengorduramento 0 %",
)
COCONUT: tuple[dict[str, float], ...] = ({"Coconut": 1000}, {"Coconut": 500})

ODDITIES: dict[str, list[Recipe]] = {
    "plain": recipes(),
    "laundry soap with 0 to 2 %, stated": [
        *stating(recipes(), 5),
        *stating(recipes(0, names="Wash", mixes=COCONUT), 0),
        *stating(recipes(1, names="Linen", mixes=MIXES[:3]), 1),
        *stating(recipes(2, names="Floor", mixes=MIXES[:3]), 2),
    ],
    "laundry soap in seven languages": [
        *recipes(),
        *(
            saying(recipes(0, names=f"Wash {number}", mixes=COCONUT[:1]), remark)[0]
            for number, remark in enumerate(LAUNDRY_REMARKS)
        ),
    ],
    "15 to 20 % on purpose, stated": [
        *stating(recipes(), 5),
        *stating(recipes(15, names="Rich", mixes=MIXES[:2]), 15),
        *stating(recipes(18, names="Richer", mixes=MIXES[:2]), 18),
        *stating(recipes(20, names="Salt", mixes=COCONUT[:1]), 20),
    ],
    "16 % on purpose, in a remark": [
        *recipes(),
        *saying(recipes(16, names="Salt", mixes=COCONUT), "salt bar, superfat 16 % on purpose"),
    ],
    "strong and weak solutions": [*recipes(5, 38), *recipes(5, 26, names="Weak")],
    "liquid in two parts": split_liquid(recipes(5, 30)),
    "lye rounded to 5 g": recipes(6, 30, 5),
    "duplicates on purpose": [*recipes(), *recipes(names="Again")],
    "thirds that round to 99.9 %": recipes(mixes=THIRDS),
    "no superfat stated, 7 %": recipes(7, 33),
}

# --------------------------------------------------------------------------- shapes


@dataclass
class _Columns:
    """What the recipes of a book list between them."""

    fats: list[str] = field(default_factory=list)
    liquids: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, made: Sequence[Recipe]) -> "_Columns":
        fats = [fat for fat in FATS if any(fat in each.fats for each in made)]
        return cls(fats, list(dict.fromkeys(name for each in made for name in each.liquids)))


def rows(made: Sequence[Recipe]) -> Sheets:
    """One recipe per row."""
    columns, unit = _Columns.of(made), made[0].unit
    headed = [f"{name} ({unit})" for name in (*columns.fats, "Lye", *columns.liquids)]
    body = [
        [r.name, *map(r.fats.get, columns.fats), r.lye, *map(r.liquids.get, columns.liquids), r.superfat, r.remark]
        for r in made
    ]
    return {"Recipes": [["Soap", *headed, "Superfat %", "Remarks"], *body]}


def rows_with_shares(made: Sequence[Recipe]) -> Sheets:
    """One recipe per row, each fat as amount and per cent."""
    columns = _Columns.of(made)
    headed = [text for fat in columns.fats for text in (f"{fat} g", f"{fat} %")]
    body = [
        [r.name, *_with_shares(r, columns.fats), r.lye, *map(r.liquids.get, columns.liquids), r.superfat, r.remark]
        for r in made
    ]
    heading: list[object] = ["Soap", *headed, "Lye g", *(f"{name} g" for name in columns.liquids)]
    return {"Recipes": [[*heading, "Superfat %", "Remarks"], *body]}


def _with_shares(recipe: Recipe, fats: Sequence[str]) -> list[float | None]:
    return [value for fat in fats for value in (recipe.fats.get(fat), recipe.shares().get(fat))]


def across(made: Sequence[Recipe]) -> Sheets:
    """Ingredients down, recipes across."""
    columns = _Columns.of(made)
    lines: Rows = [["Ingredient", *(r.name for r in made)], ["", *(r.unit for r in made)]]
    lines += [
        [fat if fat in ("Lard", "Tallow") else f"{fat} oil", *(r.fats.get(fat) for r in made)] for fat in columns.fats
    ]
    lines += [["Lye", *(r.lye for r in made)]]
    lines += [[name, *(r.liquids.get(name) for r in made)] for name in columns.liquids]
    return {"Grid": [*lines, ["Superfat %", *(r.superfat for r in made)], ["Remarks", *(r.remark for r in made)]]}


def across_in_two_units(made: Sequence[Recipe]) -> Sheets:
    """Ingredients down, recipes across, in grams and in ounces, and the share of each fat."""
    columns = _Columns.of(made)
    heading: list[object] = ["Ingredient", *(text for r in made for text in (r.name, None, None))]
    lines: Rows = [heading, [None, *("g", "oz", "%") * len(made)]]
    for fat in columns.fats:
        cells = [(r.fats.get(fat), _ounces(r.fats.get(fat)), r.shares().get(fat)) for r in made]
        lines.append([fat, *(value for three in cells for value in three)])
    lines.append(["Lye", *(value for r in made for value in (r.lye, _ounces(r.lye), None))])
    for name in columns.liquids:
        amounts = [r.liquids.get(name) for r in made]
        lines.append([name, *(value for amount in amounts for value in (amount, _ounces(amount), None))])
    lines.append(["Superfat %", *(value for r in made for value in (r.superfat, None, None))])
    return {"Grid": [*lines, ["Remarks", *(value for r in made for value in (r.remark, None, None))]]}


def _ounces(grams: float | None) -> float | None:
    return None if grams is None else ounces(grams)


def _card(recipe: Recipe) -> Rows:
    lines: Rows = [[recipe.name]]
    amounts = {**recipe.fats, "Lye": recipe.lye, **recipe.liquids}
    lines += [[name, f"{amount:g} {recipe.unit}"] for name, amount in amounts.items()]
    if recipe.superfat is not None:
        lines.append(["Superfat", f"{recipe.superfat} %"])
    return [*lines, *([[recipe.remark]] if recipe.remark else [])]


def cards(made: Sequence[Recipe]) -> Sheets:
    """Cards below each other."""
    return {"Cards": [line for recipe in made for line in (*_card(recipe), [])]}


def cards_beside(made: Sequence[Recipe]) -> Sheets:
    """Cards in pairs beside each other."""
    lines: Rows = []
    for left, right in zip(made[::2], [*made[1::2], None], strict=False):
        one, other = _card(left), _card(right) if right else []
        height = max(len(one), len(other))
        one += [[] for _ in range(height - len(one))]
        other += [[] for _ in range(height - len(other))]
        lines += [[*(a + [None] * (3 - len(a))), *b] for a, b in zip(one, other, strict=True)] + [[]]
    return {"Cards": lines}


def one_cell_lines(made: Sequence[Recipe]) -> Sheets:
    """Cards whose lines hold name and amount in one cell."""
    lines: Rows = []
    for recipe in made:
        lines += [[f"{cells[1]} {cells[0]}" if len(cells) == 2 else cells[0]] for cells in _card(recipe)] + [[]]
    return {"Book": lines}


def one_ingredient_per_row(made: Sequence[Recipe]) -> Sheets:
    """A list: recipe, ingredient, amount, unit."""
    lines: Rows = [["Recipe", "Ingredient", "Amount", "Unit", "Superfat", "Notes"]]
    for recipe in made:
        amounts = {**recipe.fats, "Lye": recipe.lye, **recipe.liquids}
        first = True
        for name, amount in amounts.items():
            said = [f"{recipe.superfat} %" if recipe.superfat is not None else None, recipe.remark]
            lines.append([recipe.name, name, amount, recipe.unit, *(said if first else [None, None])])
            first = False
    return {"Ledger": lines}


def sheet_each(made: Sequence[Recipe]) -> Sheets:
    """One sheet per recipe."""
    return {recipe.name: _card(recipe) for recipe in made}


SHAPES: tuple[Callable[[Sequence[Recipe]], Sheets], ...] = (
    rows,
    rows_with_shares,
    across,
    across_in_two_units,
    cards,
    cards_beside,
    one_cell_lines,
    one_ingredient_per_row,
    sheet_each,
)


@dataclass(frozen=True)
class CleanBook:
    """A clean book: its recipes, and its sheets."""

    recipes: list[Recipe]
    sheets: Sheets


def _glued(shape: Callable[[Sequence[Recipe]], Sheets]) -> CleanBook:
    """Two books in one, the first in ounces, the second in grams; on one sheet where the shape has one."""
    old, new = [r.in_ounces() for r in recipes()], recipes(names="New")
    first, second = shape(old), shape(new)
    if len(first) > 1:
        return CleanBook([*old, *new], {**first, **second})
    (name, above), below = next(iter(first.items())), next(iter(second.values()))
    return CleanBook([*old, *new], {name: [*above, [], *below]})


def _with_notes_in_number_columns() -> CleanBook:
    made = recipes()
    (name, lines), *_ = rows(made).items()
    noted = [[*cells, "Bars" if row == 0 else "see p. 4" if row % 2 else 12] for row, cells in enumerate(lines)]
    return CleanBook(made, {name: noted})


BOOKS: dict[str, CleanBook] = {
    **{
        f"{oddity}: {shape.__name__}": CleanBook(made, shape(made))
        for oddity, made in ODDITIES.items()
        for shape in SHAPES
    },
    **{f"ounces above, grams below: {s.__name__}": _glued(s) for s in (rows, across, cards, one_ingredient_per_row)},
    "notes in number columns: rows": _with_notes_in_number_columns(),
}
