"""Books to rescale: audits made from recipes as texts, and books written to files."""

from collections.abc import Sequence
from pathlib import Path

from sheetcheck.model import Audit
from sheetcheck.settings import Settings
from tests.books import write_book
from tests.builders import Sketch, evidence, recipe

OUNCE = 28.349523125  # g, international avoirdupois ounce, by definition


def audit_of(recipes: Sequence[Sketch]) -> Audit:
    """An audit of sound recipes, without a file."""
    known = evidence(recipes)
    verdicts = {"verdict": "fine", "signal": None, "why_not_checked": None}
    return Audit(known.book, known.recipes.assign(**verdicts), (), Settings())


KITCHEN = recipe("Kitchen", fats={"lard": "80 oz"}, lye={"sodium hydroxide": "10.56 oz"}, liquid={"water": "24 oz"})
MILK = recipe(
    "Meadow",
    fats={"olive oil": "700 g", "coconut oil": "300 g"},
    lye={"sodium hydroxide": "141 g"},
    liquid={"water": "150 g", "goat milk": "170 g"},
    additives={"salt": "1 tsp", "clay": "12 g"},
)


def shapes_book(target: Path) -> Path:
    """One sheet of each shape that a book may have, with spoons, milk and pounds and ounces."""
    rows = [
        ["Soap", "Olive oil (oz)", "Coconut oil (oz)", "Fats (oz)", "Lye (oz)", "Water (oz)", "Superfat %", "At trace"],
        ["Windfall", 20, 10, 30, 4.2, 9.5, 5, "1 tbsp ground oats"],
        ["Russet", 24, 8, 32, 4.45, 10, 5, None],
        ["Bramley", 32, None, 32, 4.17, 8.5, 4, None],
    ]  # fmt: skip
    listed = [["Soap", "What goes in", "How much", "Unit"]]
    for name, lines in (
        ("Kestrel", (("Lard", 700, "g"), ("Coconut oil", 300, "g"), ("Goat milk", 340, "g"), ("Lye", 145, "g"))),
        ("Merlin", (("Olive oil", 1000, "g"), ("Water", 300, "g"), ("Lye", 129, "g"), ("Salt", 2, "tsp"))),
    ):
        listed += [[name if n == 0 else None, *line] for n, line in enumerate(lines)]
        listed.append([None])
    across = [
        ["Ingredient", "Thrush", "Wren"],
        ["Olive oil (g)", 800, 600],
        ["Coconut oil (g)", 200, 400],
        ["Water (g)", 300, 320],
        ["Lye (g)", 137, 147],
        ["Superfat %", 5, 5],
    ]
    cards = [
        ["Hearth", None], ["Tallow", "2 lb 4 oz"], ["Coconut oil", "12 oz"], ["Water", "14.5 oz"], ["Lye", "6.6 oz"],
        [None], ["Larder", None], ["Lard", "3 lb"], ["Water", "14 oz"], ["Lye", "6.3 oz"], ["1 tbsp honey", None],
    ]  # fmt: skip
    return write_book(target, {"Rows": rows, "List": listed, "Across": across, "Cards": cards})
