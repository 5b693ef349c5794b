"""Builds the two books of this example; `python -m examples.build` does so with all others.

The recipes are those of `tests/chemistry/old_book_recipes.csv`, from two handbooks in the public domain. Both books
hold the same amounts: one with the lye by degrees as printed, one with its strength by the handbooks' own tables and
with their own saponification values.
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import xlsxwriter

TABLE = Path(__file__).parents[2] / "tests" / "chemistry" / "old_book_recipes.csv"
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes
HEADINGS = ("Soap", "What goes in", "How much", "Unit", "Where it stands")
WIDTHS = (44, 34, 12, 8, 74)
SCALES = {"degBe": "°Bé", "degTw": "°Tw"}
# Per cent by the tables of the handbooks: Thomssen, p. 234, for °Bé of soda and potash; Simmons & Appleton, Appendix C,
# after Hurst, for °Tw.
BY_THEIR_TABLES = {
    ("lye_NaOH", "35", "degBe"): 28.83,
    ("lye_NaOH", "36", "degBe"): 29.93,
    ("lye_NaOH", "38", "degBe"): 32.47,
    ("lye_KOH", "20", "degBe"): 18.6,
    ("lye_NaOH", "71.4", "degTw"): 32.64,
    ("lye_NaOH", "72", "degTw"): 32.93,
}
# Middle of the handbooks' own ranges [mg KOH/g]: Thomssen, p. 228; Simmons & Appleton, chapter III.
THEIR_VALUES = {
    "Coconut oil": 251.5, "Tallow": 196.5, "Olive oil": 193.5, "Castor oil": 182, "Palm kernel oil": 248.2,
    "Olive pomace oil": 188.3, "Rosin": 174.65,
}  # fmt: skip
LYES = {"lye_NaOH": "Soda lye", "lye_KOH": "Potash lye"}
TAKEN_AS = {
    "Palm kernel or Ceylon cocoanut oil": "Palm kernel oil",
    "Sodium silicate, 20 per cent": "Sodium silicate",
}  # by the audit of the same recipes in the tests
ALONE = ("T17", "T20")  # besides as printed, without what makes them "not checked"
NOT_ALONE = ("silicate", "other")
Row = dict[str, str]


def as_printed(target: Path) -> None:
    """Write the recipes with the lye by degrees, to be judged by this project's values."""
    with xlsxwriter.Workbook(str(target)) as book:
        book.set_properties({"title": "Recipes of 1908 and 1922, as printed", "created": MADE})
        _recipes(book, of_table=False)


def as_the_books_reckon(target: Path) -> None:
    """Write the recipes with the handbooks' own strengths and saponification values, and the setting to use these."""
    with xlsxwriter.Workbook(str(target)) as book:
        book.set_properties({"title": "Recipes of 1908 and 1922, by their own tables", "created": MADE})
        _recipes(book, of_table=True)
        bold = book.add_format({"bold": True, "bottom": 1})
        for name, headings, lines in (
            ("Values", ("Fat", "Saponification value (mg KOH/g)"), list(THEIR_VALUES.items())),
            ("Settings", ("Setting", "Value"), [("use_own_values", True)]),
        ):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, headings, bold)
            for row, line in enumerate(lines, 1):
                sheet.write_row(row, 0, line)
            sheet.set_column(0, 1, 32)


def _recipes(book: xlsxwriter.Workbook, *, of_table: bool) -> None:
    sheet = book.add_worksheet("Recipes")
    bold = book.add_format({"bold": True, "bottom": 1})
    sheet.write_row(0, 0, HEADINGS, bold)
    row = 1
    for title, lines in _titled():
        sheet.write(row, 0, title)
        first = lines[0]
        sheet.write(row, 4, f"{first['source'].split(' (')[0]}, {first['page']}")
        for line in lines:
            what, amount, unit = _line(line, of_table=of_table)
            sheet.write_row(row, 1, (what, amount, unit))
            row += 1
        row += 1
    for column, width in enumerate(WIDTHS):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(1, 1)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _titled() -> Iterator[tuple[str, list[Row]]]:
    recipes: dict[str, list[Row]] = {}
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()):
        recipes.setdefault(row["recipe_id"], []).append(row)
    for number, lines in recipes.items():
        title = f"{number} {lines[0]['title']}"
        yield title, lines
        if number in ALONE:
            yield f"{title}: fats and lye alone", [line for line in lines if line["role"] not in NOT_ALONE]


def _line(line: Row, *, of_table: bool) -> tuple[str, float, str]:
    """Return name, amount and unit; what the handbooks give in parts is written in grams."""
    name = TAKEN_AS.get(line["ingredient"], line["ingredient"])
    if line["role"] in LYES:
        scale = line["lye_strength"], line["strength_scale"]
        strength = f"{BY_THEIR_TABLES[line['role'], *scale]:g} %" if of_table else f"{scale[0]} {SCALES[scale[1]]}"
        name = f"{LYES[line['role']]} {strength}"
    return name, float(line["amount"]), {"parts": "g", "US gal": "gal"}.get(line["unit"], line["unit"])
