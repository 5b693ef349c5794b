"""What the search costs: `python -m tests.benchmarks.repairs_speed [--recipes 10000]`.

A book with 0.2 % faulty rows is written as a workbook and audited with and without the search, in turns; and every row
of a smaller book is searched, to time one search. Processor time; machines differ, so the ratio is what to look at.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from unittest import mock

import numpy as np

import sheetcheck
from sheetcheck import repairs, settling
from sheetcheck.repairs.entries import read_entries
from sheetcheck.repairs.row import read_row
from sheetcheck.repairs.row_search import search_row
from sheetcheck.repairs.stated import read_statements
from sheetcheck.repairs.view import view
from tests.benchmarks.book_generator import Scenario, books
from tests.benchmarks.frames import evidence_of
from tests.benchmarks.layout import write

_ROUNDS = 3


def main() -> None:
    """Print both figures."""
    parser = argparse.ArgumentParser(description="What the search for the wrong cell costs.")
    parser.add_argument("--recipes", type=int, default=10_000)
    recipes = parser.parse_args().recipes
    book = next(books(Scenario("speed", least=recipes, most=recipes, faulty=(0.002, 0.002)), 1, 1))
    book.shape = "table"
    with tempfile.TemporaryDirectory() as folder:
        path = write(book, Path(folder) / "book.xlsx")
        with_search, without = (min(times) for times in zip(*(_both(path) for _ in range(_ROUNDS)), strict=True))
    print(f"{recipes} recipes, {len(book.faults)} of them faulty: audit {without:.2f} s without the search,")
    print(f"{with_search:.2f} s with it, that is {with_search / without:.2f} times as long.")
    print(f"One row searched: {_one_row():.1f} ms.")


def _both(path: Path) -> tuple[float, float]:
    nothing = repairs.RepairResult({}, [], {})
    with_search = _seconds(path)
    with mock.patch.object(settling.repairs, "search", return_value=nothing):
        return with_search, _seconds(path)


def _seconds(path: Path) -> float:
    start = time.process_time()
    sheetcheck.audit(path)
    return time.process_time() - start


def _one_row() -> float:
    """Milliseconds for one row, over all rows of a book."""
    book = next(books(Scenario("one row", least=200, most=200), 1, 1))
    evidence = evidence_of(book)
    entries = read_entries(evidence)
    seen = view(entries, read_statements(evidence, entries), np.zeros(len(entries.index), dtype=bool))
    start = time.process_time()
    for position in range(len(book.written)):
        search_row(read_row(seen, position))
    return 1000 * (time.process_time() - start) / len(book.written)


if __name__ == "__main__":
    main()
