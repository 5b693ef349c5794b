"""Builds the example books: `python -m examples.build`, with `--check` to compare only.

The farm, its recipes and their faults are invented. Lye and liquid of the sound rows were reckoned by hand from middle
saponification values and rounded as a kitchen scale shows them.
"""

from __future__ import annotations

import datetime as dt
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from examples.old_books.build import as_printed, as_the_books_reckon
from examples.whole_chemistry.build import drawer_book, mill_book

HERE = Path(__file__).parent
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes

Amount = float | str | None
FARM_FATS = ("Olive", "Coconut", "Palm", "Lard", "Tallow", "Shea", "Castor", "Sunflower", "Aunt's blend")
# name, fats by name, lye, water, milk, stated superfat, remark
Recipe = tuple[str, dict[str, Amount], Amount, Amount, Amount, Amount, str]

OUNCES: tuple[Recipe, ...] = (
    ("Samphire", {"Olive": 20, "Coconut": 10, "Palm": 8, "Castor": 2}, 5.64, 12.5, None, 5, ""),
    ("Tideline", {"Lard": 32}, 4.21, 9.75, None, 6, "plain, for the men"),
    ("Sea Lavender", {"Olive": 24, "Coconut": 8, "Shea": 3}, 4.8, 5, 5.5, 6, "milk frozen first"),
    ("Marram", {"Tallow": 24, "Coconut": 8}, 4.59, 10.75, None, 5, ""),
    ("Cockle Row", {"Olive": 16, "Coconut": 8, "Palm": 8}, 128.4, 10, None, 5, "sells at the quay"),  # grams
    ("Driftwood", {"Lard": 20, "Coconut": 8, "Sunflower": 4}, 4.57, 10.75, None, 5, "charcoal, 1 tsp"),
    ("Heron Bank", {"Olive": "2 lb"}, 4.17, 8.5, None, 4, "slow, leave it two days"),
    ("Avocet", {"Olive": 18, "Coconut": 9, "Palm": 9, "Castor": 2}, 5.28, 11.75, None, 6, ""),
    ("Mudlark", {"Tallow": 40, "Coconut": 12}, 7.42, 17.25, None, 5, ""),
    ("Sandpiper", {"Lard": 48, "Coconut": 16}, 4.58, 10.5, None, 5, "twice the old batch"),  # lye of the old batch
    ("Sea Beet", {"Olive": 14, "Coconut": 9, "Palm": 255}, 4.58, 10.25, None, 5, ""),  # palm in grams
    ("Old Jetty", {"Lard": 66}, 8.86, 20, None, 4, "the big tray"),
    ("Curlew", {"Olive": 24, "Coconut": 8, "Castor": 2}, 4.68, 10.5, None, 6, ""),
    ("Lugworm Scrub", {"Tallow": 32}, 4.42, 10.5, None, 0.5, "laundry only, no spare fat"),
    ("Saltpan", {"Coconut": 28, "Castor": 2}, 4.4, 10.25, None, 18, "salt bar, high on purpose"),
    ("Oystercatcher", {"Olive": 20, "Coconut": 10, "Palm": 10}, "5.66 oz", 12.5, None, 5, ""),
    ("Ebb", {"Lard": 24, "Olive": 8}, 4.18, 9.75, None, 6, ""),
    ("Flood", {"Lard": 48, "Olive": 16}, 8.36, 19.5, None, 6, "Ebb, doubled"),
    ("Groyne", {"Tallow": 20, "Olive": 10, "Coconut": 8}, 3.55, 12, None, 5, ""),  # 5.35, digits exchanged
    ("Whelk", {"Olive": 17.5, "Coconut": 10.5, "Palm": 7}, 11.25, 5.02, None, 5, ""),  # lye and water exchanged
    ("Sheldrake", {"Olive": 22, "Coconut": 8, "Castor": 2, "Aunt's blend": 4}, 4.86, 10.75, None, 7, ""),  # unknown fat
    ("Brent Goose", {"Lard": 28, "Coconut": 12}, None, 13.5, None, 5, "lye: see the old card"),  # no lye
)
GRAMS: tuple[Recipe, ...] = (
    ("Neap", {"Olive": 500, "Coconut": 250, "Palm": 250}, 142, 315, None, 5, ""),
    ("Spring Tide", {"Olive": 1000, "Coconut": 500, "Palm": 500}, 283, 630, None, 5, ""),
    ("Sea Kale", {"Olive": 600, "Coconut": 250, "Shea": 100, "Castor": 50}, 138, 305, None, 6, ""),
    ("Mallow", {"Lard": 700, "Coconut": 300}, 145, 170, 190, 5, ""),
    ("Sluice", {"Tallow": 1000}, 133, 295, None, 5, ""),
    ("Creek", {"Olive": 450, "Coconut": 300, "Sunflower": 250}, 142, 315, None, 5, ""),
    ("Reed Bed", {"Olive": 700, "Coconut": 300}, 141, 300, None, 6, ""),
    ("Wrack", {"Lard": "0.6 kg", "Olive": 250, "Coconut": 150}, 138, 320, None, 5, ""),
    ("Dulse", {"Olive": 800, "Coconut": 150, "Castor": 50}, 134, 270, None, 6, ""),
    ("Sea Wall", {"Tallow": 600, "Coconut": 250, "Olive": 150}, 143, 335, None, 5, ""),
    ("Bladder Wrack", {"Olive": 400, "Coconut": 300, "Palm": 300}, 144, 320, None, 5, ""),
    ("Eel Grass", {"Olive": 550, "Coconut": 250, "Shea": 120, "Castor": 80}, 13.7, 305, None, 6, ""),  # 137
    ("Gull", {"Lard": 1500}, 281, 465, None, 5, ""),  # the amount for potassium hydroxide
    ("Tern", {"Olive": 375, "Coconut": 375, "Palm": "75O"}, 214, 475, None, 5, ""),  # a letter O
    ("Estuary", {"Olive": 900, "Coconut": 400, "Palm": 200}, 212, 470, None, 5, ""),
    ("Lighthouse", {"Tallow": 750, "Coconut": 250}, 212, 320, None, 5, ""),  # copied from the row above
    ("Harbour", {"Olive": 1200}, 155, 315, None, 5, "castile"),
    ("Breakwater", {"Lard": 800, "Coconut": 400}, 165, 410, None, 5, ""),  # superfat is not the stated one
)

CLEAN: tuple[tuple[str, str, Sequence[tuple[str, Amount, str]], str], ...] = (
    (
        "Jib",
        "oz",
        (
            ("Olive oil", 20, ""),
            ("Coconut oil", 10, ""),
            ("Palm oil", 8, ""),
            ("Castor oil", 2, ""),
            ("Spring water", 12.5, ""),
            ("Lye", 5.64, ""),
        ),
        "",
    ),
    ("Mainsail", "oz", (("Lard", 32, ""), ("Water", 9.75, ""), ("Lye", 4.21, "")), "mild"),
    (
        "Spinnaker",
        "oz",
        (
            ("Olive oil", 24, ""),
            ("Coconut oil", 8, ""),
            ("Shea butter", 3, ""),
            ("Goat milk", 10.5, ""),
            ("Lye", 4.8, ""),
            ("Oats, ground", 2, "tbsp"),
        ),
        "milk frozen in cubes",
    ),
    ("Topsail", "oz", (("Tallow", 24, ""), ("Coconut oil", 8, ""), ("Lye", 4.59, ""), ("Water", 10.75, "")), ""),
    ("Halyard", "oz", (("Olive oil", 32, ""), ("Water", 8.5, ""), ("Lye", 4.17, "")), "leave it two days"),
    ("Bowline", "oz", (("Lard", 66, ""), ("Water", 20, ""), ("Lye", 8.86, "")), "the big tray"),
    (
        "Cleat",
        "oz",
        (("Coconut oil", 28, ""), ("Castor oil", 2, ""), ("Water", 10.25, ""), ("Lye", 4.4, ""), ("Salt", 1, "cup")),
        "superfat 18 % on purpose, salt bar",
    ),
    (
        "Rudder",
        "g",
        (("Olive oil", 500, ""), ("Coconut oil", 250, ""), ("Palm oil", 250, ""), ("Water", 315, ""), ("Lye", 142, "")),
        "",
    ),
    (
        "Tiller",
        "g",
        (
            ("Olive oil", 1000, ""),
            ("Coconut oil", 500, ""),
            ("Palm oil", 500, ""),
            ("Water", 630, ""),
            ("Lye", 283, ""),
        ),
        "Rudder, doubled",
    ),
    (
        "Keel",
        "g",
        (("Lard", 700, ""), ("Coconut oil", 300, ""), ("Water", 170, ""), ("Goat milk", 190, ""), ("Lye", 145, "")),
        "",
    ),
    (
        "Mast",
        "g",
        (
            ("Olive oil", 800, ""),
            ("Coconut oil", 150, ""),
            ("Castor oil", 50, ""),
            ("Water", 270, ""),
            ("Lye", 134, ""),
            ("Lavender essential oil", 20, ""),
        ),
        "",
    ),
    ("Anchor", "g", (("Tallow", 1000, ""), ("Water", 295, ""), ("Lye", 133, "")), ""),
)


def shore_book(target: Path) -> None:
    """Write the book with faults: one recipe per row, ounces on one sheet, grams on the other, and a shopping list."""
    book = xlsxwriter.Workbook(str(target))
    book.set_properties({"title": "Saltmarsh soap book", "created": MADE})
    _rows(book, "Ounces", "Saltmarsh soap book", "oz", OUNCES, typed_total=None)
    _rows(book, "Grams", "Since the gram scales", "g", GRAMS, typed_total=("Harbour", 1300))
    shopping = book.add_worksheet("Shopping")
    shopping.write_row(0, 0, ("What", "How much", "Price"))
    for row, line in enumerate((("Olive oil", "5 l", 38.5), ("Lye", "2 kg", 11.9), ("Lard", "4 kg", 12)), 1):
        shopping.write_row(row, 0, line)
    book.close()


def _rows(  # noqa: PLR0913 - one sheet's worth of facts
    book: xlsxwriter.Workbook,
    name: str,
    title: str,
    unit: str,
    recipes: Sequence[Recipe],
    *,
    typed_total: tuple[str, float] | None,
) -> None:
    sheet = book.add_worksheet(name)
    bold = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
    amount = book.add_format({"num_format": "0.00" if unit == "oz" else "0.0"})
    sheet.write(0, 0, title, book.add_format({"bold": True, "font_size": 14}))
    headings = [
        "Soap",
        *(f"{fat} ({unit})" for fat in FARM_FATS),
        f"All fats ({unit})",
        f"Lye ({unit})",
        f"Water ({unit})",
        f"Goat milk ({unit})",
        "Superfat %",
        "Remarks",
    ]
    sheet.write_row(2, 0, headings, bold)
    sheet.set_row(2, 30)  # two lines
    first, last = 1, len(FARM_FATS)
    for row, (soap, fats, lye, water, milk, superfat, remark) in enumerate(recipes, 3):
        sheet.write(row, 0, soap)
        for column, fat in enumerate(FARM_FATS, first):
            if fat in fats:
                sheet.write(row, column, fats[fat], amount)
        fats_of_row = f"{xl_rowcol_to_cell(row, first)}:{xl_rowcol_to_cell(row, last)}"
        total = sum(v for v in fats.values() if isinstance(v, int | float))
        if typed_total is not None and typed_total[0] == soap:
            sheet.write(row, last + 1, typed_total[1], amount)
        elif not any(isinstance(v, str) for v in fats.values()):
            sheet.write_formula(row, last + 1, f"=SUM({fats_of_row})", amount, total)
        for column, value in enumerate((lye, water, milk, superfat), last + 2):
            if value is not None:
                sheet.write(row, column, value, amount if column < last + 5 else None)
        sheet.write(row, last + 6, remark)
    sheet.set_column(0, 0, 18)
    sheet.set_column(1, last + 5, 9)
    sheet.set_column(last + 6, last + 6, 28)
    sheet.freeze_panes(3, 1)
    sheet.conditional_format(
        f"{xl_col_to_name(last + 5)}4:{xl_col_to_name(last + 5)}60",
        {"type": "cell", "criteria": ">", "value": 15, "format": book.add_format({"italic": True})},
    )


def clean_book(target: Path) -> None:
    """Write the book without faults: one ingredient per row, with harmless oddities."""
    book = xlsxwriter.Workbook(str(target))
    book.set_properties({"title": "Boathouse soap book", "created": MADE})
    sheet = book.add_worksheet("Soaps")
    bold = book.add_format({"bold": True, "bottom": 1})
    sheet.write_row(0, 0, ("Soap", "What goes in", "How much", "Unit", "Remarks"), bold)
    row = 1
    for soap, unit, lines, remark in CLEAN:
        sheet.write(row, 0, soap)
        sheet.write(row, 4, remark)
        for what, amount, other_unit in lines:
            sheet.write(row, 1, what)
            sheet.write(row, 2, amount)
            sheet.write(row, 3, other_unit or unit)
            row += 1
        row += 1
    sheet.set_column(0, 1, 24)
    sheet.set_column(2, 2, 10)
    sheet.set_column(4, 4, 36)
    book.close()


BOOKS: dict[str, Callable[[Path], None]] = {
    "shore_book/shore_book.xlsx": shore_book,
    "clean_book/clean_book.xlsx": clean_book,
    "whole_chemistry/mill_book.xlsx": mill_book,
    "whole_chemistry/drawer_book.xlsx": drawer_book,
    "old_books/as_printed.xlsx": as_printed,
    "old_books/as_the_books_reckon.xlsx": as_the_books_reckon,
}


def stale() -> list[str]:
    """Return the names of the books that a rebuild would change."""
    changed = []
    with tempfile.TemporaryDirectory() as folder:
        for name, build in BOOKS.items():
            fresh = Path(folder) / Path(name).name
            build(fresh)
            if not (HERE / name).exists() or (HERE / name).read_bytes() != fresh.read_bytes():
                changed.append(name)
    return changed


if __name__ == "__main__":
    if "--check" in sys.argv:
        if changed := stale():
            sys.exit(f"not as the script builds them: {', '.join(changed)}; run python -m examples.build")
    else:
        for name, build in BOOKS.items():
            build(HERE / name)
