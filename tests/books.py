"""Small workbooks for tests: one sheet a list of rows, written as a person types them."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import xlsxwriter

Rows = Sequence[Sequence[object]]


def write_book(target: Path, sheets: Mapping[str, Rows]) -> Path:
    """Write rows to sheets; None leaves a cell blank, a text stays a text."""
    options = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(str(target), options) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for row, values in enumerate(rows):
                for column, value in enumerate(values):
                    if value is not None:
                        sheet.write(row, column, value)
    return target
