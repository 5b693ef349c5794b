"""Time and memory of an audit with its copy, against openpyxl's load and save of the same book, in one run.

    python -m tests.benchmarks.audit_benchmark [--sizes 100 1000 10000 100000] [--books dense sparse faulty]

Each figure is that of a process of its own (processor seconds with its children, peak memory), so that neither warms
the other up; the ratio is what to look at, since machines differ. Three books: "dense" has 20 columns, all filled, and
0.2 % faulty rows; "sparse" 17 columns of which each row fills six, 0.2 % slips and 2 % of rows with a finding; "faulty"
is the sparse one with a slip in every tenth row.
"""

from __future__ import annotations

import argparse
import itertools
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import xlsxwriter

FATS = (("Olive", 190), ("Coconut", 256), ("Palm", 199), ("Castor", 181), ("Shea", 181), ("Sunflower", 191))
NAOH_PER_KOH = 0.71289
FAULTY_ROWS = 0.002

AUDIT = "import sys; from sheetcheck import check; check(sys.argv[1], sys.argv[2])"
READ_ONLY = "import sys; from sheetcheck import audit; audit(sys.argv[1])"
BASELINE = "import sys, openpyxl; openpyxl.load_workbook(sys.argv[1]).save(sys.argv[2])"


@dataclass(frozen=True)
class Figure:
    """What one process took."""

    seconds: float
    megabytes: float


def write_book(target: Path, recipes: int) -> None:
    """Write a book of sound recipes in grams, all 20 columns filled, one row in five hundred with ten times its lye."""
    chance = random.Random(recipes)  # noqa: S311 - a seeded book, the same at every run
    headings = ["No.", "Recipe", "Made", *(f"{name} (g)" for name, _ in FATS), "All fats (g)", "Water (g)", "Milk (g)"]
    headings += ["Lye (g)", "Superfat %", "Bars", "Price", "Sold", "Cure weeks", "Scent", "Remarks"]
    with xlsxwriter.Workbook(str(target), {"constant_memory": True}) as book:
        sheet = book.add_worksheet("Recipes")
        sheet.write_row(0, 0, headings)
        for row in range(1, recipes + 1):
            fats = [50 * chance.randint(1, 12) for _ in FATS]
            needed = sum(g * value for g, (_, value) in zip(fats, FATS, strict=True)) / 1000 * NAOH_PER_KOH
            lye = round(needed * 0.95 * (10 if chance.random() < FAULTY_ROWS else 1))
            water, milk = round(needed * 1.4), round(needed * 0.8)
            cells = [row, f"Soap {row}", "May", *fats, sum(fats), water, milk, lye, 5, sum(fats) // 100, 4.5, 12, 6]
            sheet.write_row(row, 0, [*cells, "lavender", "good lather"])


MORE_FATS = (*FATS, ("Almond", 192), ("Avocado", 187), ("Cocoa butter", 194), ("Lard", 197), ("Rice bran", 187),
             ("Tallow", 197), ("Hemp", 192), ("Babassu", 247))  # fmt: skip


def write_sparse_book(target: Path, recipes: int, faulty: float = FAULTY_ROWS) -> None:
    """Write a book with a column for each of fourteen fats, three of which a recipe has, some with much superfat."""
    chance = random.Random(recipes)  # noqa: S311 - a seeded book, the same at every run
    with xlsxwriter.Workbook(str(target), {"constant_memory": True}) as book:
        sheet = book.add_worksheet("Recipes")
        sheet.write_row(0, 0, ["Recipe", *(f"{name} (g)" for name, _ in MORE_FATS), "Lye (g)", "Water (g)"])
        for row in range(1, recipes + 1):
            chosen = sorted(chance.sample(range(len(MORE_FATS)), 3))
            fats = [50 * chance.randint(2, 16) for _ in chosen]
            needed = sum(g * MORE_FATS[at][1] for g, at in zip(fats, chosen, strict=True)) / 1000 * NAOH_PER_KOH
            lye = needed * (0.87 if chance.random() < _MUCH_SUPERFAT else 0.95)
            sheet.write_string(row, 0, f"Soap {row}")
            for grams, at in zip(fats, chosen, strict=True):
                sheet.write_number(row, 1 + at, grams)
            sheet.write_number(row, 15, round(lye * (_slip(chance) if chance.random() < faulty else 1)))
            sheet.write_number(row, 16, round(needed * 2.2))


_MUCH_SUPERFAT = 0.018  # share of the rows


def _slip(chance: random.Random) -> float:
    return chance.choice((10, 0.1, 2, 1.6, 28.35, 1 / 28.35))


BOOKS: dict[str, Callable[[Path, int], None]] = {
    "dense": write_book,
    "sparse": write_sparse_book,
    "faulty": lambda target, recipes: write_sparse_book(target, recipes, faulty=0.1),
}


def measured(code: str, *arguments: object) -> Figure:
    """Run Python code in a process of its own."""
    runner = f"import resource; exec({code!r}); print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    before = os.times()
    done = subprocess.run(
        [sys.executable, "-c", runner, *map(str, arguments)], capture_output=True, text=True, check=True
    )
    after = os.times()
    seconds = after.children_user + after.children_system - before.children_user - before.children_system
    return Figure(seconds, int(done.stdout.split()[-1]) / 1024)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[100, 1_000, 10_000, 100_000])
    parser.add_argument("--books", nargs="+", default=list(BOOKS), choices=list(BOOKS))
    asked = parser.parse_args()
    print(
        "| book | recipes | audit and copy, s | MB | audit alone, s | load, save, s | MB | time ratio | memory ratio |"
    )
    print("|---|--:|--:|--:|--:|--:|--:|--:|--:|")
    for kind, size in itertools.product(asked.books, asked.sizes):
        with tempfile.TemporaryDirectory() as folder:
            book = Path(folder) / "book.xlsx"
            BOOKS[kind](book, size)
            ours = measured(AUDIT, book, Path(folder) / "copy.xlsx")
            alone = measured(READ_ONLY, book)
            theirs = measured(BASELINE, book, Path(folder) / "saved.xlsx")
        print(
            f"| {kind} | {size:,} | {ours.seconds:.2f} | {ours.megabytes:.0f} | {alone.seconds:.2f} |"
            f" {theirs.seconds:.2f} | {theirs.megabytes:.0f} |"
            f" {ours.seconds / theirs.seconds:.2f} | {ours.megabytes / theirs.megabytes:.2f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
