"""Builds the book of this example and its rescaled book: `python -m examples.rescale.build`, or with `--check`.

The orchard, its recipes and its moulds are invented. Lye and liquid were reckoned by hand from middle saponification
values and rounded as a kitchen scale shows them.
"""

from __future__ import annotations

import datetime as dt
import sys
import tempfile
from pathlib import Path

import xlsxwriter

from sheetcheck.pipeline import rescale
from workbook_templates.moulds_build import write_mould_sheet

HERE = Path(__file__).parent
BOOK, RESULT = "orchard_book.xlsx", "orchard_book.rescaled.xlsx"
SIZES = ("moulds=all", "x0.5")
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes
HEADINGS = (
    "Soap", "Olive oil (oz)", "Coconut oil (oz)", "Lard (oz)", "Castor oil (oz)", "All fats (oz)", "Lye (oz)",
    "Water (oz)", "Goat milk (oz)", "Superfat %", "Added at trace"
)  # fmt: skip
FIRST_FAT, LAST_FAT = 1, 4
# name, four fats, lye, water, milk, stated superfat, what else
RECIPES: tuple[tuple[object, ...], ...] = (
    ("Windfall", 20, 10, 10, None, 5.64, 12.5, None, 5, ""),
    ("Russet", None, 8, 24, None, 4.58, 10.5, None, 5, "1 tbsp ground oats"),
    ("Bramley", 32, None, None, None, 4.17, 8.5, None, 4, "leave it two days"),
    ("Perry", 24, 8, None, 2, 4.68, 5, 5.5, 6, "milk frozen first"),
    ("Medlar", 18, 9, 9, 2, 5.27, 11.75, None, 6, "2 tsp charcoal"),
    ("Quince", None, None, 32, None, 4.21, 9.75, None, 6, ""),
    ("Damson", None, 28, None, 2, 4.4, 10.25, None, 18, "1 cup salt"),
    ("Greengage", 40, 20, 20, None, 5.64, 25, None, 5, "Windfall, doubled"),  # the lye of the old batch
    ("Sloe", 16, 8, 8, None, 6.02, 10, None, 5, ""),  # more lye than the fats take up
    ("Pippin", 20, 12, None, "a little", 4.6, 10.5, None, 5, ""),  # castor oil was never weighed
)
MOULDS = (
    ("Two loaves", "loaf", 10, 3.5, 2.5, None, "in", None, None, 2, 10, "all"),
    ("Market day", "slab", 12, 9, 1.25, None, "in", None, None, 1, 24, ""),
    ("", "cylinder", None, None, 10, 3, "in", None, None, 2, 10, ""),
    ("Shells", "water", None, None, None, None, None, "3.2 oz", None, 12, 1, "Quince; Damson"),
)
PRICES = (  # what the orchard pays, in a pack of so many pounds
    ("Olive oil", 31.5, 7), ("Coconut oil", 16, 5), ("Lard", 9.6, 4), ("Castor oil", 7.5, 1), ("Lye", 11, 4),
)  # fmt: skip
DATE = dt.date(2026, 10, 3)  # on which the batches are to be made


def orchard_book(target: Path) -> None:
    """Write the book: one recipe per row in ounces, and the sheet of moulds."""
    with xlsxwriter.Workbook(str(target)) as book:
        book.set_properties({"title": "Orchard soap book", "created": MADE})
        sheet = book.add_worksheet("Soaps")
        bold = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
        sheet.write(0, 0, "Orchard soap book", book.add_format({"bold": True, "font_size": 14}))
        sheet.write_row(2, 0, HEADINGS, bold)
        sheet.set_row(2, 30)  # two lines
        for row, (name, *amounts, superfat, also) in enumerate(RECIPES, 3):
            sheet.write(row, 0, name)
            fats, others = amounts[:LAST_FAT], amounts[LAST_FAT:]
            for column, value in enumerate((*fats, None, *others, superfat, also or None), FIRST_FAT):
                if value is not None:
                    sheet.write(row, column, value)
            total = sum(value for value in fats if isinstance(value, int | float))
            sheet.write_formula(row, LAST_FAT + 1, f"=SUM(B{row + 1}:E{row + 1})", None, total)
        sheet.set_column(0, 0, 18)
        sheet.set_column(1, 9, 9)
        sheet.set_column(10, 10, 28)
        sheet.freeze_panes(3, 1)
        write_mould_sheet(book, MOULDS)
        prices = book.add_worksheet("Prices")
        prices.write_row(0, 0, ("Ingredient", "Price ($)", "Pack (lb)"), bold)
        for row, line in enumerate(PRICES, 1):
            prices.write_row(row, 0, line)
        prices.set_column(0, 2, 14)


def build(folder: Path) -> None:
    """Write the book and the rescaled book into a folder."""
    orchard_book(folder / BOOK)
    rescale(folder / BOOK, SIZES, folder / RESULT, date=DATE, overwrite=True)


def stale() -> list[str]:
    """Return the names of the books that a rebuild would change: the result carries the date on which it was made."""
    with tempfile.TemporaryDirectory() as fresh:
        orchard_book(Path(fresh) / BOOK)
        return [BOOK] if (HERE / BOOK).read_bytes() != (Path(fresh) / BOOK).read_bytes() else []


if __name__ == "__main__":
    if "--check" in sys.argv:
        if changed := stale():
            sys.exit(f"not as the script builds them: {', '.join(changed)}; run python -m examples.rescale.build")
    else:
        build(HERE)
