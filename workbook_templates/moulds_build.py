"""Builds the blank list of moulds beside this file: `python -m workbook_templates.moulds_build`, or with `--check`.

`moulds-oz.xlsx` has its sizes in inches, `moulds-g.xlsx` in centimetres. Its sheet can be copied into a recipe book, or
the file be named with `sheetcheck rescale --moulds`.
"""

from __future__ import annotations

import datetime as dt
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

HERE = Path(__file__).parent
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes
WIDTHS = {
    "Set": 24,
    "Shape": 12,
    "Length": 9,
    "Width": 9,
    "Fill height": 11,
    "Diameter": 10,
    "Unit": 7,
    "Water": 12,
    "Fats": 12,
    "How many": 10,
    "Bars each": 10,
    "For recipes": 40,
}
HEADINGS = tuple(WIDTHS)
ROWS_READY = 40
_SHAPE, _UNIT = HEADINGS.index("Shape"), HEADINGS.index("Unit")
_ADVICE = (
    "One mould on each row; rows of one set are filled together, and the name of the set stands on its first row.",
    "Inner sizes. box, loaf, slab: length, width, fill height. cylinder: diameter, fill height.",
    "Odd shape? Fill it with water to the line and weigh that; write shape water and the weight: 950 g, 2 lb 1 oz.",
    "Or write the fats of a recipe that fills it, under Fats: 60 oz.",
    "For recipes: names with semicolons between them, where a set is not for every recipe.",
)
Row = Sequence[object]
EXAMPLES: dict[str, tuple[Row, ...]] = {  # shown on a sheet of their own, which is not read
    "oz": (
        ("Two loaves", "loaf", 10, 3.5, 2.5, None, "in", None, None, 2, 10, "all"),
        ("Market day", "slab", 12, 9, 1.25, None, "in", None, None, 1, 24, ""),
        ("", "cylinder", None, None, 10, 3, "in", None, None, 2, 10, ""),
        ("Shells", "water", None, None, None, None, None, "3.2 oz", None, 12, 1, ""),
        ("Old crate", "", None, None, None, None, None, None, "60 oz", 1, "", ""),
    ),
    "g": (
        ("Two loaves", "loaf", 25, 9, 6.5, None, "cm", None, None, 2, 10, "all"),
        ("Market day", "slab", 30, 22, 3, None, "cm", None, None, 1, 24, ""),
        ("", "cylinder", None, None, 25, 7.5, "cm", None, None, 2, 10, ""),
        ("Shells", "water", None, None, None, None, None, "90 g", None, 12, 1, ""),
        ("Old crate", "", None, None, None, None, None, None, "1700 g", 1, "", ""),
    ),
}


def write_mould_sheet(book: xlsxwriter.Workbook, rows: Sequence[Row], name: str = "Moulds") -> Worksheet:
    """Write a sheet of moulds into a workbook: advice, headings, rows, and blank rows to write on."""
    sheet = book.add_worksheet(name)
    heading = book.add_format({"bold": True, "bg_color": "#E7E2D6", "border": 1, "text_wrap": True, "valign": "top"})
    cell = book.add_format({"border": 1, "border_color": "#C9C2B2"})
    sheet.write(0, 0, name, book.add_format({"bold": True, "font_size": 16}))
    for row, advice in enumerate(_ADVICE, 1):
        sheet.write(row, 0, advice)
    top = len(_ADVICE) + 2
    sheet.write_row(top, 0, HEADINGS, heading)
    for number in range(ROWS_READY):
        _write_row(sheet, top + 1 + number, rows[number] if number < len(rows) else (), cell)
    for column, width in enumerate(WIDTHS.values()):
        sheet.set_column(column, column, width)
    shapes = ["box", "loaf", "slab", "cylinder", "water"]
    for column, options in ((_SHAPE, shapes), (_UNIT, ["in", "cm", "mm"])):
        sheet.data_validation(top + 1, column, top + ROWS_READY, column, {"validate": "list", "source": options})
    sheet.freeze_panes(top + 1, 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    return sheet


def _write_row(sheet: Worksheet, row: int, values: Row, look: Format) -> None:
    for column in range(len(HEADINGS)):
        value = values[column] if column < len(values) else None
        if value in (None, ""):
            sheet.write_blank(row, column, None, look)
        else:
            sheet.write(row, column, value, look)


def build(folder: Path) -> list[Path]:
    """Write both lists into a folder and return their paths."""
    written = []
    for unit, rows in EXAMPLES.items():
        target = folder / f"moulds-{unit}.xlsx"
        with xlsxwriter.Workbook(str(target)) as book:
            book.set_properties({"title": "Soap moulds", "created": MADE})
            write_mould_sheet(book, ())
            write_mould_sheet(book, rows, "Examples")
        written.append(target)
    return written


def stale(folder: Path) -> list[str]:
    """Return the names of the lists in a folder that a rebuild would change."""
    with tempfile.TemporaryDirectory() as fresh:
        return [
            p.name
            for p in build(Path(fresh))
            if not (folder / p.name).exists() or (folder / p.name).read_bytes() != p.read_bytes()
        ]


if __name__ == "__main__":
    if "--check" in sys.argv:
        if changed := stale(HERE):
            sys.exit(
                f"not as the script builds them: {', '.join(changed)}; run python -m workbook_templates.moulds_build"
            )
    else:
        build(HERE)
