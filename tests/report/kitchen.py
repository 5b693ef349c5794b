"""A book with everything that bears on lye: milk, acids, lye solution, both alkalis, mixed units, texts, no lye."""

from pathlib import Path

from tests.books import write_book

_ = None

ROWS = [
    ["Soap", "Olive (g)", "Lard (g)", "Coconut (g)", "Lye (g)", "Water (g)", "Goat milk (g)", "Citric acid (g)", "SF"],
    ["Plain", 500, 250, 250, 141, 315, _, _, 5],
    ["Milk", 600, _, 300, 128, 100, 220, _, 6],
    ["Sour", 500, 300, 200, 152, 300, _, 20, 5],
    ["Text", "1 kg", _, 250, 175, "380 g", _, _, 5],
    ["No lye", 500, 300, 200, _, 300, _, _, 5],
    ["Strong", 500, 300, 200, 190, 120, _, _, 5],
    ["Silent on superfat", 700, _, 300, 142, 330, _, _, _],
    ["Two parts of lye", 400, 400, 200, "136.5", 320, _, _, 6],
]  # fmt: skip

LIST = [
    ["Recipe", "Ingredient", "Amount"],
    ["Liquid soap", "Sunflower oil", "600 g"],
    [_, "Coconut oil", "400 g"],
    [_, "KOH 90 %", "235 g"],
    [_, "Water", "700 g"],
    ["Shop lye", "Lard", "2 lb"],
    [_, "Coconut oil", "8 oz"],
    [_, "NaOH solution 50 %", "11.2 oz"],
    [_, "Water", "6 oz"],
    ["Shaving", "Tallow", "500 g"],
    [_, "Coconut oil", "250 g"],
    [_, "NaOH", "40 g"],
    [_, "KOH 90 %", "100 g"],
    [_, "Water", "260 g"],
    ["Vinegar", "Olive oil", "1000 g"],
    [_, "Lye", "150 g"],
    [_, "Vinegar 5 %", "300 g"],
]

SHEETS = {"Rows": ROWS, "List": LIST}


def write_kitchen(target: Path) -> Path:
    """Write the book."""
    return write_book(target, SHEETS)
