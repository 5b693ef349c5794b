"""What each kind of evidence adds on recipes that people published: `python -m tests.benchmarks.published_ablation`.

The books of `published_benchmark.py` with other seeds, looked at by the search as it is and without one kind of
evidence at a time; once more with two recipes in five made again, where the same recipe elsewhere has something to say.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from unittest import mock

import numpy as np

from sheetcheck.repairs import row, row_search, view
from sheetcheck.repairs.elsewhere import NOTHING
from sheetcheck.repairs.row import Block, Row, Slip
from sheetcheck.repairs.slips import all_hypotheses
from tests.benchmarks.published_benchmark import NEW, SURE, outcomes
from tests.benchmarks.repairs_benchmark import share, table
from tests.benchmarks.repairs_outcomes import flagged

_LINES = ("twice", "missing")  # kinds of repairs
_WITHOUT = {
    "all": (),
    "without the same recipe elsewhere": ("elsewhere",),
    "without lines too many or too few": ("lines",),
    "without titles and neighbouring columns": ("told",),
}
_MADE_AGAIN = {
    "all, two in five made again": (),
    "the same without the same recipe elsewhere": ("elsewhere",),
    "the same without lines too many or too few": ("lines",),
}


def _without_lines(of: Row) -> tuple[list[Block], list[Slip]]:
    blocks, slips = all_hypotheses(of)
    return blocks, [slip for slip in slips if slip.kind not in _LINES]


@contextmanager
def without(kinds: Sequence[str]) -> Iterator[None]:
    """Leave kinds of evidence out of the search: elsewhere, lines, told."""
    with ExitStack() as left_out:
        if "elsewhere" in kinds:
            left_out.enter_context(mock.patch.object(row, "others_of", return_value=NOTHING))
            left_out.enter_context(mock.patch.object(view, "all_but_one", lambda _, at: np.zeros(len(at), dtype=bool)))
        if "lines" in kinds:
            left_out.enter_context(mock.patch.object(row_search, "all_hypotheses", _without_lines))
        if "told" in kinds:
            left_out.enter_context(mock.patch.object(row, "named_in", return_value=frozenset()))
            left_out.enter_context(mock.patch.object(view, "beside", return_value={}))
        yield


def line(name: str, kinds: Sequence[str], rows: int, seeds: Sequence[int], again: float) -> list[str]:
    """Return one line of the table."""
    with without(kinds):
        found, _ = outcomes(1, seeds, rows, again=again)
    faulty, clean = [o for o in found if o.kind], [o for o in found if not o.kind]
    old, new = [o for o in faulty if o.kind not in NEW], [o for o in faulty if o.kind in NEW and flagged(o)]
    seen, sure = [o for o in old if flagged(o)], [o for o in found if o.probability >= SURE]
    return [
        name,
        str(len(old)),
        f"{share(old, flagged):.1f}",
        f"{share(seen, lambda o: o.cell == 1):.1f} / {share(seen, lambda o: 0 < o.cell <= 3):.1f}",
        f"{share(seen, lambda o: o.value == 1):.1f}",
        f"{share(new, lambda o: o.cell == 1):.1f}",
        f"{sum(o.value_right for o in sure)} of {len(sure)}",
        f"{share(clean, flagged):.1f}",
    ]


def main() -> None:
    """Run the benchmark and print its table."""
    parser = argparse.ArgumentParser(description="What each kind of evidence adds, on published recipes.")
    parser.add_argument("--rows", type=int, default=1000, help="rows for each seed")
    parser.add_argument("--seeds", type=int, nargs="*", default=[11, 12])
    given = parser.parse_args()
    lines = [line(name, kinds, given.rows, given.seeds, 0.0) for name, kinds in _WITHOUT.items()]
    lines += [line(name, kinds, given.rows, given.seeds, 0.4) for name, kinds in _MADE_AGAIN.items()]
    print(table(_HEADING, lines))


_HEADING = (
    "the search", "rows", "recall %", "right cell first / top 3 %", "right value %", "lines: right cell %",
    "sure right", "sound at CAUTION %",
)  # fmt: skip

if __name__ == "__main__":
    main()
