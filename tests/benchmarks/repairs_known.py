"""What the search would find if it knew more: `python -m tests.benchmarks.repairs_known [--seed 101]`.

The same books and the same search, which is given what a tool has to learn from the book: the maker's value of each
fat, and then also which superfats she reckons with and how often. What it gains is what not knowing them costs; what it
still gets wrong, no sharper value or superfat would mend.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from unittest import mock

import numpy as np

from sheetcheck.reference import constants, substances
from sheetcheck.repairs import habits, trade, view
from sheetcheck.repairs.density import Density
from sheetcheck.repairs.entries import Entries
from sheetcheck.repairs.habits import Habits
from sheetcheck.repairs.makers_values import MakersValues
from tests.benchmarks.book_generator import SCENARIOS, Book
from tests.benchmarks.ceiling_likelihood import superfats
from tests.benchmarks.repairs_benchmark import CLASSES, share, table
from tests.benchmarks.repairs_outcomes import Looked, Outcome, by_frames, flagged, run

_WIDTH = 0.0005  # of a kernel about each superfat
_HARDLY = 1e-6  # weight left to what is usual in the trade
_ROUNDED_DOWN = 1 / 31  # share of the recipes whose lye is rounded down by one per cent, as `makers.py` draws them


def with_values(book: Book) -> Looked:
    """Look at a book with the maker's values known."""
    with _values_known(book):
        return by_frames(book)


def with_superfats(book: Book) -> Looked:
    """Look at a book with the maker's values and superfats known."""
    with _values_known(book), _superfats_known(book):
        return by_frames(book)


@contextmanager
def _values_known(book: Book) -> Iterator[None]:
    def known(entries: Entries, *_: object) -> MakersValues:
        tables = [constants().naoh_per_koh * substances()[key].sap_typical / 1000 for key in entries.fat_codes[1]]
        own = [book.factors[key] for key in entries.fat_codes[1]]
        return MakersValues(np.array(own) / np.array(tables), np.zeros(len(entries.index)))

    with mock.patch.object(habits, "makers_values", known):
        yield


@contextmanager
def _superfats_known(book: Book) -> Iterator[None]:
    silent = replace(book.right[0], superfat=None)
    logs, chances = (np.array(part, dtype=np.float64) for part in zip(*superfats(book, silent), strict=True))
    logs = np.log1p(-logs / 100)
    points = np.concatenate((logs, logs + np.log(0.99)))
    weights = np.concatenate((chances * (1 - _ROUNDED_DOWN), chances * _ROUNDED_DOWN))
    usual = replace(trade.superfat(), weights=trade.superfat().weights * _HARDLY, floor=1e-4)
    habit = Density(points, weights * 1e4, _WIDTH, usual)
    learn = view.learn_habits

    def known(*args: object) -> Habits:
        return replace(learn(*args), superfat=habit, offset=0.0, spread=_WIDTH)  # type: ignore[arg-type]  # as given

    with mock.patch.object(view, "learn_habits", known):
        yield


def line(name: str, outcomes: Sequence[Outcome]) -> list[str]:
    """Recall, and among the flagged right cell, how often the search itself expects it to be right, and right value."""
    seen = [o for o in outcomes if flagged(o)]
    return [
        name,
        str(len(outcomes)),
        f"{share(outcomes, flagged):.1f}",
        f"{share(seen, lambda o: o.cell == 1):.1f} / {share(seen, lambda o: 0 < o.cell <= 3):.1f}",
        f"{share([o for o in seen if o.expected], lambda o: o.expected):.1f}",
        f"{share(seen, lambda o: o.value == 1):.1f}",
    ]


def main() -> None:
    """Print a table for each state of knowledge."""
    parser = argparse.ArgumentParser(description="What the search would find if it knew more.")
    parser.add_argument("--rows", type=int, default=2500, help="rows for each scenario")
    parser.add_argument("--seed", type=int, default=101)
    given = parser.parse_args()
    states = (("as it is", by_frames), ("values known", with_values), ("values and superfats known", with_superfats))
    lines = []
    for name, look in states:
        material = [
            outcome
            for scenario in SCENARIOS
            for outcome in run(scenario, given.seed, given.rows, look)
            if outcome.kind and outcome.material
        ]
        kinds = [(slip, [o for o in material if o.kind in of_slip]) for slip, of_slip in CLASSES.items()]
        lines += [[name, *line(slip, members)] for slip, members in [*kinds, ("all material together", material)]]
    heading = ("the search", "slip", "rows", "recall %", "right cell first / top 3 %", "expected %", "right value %")
    print(table(heading, lines))


if __name__ == "__main__":
    main()
