"""How long a copy takes to open, against the book it was made of: LibreOffice, processor time of loading alone.

    python -m tests.benchmarks.opening_benchmark [--sizes 200 2000 3000 10000]

The ratio is what to look at, since machines differ. Up to `results.LIVE_UP_TO` recipes the results are live formulas,
beyond it plain values.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
from pathlib import Path

import psutil

from sheetcheck import check
from tests.benchmarks.audit_benchmark import write_book
from tests.plugins.office import Office, property_

RUNS = 5


def processor_time(office: Office) -> float:
    """Return the seconds that the program, and all that it started, have taken so far."""
    root = psutil.Process(office.process.pid)
    times = [process.cpu_times() for process in (root, *root.children(recursive=True))]
    return float(sum(t.user + t.system for t in times))


def opened(office: Office, book: Path) -> float:
    """Return the seconds of processor time that a book takes to open; the first opening only warms up."""
    times = []
    for _ in range(RUNS + 1):
        before = processor_time(office)
        document = office.desktop.loadComponentFromURL(book.as_uri(), "_blank", 0, (property_("Hidden", True),))
        times.append(processor_time(office) - before)
        document.close(True)
    return statistics.median(times[1:])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[200, 2_000, 3_000, 10_000])
    print("| recipes | book, s | copy, s | ratio | book, kB | copy, kB | ratio |")
    print("|--:|--:|--:|--:|--:|--:|--:|")
    for size in parser.parse_args().sizes:
        with tempfile.TemporaryDirectory() as name:
            book, copy = Path(name) / "book.xlsx", Path(name) / "copy.xlsx"
            write_book(book, size)
            check(book, copy)
            with Office(Path(name) / "profile") as office:
                alone, ours = opened(office, book), opened(office, copy)
            small, large = (path.stat().st_size / 1000 for path in (book, copy))
        print(
            f"| {size:,} | {alone:.2f} | {ours:.2f} | {ours / alone:.1f} |"
            f" {small:,.0f} | {large:,.0f} | {large / small:.1f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
