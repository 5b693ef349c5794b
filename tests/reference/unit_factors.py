"""Works out `unit_factors.csv` from units.txt: `python -m tests.reference.unit_factors`, or `--check`.

pint reads the definitions, so that nobody has to reckon; the program itself needs only the table (importing pint and
building its registry takes longer than reading a book of 40 recipes).
"""

from __future__ import annotations

import csv
import io
import sys

import pint

from sheetcheck.reading.units.unit_list import unit_lines
from sheetcheck.reference.tables import FOLDER

TARGET = FOLDER / "unit_factors.csv"
HEADING = ("unit", "measures", "per_unit")


def table() -> str:
    """Return the table as pint works it out: grams, millilitres, or 1 for a share."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions((FOLDER / "units.txt").read_text(encoding="utf-8").splitlines())
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADING)
    for _, (name, *_) in unit_lines():
        quantity = registry.Quantity(1.0, name)
        if quantity.check("[mass]"):
            writer.writerow((name, "mass", repr(float(quantity.m_as("gram")))))
        elif quantity.check("[volume]"):
            writer.writerow((name, "volume", repr(float(quantity.m_as("milliliter")))))
        else:
            writer.writerow((name, "share", "1.0"))
    return text.getvalue()


def main() -> int:
    """Write the table, or compare it; 1 where it is not as it should be."""
    if "--check" not in sys.argv:
        TARGET.write_text(table(), encoding="utf-8")
        return 0
    if TARGET.read_text(encoding="utf-8") == table():
        return 0
    sys.stderr.write("unit_factors.csv is not what units.txt says: run python -m tests.reference.unit_factors\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
