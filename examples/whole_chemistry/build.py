"""Builds the books of this example; `python -m examples.build` does so with all others."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter

from examples.whole_chemistry.mill_recipes import REFUSED, SOUND, Sheet

MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)  # one date, so that a rebuild gives the same bytes
HEADINGS = ("Soap", "What goes in", "How much ({unit})", "Remarks")
WIDTHS = (18, 34, 14, 48)


def mill_book(target: Path) -> None:
    """Write the book in which everything is sound."""
    _book(target, "Mill soap book", SOUND)


def drawer_book(target: Path) -> None:
    """Write the book of what has to be refused, with the reason, and of what is free lye."""
    _book(target, "Mill soap book, loose leaves", REFUSED)


def _book(target: Path, title: str, sheets: Sequence[Sheet]) -> None:
    with xlsxwriter.Workbook(str(target)) as book:
        book.set_properties({"title": title, "created": MADE})
        bold = book.add_format({"bold": True, "bottom": 1})
        for name, unit, recipes in sheets:
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, [heading.format(unit=unit) for heading in HEADINGS], bold)
            row = 1
            for soap, remark, lines in recipes:
                sheet.write(row, 0, soap)
                sheet.write(row, 3, remark)
                for line in lines.split(" | "):
                    what, _, amount = line.rpartition(" ")
                    sheet.write(row, 1, what)
                    sheet.write(row, 2, float(amount))
                    row += 1
                row += 1
            for column, width in enumerate(WIDTHS):
                sheet.set_column(column, column, width)
            sheet.freeze_panes(1, 1)
            sheet.repeat_rows(0)
            sheet.fit_to_pages(1, 0)
