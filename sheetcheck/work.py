"""How much work one audit may do: a budget that follows from the size of the book, and that every stage asks.

Work is counted in steps, about a microsecond each on a two-core machine, and not by a clock: the same book gets the
same report on every machine. What must be done (reading, verdicts) is paid first, and a book that cannot be paid for is
refused before it is read; what may be left out (sheets without end, suggestions, notes) is done while there is work
left, the most urgent first, and what is left out is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final

SECOND: Final = 1_000_000  # steps

# What things cost, in steps: measured by tests/benchmarks/hostile_files.py, rounded up.
SHEET: Final = 15_000  # a sheet, beside its cells: its ways of reading are weighed
SEARCHED_ROW: Final = 3_000  # a recipe that is searched for slips, and for each of its amounts:
SEARCHED_AMOUNT: Final = 800
SEARCHED_TRIPLE: Final = 0.05  # for each three of them: pairs are tried, each a line of all amounts
MOST_AMOUNTS: Final = 200  # of a recipe that is searched: the arrays of a longer one would fill the memory
FINDING: Final = 250  # a finding: worded, listed, its cell marked
FREE_CELL: Final = 60  # a cell outside of all tables, which may be part of a card or a list
OF_LEFT: Final = 0.6  # share of what is left that the search may take: marks are still to be written


_LEAST: Final = 8 * SECOND  # what any book may take
_OF_ALL: Final = 0.6
_PER_CELL: Final = 10.0  # what each cell of it adds to that
_PER_SHEET: Final = 1.5 * SHEET  # and each sheet: it is read, and its results are written


class Work:
    """What may still be done, in steps, and what was left undone, in the maker's words."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds  # the ceiling that the settings give
        self.left = min(_LEAST, seconds * SECOND)
        self.undone: list[str] = []
        self._still_to_give = seconds * SECOND - self.left

    def allow_for(self, cells: int, sheets: int = 1) -> None:
        """Give a book of so many cells and sheets what it may take, up to the ceiling."""
        more = min(_PER_CELL * cells + _PER_SHEET * (sheets - 1), self._still_to_give)
        self._still_to_give -= more
        self.left += more

    def spend(self, steps: float) -> None:
        """Do what must be done, or was made sure of."""
        self.left -= steps

    def afford(self, steps: float) -> bool:
        """Do something that may be left out, if there is work left for it."""
        if steps > self.left:
            return False
        self.left -= steps
        return True

    def set_aside(self, steps: float) -> None:
        """Keep work for what must be done later, but no more than half of what is left."""
        self.left -= min(steps, self.left / 2)

    def may_ever(self, steps: float) -> bool:
        """Tell whether something stays within the ceiling, beside all else that is to be done."""
        return steps <= _OF_ALL * self.seconds * SECOND

    def leave_undone(self, sentence: str) -> None:
        """Say what was left out."""
        if sentence not in self.undone:
            self.undone.append(sentence)


_work: ContextVar[Work | None] = ContextVar("work", default=None)


def work() -> Work:
    """Return the budget of the audit that goes on; a boundless one where none does."""
    return _work.get() or Work(float("inf"))


@contextmanager
def bounded(seconds: float) -> Iterator[Work]:
    """Do everything inside within so much work; inside another such block, within what that one has."""
    outer = _work.get()
    if outer is not None:
        yield outer
        return
    bounds = Work(seconds)
    token = _work.set(bounds)
    try:
        yield bounds
    finally:
        _work.reset(token)
