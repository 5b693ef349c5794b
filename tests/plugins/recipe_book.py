"""A recipe book of one sheet with faults, a sheet of prices and a hidden blank one; formulas keep their results."""

import datetime as dt
from pathlib import Path

import xlsxwriter

HEADINGS = ["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)", "Lye share", "Made"]
ROWS = [
    ["Plain", 80, 24.29, 10.86],  # sound: 5 % superfat
    ["Heavy", 64, 24, 13],  # DANGER: more lye than the lard can take up
    ["Windowsill", 80, 24, 10.86],
]
SHARE = "=D{0}/(C{0}+D{0})"


def make_book(target: Path) -> Path:
    with xlsxwriter.Workbook(str(target)) as book:
        sheet = book.add_worksheet("Batches")
        ounces, day = book.add_format({"num_format": '0.00" oz"'}), book.add_format({"num_format": "yyyy-mm-dd"})
        green = book.add_format({"bg_color": "#00FF00"})
        sheet.write_row(0, 0, HEADINGS)
        for row, (name, lard, water, lye) in enumerate(ROWS, 1):
            sheet.write(row, 0, name)
            sheet.write(row, 1, lard, ounces)
            sheet.write(row, 2, water)
            sheet.write(row, 3, lye)
            sheet.write_formula(row, 4, SHARE.format(row + 1), None, lye / (water + lye))
        sheet.write_datetime(1, 5, dt.datetime(2024, 3, 1), day)
        sheet.write_comment("B3", "rendered at home")
        sheet.write("A4", "Windowsill", green)
        prices = book.add_worksheet("Prices")
        prices.write_row(0, 0, ["Lard per lb", 2.5])
        prices.write_formula("B2", '=CONCAT(A1,"!")', None, "Lard per lb!")
        book.add_worksheet("Blank").hide()
    return target
