"""Reading of the tables that lie beside this file: plain CSV, one row per fact, no code in them."""

import csv
import math
from collections.abc import Iterator
from pathlib import Path

FOLDER = Path(__file__).parent


def rows(name: str) -> Iterator[dict[str, str]]:
    """Yield the rows of a table (`"fats.csv"`) as mappings from column name to text."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        yield from csv.DictReader(lines)


def number(text: str | None) -> float:
    """Return the number that a cell of a table holds: NaN where it is blank, that is, unknown."""
    return float(text) if text else math.nan
