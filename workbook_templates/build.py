"""Builds the blank recipe books beside this file: `python -m workbook_templates.build`, with `--check` to compare only.

Each book has a sheet for recipes with units in its headings and drop-downs, the published values of the fats it offers,
a sheet of settings and one of cautions. `sheetcheck start` copies them.
"""

from __future__ import annotations

import datetime as dt
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from sheetcheck.reference import cautions, sources, substances
from sheetcheck.report.words import CAUTION_GROUPS

HERE = Path(__file__).parent
UNITS = {"oz": "ounces (by weight)", "g": "grams"}
FATS = ("olive oil", "coconut oil", "palm oil", "lard", "tallow", "shea butter", "castor oil", "sunflower oil")
ROWS_READY = 60
CARDS_READY, CARD_LINES = 12, 14
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes


class Book:
    """A workbook being built, with the formats that all its sheets share."""

    def __init__(self, target: Path) -> None:
        self.book = xlsxwriter.Workbook(str(target))
        self.book.set_properties({"title": "Soap recipe book", "created": MADE})
        self.title = self.book.add_format({"bold": True, "font_size": 16})
        self.heading = self.book.add_format(
            {"bold": True, "bg_color": "#E7E2D6", "border": 1, "text_wrap": True, "valign": "top"}
        )
        self.amount = self.book.add_format({"num_format": "0.00", "border": 1, "border_color": "#C9C2B2"})
        self.text = self.book.add_format({"border": 1, "border_color": "#C9C2B2"})
        self.figure = self.book.add_format({"num_format": "0.0", "border": 1, "border_color": "#C9C2B2"})
        self.wrap = self.book.add_format({"text_wrap": True, "valign": "top"})
        self.muted = self.book.add_format({"text_wrap": True, "valign": "top", "font_color": "#666666"})

        self._lists: Worksheet | None = None
        self._lists_used = 0

    def offer(self, sheet: Worksheet, cells: tuple[int, int, int, int], options: Sequence[str]) -> None:
        """Put a drop-down on cells; its options stand on a hidden sheet, since a rule itself holds 255 characters."""
        column = self._lists_used
        self._lists_used += 1
        if self._lists is None:
            self._lists = self.book.add_worksheet("Lists")
            self._lists.hide()
        self._lists.write_column(0, column, options)
        letter = xl_col_to_name(column)
        source = f"=Lists!${letter}$1:${letter}${len(options)}"
        sheet.data_validation(*cells, {"validate": "list", "source": source, "error_type": "information"})

    def sheet(self, name: str, widths: Sequence[float]) -> Worksheet:
        """Add a sheet that prints one page wide."""
        sheet = self.book.add_worksheet(name)
        for column, width in enumerate(widths):
            sheet.set_column(column, column, width)
        sheet.fit_to_pages(1, 0)
        sheet.set_landscape()
        return sheet


def fat_names() -> list[str]:
    """Return the names of all fats as they are shown."""
    return sorted(s.names["en"][0].capitalize() for s in substances().values() if s.kind == "fat")


def rows(book: Book, unit: str) -> None:
    """One recipe per row: a column for each fat, its name chosen in the heading."""
    headings = [
        "Recipe",
        *(f"{fat.capitalize()} ({unit})" for fat in FATS),
        f"All fats ({unit})",
        f"Lye NaOH ({unit})",
        f"Water ({unit})",
        f"Milk ({unit})",
        "Superfat %",
        "Added at trace",
        "Remarks",
    ]
    sheet = book.sheet("Recipes", [26, *[11] * len(FATS), 11, 11, 11, 11, 10, 26, 34])
    sheet.write(0, 0, f"Recipes: every weight in {UNITS[unit]}, fats, lye and liquid alike", book.title)
    sheet.write(1, 0, "Choose other fats from the drop-down in a heading. Recompute the lye whenever a fat changes.")
    for column, heading in enumerate(headings):
        sheet.write(3, column, heading, book.heading)
    last_fat = len(FATS)
    choices = [f"{name} ({unit})" for name in fat_names()]
    book.offer(sheet, (3, 1, 3, last_fat), choices)
    first, last = xl_col_to_name(1), xl_col_to_name(last_fat)
    for row in range(4, 4 + ROWS_READY):
        for column in range(len(headings)):
            blank: Format = book.text if column in (0, len(headings) - 2, len(headings) - 1) else book.amount
            sheet.write_blank(row, column, None, blank)
        fats = f"{first}{row + 1}:{last}{row + 1}"
        sheet.write_formula(row, last_fat + 1, f'=IF(COUNT({fats})=0,"",SUM({fats}))', book.amount, "")
    _amounts_only(sheet, (4, 1, 3 + ROWS_READY, last_fat))
    _amounts_only(sheet, (4, last_fat + 2, 3 + ROWS_READY, last_fat + 4))
    sheet.freeze_panes(4, 1)


def ingredients(book: Book, unit: str) -> None:
    """One ingredient per row, the recipe's name on the first line of each group."""
    headings = ("Recipe", "Ingredient", "Amount", "Unit", "Superfat %", "Remarks")
    sheet = book.sheet("Recipes", (28, 30, 12, 8, 12, 44))
    sheet.write(0, 0, "Recipes: one ingredient per line", book.title)
    sheet.write(
        1, 0, "Write the recipe's name on its first line; leave a line blank between recipes; keep to one unit."
    )
    for column, heading in enumerate(headings):
        sheet.write(3, column, heading, book.heading)
    last = 3 + ROWS_READY * 5
    for row in range(4, last + 1):
        for column in range(len(headings)):
            sheet.write_blank(row, column, None, book.amount if column == 2 else book.text)
    book.offer(sheet, (4, 1, last, 1), [*fat_names(), "Lye (NaOH)", "Water", "Goat milk", "Cow milk"])
    units = [unit, *(u for u in ("oz", "g", "lb", "kg") if u != unit)]
    sheet.data_validation(4, 3, last, 3, {"validate": "list", "source": units})
    _amounts_only(sheet, (4, 2, last, 2))
    sheet.freeze_panes(4, 1)


def cards(book: Book, unit: str) -> None:
    """Two cards side by side, each with a title, lines for its ingredients and a remark."""
    sheet = book.sheet("Recipes", (30, 12, 4, 30, 12))
    sheet.write(0, 0, f"Recipe cards: all weights in {UNITS[unit]}", book.title)
    lines = ["", "", "", "", "", "", "Water", "Lye (NaOH)", "Superfat %", "Remarks"]
    for card in range(CARDS_READY):
        top, left = 2 + (card // 2) * CARD_LINES, (card % 2) * 3
        sheet.merge_range(top, left, top, left + 1, "", book.heading)
        for line, name in enumerate(lines, 1):
            sheet.write(top + line, left, name, book.text)
            sheet.write_blank(top + line, left + 1, None, book.text if name == "Remarks" else book.amount)
        book.offer(sheet, (top + 1, left, top + 6, left), fat_names())
        _amounts_only(sheet, (top + 1, left + 1, top + 9, left + 1))


def _amounts_only(sheet: Worksheet, cells: tuple[int, int, int, int]) -> None:
    sheet.data_validation(
        *cells,
        {
            "validate": "decimal",
            "criteria": ">=",
            "value": 0,
            "error_type": "warning",
            "error_title": "An amount",
            "error_message": "A plain number is read best; the unit stands in the heading.",
        },
    )


# --------------------------------------------------------------------------- the sheets that every book has


def values_sheet(book: Book) -> None:
    """Write the published saponification values of all fats."""
    sheet = book.sheet("Values", (30, 12, 12, 12, 70))
    sheet.write(0, 0, "Saponification values, mg of potassium hydroxide per gram of fat", book.title)
    sheet.write(
        1, 0, "A range, since fats vary by nature. Write your supplier's value in a book of your own if it differs."
    )
    for column, heading in enumerate(("Fat", "Low", "Typical", "High", "Source")):
        sheet.write(3, column, heading, book.heading)
    fats = sorted((s for s in substances().values() if s.kind == "fat"), key=lambda s: s.name)
    for row, fat in enumerate(fats, 4):
        figures = (fat.sap_low, fat.sap_typical, fat.sap_high)
        sheet.write(row, 0, fat.name.capitalize(), book.text)
        for column, figure in enumerate(figures, 1):
            sheet.write(row, column, figure, book.figure)
        sheet.write(row, 4, str(sources()[fat.source]), book.muted)
    sheet.freeze_panes(4, 1)


def settings_sheet(book: Book, unit: str) -> None:
    """Write the settings that the audit reads from the book itself."""
    sheet = book.sheet("Settings", (30, 12, 80))
    sheet.write(0, 0, "Settings for the audit of this book", book.title)
    for column, heading in enumerate(("Setting", "Value", "What it does")):
        sheet.write(2, column, heading, book.heading)
    for row, (name, value, meaning) in enumerate(
        (
            ("default_unit", unit, "Unit of an amount where neither its cell, its heading nor the sheet says one."),
            ("target_superfat", 5, "Superfat in percent for a recomputed lye, where a recipe states none."),
            ("target_lye_concentration", 30, "Lye in percent of lye and water, for a recomputed liquid."),
            ("naoh_purity", 100, "Purity of your sodium hydroxide in percent, as its label says."),
        ),
        3,
    ):
        sheet.write(row, 0, name, book.text)
        sheet.write(row, 1, value, book.text)
        sheet.write(row, 2, meaning, book.wrap)


def cautions_sheet(book: Book) -> None:
    """Write the safety sentences with their sources."""
    sheet = book.sheet("Cautions", (100, 50))
    sheet.write(0, 0, "Working with lye", book.title)
    row = 2
    group = ""
    for caution in cautions():
        if caution.group != group:
            group = caution.group
            sheet.write(row, 0, CAUTION_GROUPS[group], book.heading)
            row += 1
        sheet.write(row, 0, caution.sentence, book.wrap)
        sheet.write(row, 1, str(sources()[caution.source]), book.muted)
        row += 1


# --------------------------------------------------------------------------- the command

SHAPES: dict[str, Callable[[Book, str], None]] = {"rows": rows, "list": ingredients, "cards": cards}


def build(folder: Path) -> list[Path]:
    """Write every blank book into a folder and return their paths."""
    written = []
    for shape, write in SHAPES.items():
        for unit in UNITS:
            target = folder / f"{shape}-{unit}.xlsx"
            book = Book(target)
            write(book, unit)
            values_sheet(book)
            settings_sheet(book, unit)
            cautions_sheet(book)
            book.book.close()
            written.append(target)
    return written


def stale(folder: Path) -> list[str]:
    """Return the names of the books in a folder that a rebuild would change."""
    with tempfile.TemporaryDirectory() as fresh:
        return [p.name for p in build(Path(fresh)) if _bytes(folder / p.name) != _bytes(p)]


def _bytes(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""


if __name__ == "__main__":
    if "--check" in sys.argv:
        if changed := stale(HERE):
            sys.exit(f"not as the script builds them: {', '.join(changed)}; run python -m workbook_templates.build")
    else:
        build(HERE)
