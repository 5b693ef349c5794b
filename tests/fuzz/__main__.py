"""Change the shipped books at random and audit each, for so many seconds.

    python -m tests.fuzz                            # a minute, as .ci/run does
    python -m tests.fuzz --seconds 14400 --keep FOLDER
    python -m tests.fuzz.outcome FILE               # what comes of one file

What crashes, hangs, fills the memory or is not said in plain words is told of once for each cause, with the seed that
made it, kept where `--keep` says, and the exit status is 1. Such a file, made as small as it can be, belongs in
`tests/fuzz/cases/`: every run of the tests audits those.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

from tests.fuzz.changes import changed
from tests.fuzz.outcome import audited, outcome, signature
from tests.workbook import hard_books

ROOT = Path(__file__).parent.parent.parent
LARGEST = 120_000  # bytes: of a large book few could be tried


def books_to_change() -> list[bytes]:
    """Return the examples and the blank books, those that are small, and as many that have all that a package can."""
    shipped = sorted(path for folder in ("examples", "workbook_templates") for path in (ROOT / folder).rglob("*.xlsx"))
    with tempfile.TemporaryDirectory() as folder:
        hard = [hard_books.build(name, Path(folder) / "book.xlsx").read_bytes() for name in hard_books.NAMES]
    return [*(path.read_bytes() for path in shipped if path.stat().st_size <= LARGEST), *hard]


def made(seed: int, books: list[bytes]) -> bytes:
    """Return the book of a seed."""
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    return changed(chance.choice(books), chance)


def main() -> int:
    """Try books until the time is over."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=None, help="of the first book; those after it follow")
    parser.add_argument("--keep", type=Path, default=None, help="a folder for the files that something is wrong with")
    asked = parser.parse_args()
    books = books_to_change()
    seed = int(time.time()) * 10_000 if asked.seed is None else asked.seed
    audited(min(books, key=len))  # what every audit loads is loaded here once, and not in each process
    end, tried, seen = time.monotonic() + asked.seconds, 0, dict[str, int]()
    while time.monotonic() < end:
        book = made(seed, books)
        said = outcome(book)
        tried += 1
        if said and signature(said) not in seen:
            sys.stdout.write(f"seed {seed}: {said}\n")
            sys.stdout.flush()
            if asked.keep is not None:
                asked.keep.mkdir(parents=True, exist_ok=True)
                (asked.keep / f"{seed}.xlsx").write_bytes(book)
        if said:
            seen[signature(said)] = seen.get(signature(said), 0) + 1
        seed += 1
    sys.stdout.write(f"{tried} books, {len(seen)} causes of trouble in {sum(seen.values())} of them\n")
    return 1 if seen else 0


if __name__ == "__main__":
    sys.exit(main())
