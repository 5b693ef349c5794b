"""How well the wrong cell is found: `python -m tests.benchmarks.repairs_benchmark [--rows 5650] [--seed 11]`.

Books of `book_generator.py` are taken through the rules and the search. A row counts as flagged from CAUTION on. Right
cell and value are counted among the flagged faults that matter ("material": superfat moved by more than 3 points, or
liquid to lye by more than a tenth); a value is right within half a per cent, one that had to be worked out from the
rest of the row (stale, copied) within 2 %. Intervals are bootstrapped over books.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from sheetcheck.model import Signal
from tests.benchmarks.book_generator import SCENARIOS, Book, Scenario, books
from tests.benchmarks.repairs_outcomes import Looked, Outcome, by_frames, by_workbook, flagged, run

CLASSES = {
    "unit, one cell or group": ("unit of a cell", "unit of a group", "pounds.ounces", "kilograms"),
    "decimal, zero": ("decimal",),
    "lye and liquid swapped": ("lye and liquid swapped",),
    "other alkali's amount": ("other alkali",),
    "digit replaced": ("digit replaced",),
    "digit omitted or added": ("digit omitted", "digit added"),
    "digits swapped": ("digits swapped",),
    "copied": ("copied",),
    "stale": ("stale rescale", "stale exchange"),
    "wrong fat": ("wrong fat",),
}
BINS = (0.0, 0.5, 0.8, 0.9, 0.97, 1.0001)


def share(outcomes: Sequence[Outcome], test: Callable[[Outcome], float]) -> float:
    """Mean of a test over rows, in per cent; NaN for none."""
    return 100 * sum(test(o) for o in outcomes) / len(outcomes) if outcomes else float("nan")


def interval(outcomes: Sequence[Outcome], test: Callable[[Outcome], float]) -> str:
    """Share with its 95 % interval, bootstrapped over books."""
    by_book: dict[int, list[float]] = {}
    for outcome in outcomes:
        by_book.setdefault(outcome.book, []).append(float(test(outcome)))
    sums = [(sum(values), len(values)) for values in by_book.values()]
    if not sums:
        return "–"
    rng = random.Random(7)  # noqa: S311 - resampling, no secrets
    draws = []
    for _ in range(400):
        drawn = rng.choices(sums, k=len(sums))
        draws.append(100 * sum(s for s, _ in drawn) / sum(n for _, n in drawn))
    draws.sort()
    return f"{share(outcomes, test):.1f} ({draws[10]:.1f} to {draws[-11]:.1f})"


def by_kind(outcomes: Sequence[Outcome]) -> list[list[str]]:
    """One line of the table for each class of slips, and one for all that matter."""
    lines = []
    material = [o for o in outcomes if o.kind and o.material]
    for name, kinds in [*CLASSES.items(), ("all material together", tuple(k for ks in CLASSES.values() for k in ks))]:
        of_kind = [o for o in material if o.kind in kinds]
        seen, by_holt = [o for o in of_kind if flagged(o)], [o for o in of_kind if o.holt.flagged]
        lines.append(
            [
                name,
                str(len(of_kind)),
                interval(of_kind, flagged),
                f"{share(seen, lambda o: o.cell == 1):.0f} / {share(seen, lambda o: 0 < o.cell <= 3):.0f}",
                f"{share(seen, lambda o: o.value == 1):.0f} / {share(seen, lambda o: 0 < o.value <= 3):.0f}",
                f"{share(of_kind, lambda o: o.limits):.0f}",
                f"{share(of_kind, lambda o: o.holt.flagged):.0f}, {_pair(by_holt)}",
            ]
        )
    return lines


def _pair(by_holt: Sequence[Outcome]) -> str:
    return f"{share(by_holt, lambda o: o.holt.cell):.0f}, {share(by_holt, lambda o: o.holt.value):.0f}"


def quiet_books(scenario: Scenario, seed: int, count: int) -> tuple[int, int, list[str]]:
    """Of so many fully clean books, how many give nothing at CAUTION or above; and what the others give."""
    clean = replace(scenario, faulty=(0.0, 0.0), laundry=False)
    quiet = seen = 0
    loud: list[str] = []
    for book in books(clean, seed + 1000, 10**9):
        if seen == count:
            break
        seen += 1
        bad = [f.rule for f in by_frames(book).findings if f.signal.rank >= Signal.CAUTION.rank]
        quiet += not bad
        loud += bad
    return quiet, seen, loud


def table(heading: Sequence[str], lines: Sequence[Sequence[str]]) -> str:
    """A Markdown table."""
    rows = [heading, ["---"] * len(heading), *lines]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


HEADING = (
    "slip", "rows", "recall %", "right cell first / top 3 %", "right value first / top 3 %",
    "plain limits: recall %", "equal-weight Fellegi-Holt: recall, cell, value %",
)  # fmt: skip


def report(
    rows: int, seed: int, quiet: int, scenarios: Sequence[Scenario], look: Callable[[Book], Looked] = by_frames
) -> str:
    """Run all scenarios and set the figures out."""
    parts, everything, per_scenario = [], [], []
    for offset, scenario in enumerate(scenarios):
        outcomes = run(scenario, seed, rows, look)
        for outcome in outcomes:
            outcome.book += 100_000 * offset
        everything += outcomes
        clean = [o for o in outcomes if o.kind is None]
        material = [o for o in outcomes if o.kind and o.material]
        seen = [o for o in material if flagged(o)]
        good, of, loud = quiet_books(scenario, seed, quiet)
        print(scenario.name, good, of, {rule: loud.count(rule) for rule in set(loud)}, file=sys.stderr)
        per_scenario.append(
            [
                scenario.name,
                str(len(clean)),
                interval(clean, lambda o: o.signal >= Signal.WARNING.rank),
                interval(clean, flagged),
                interval(material, flagged),
                f"{share(seen, lambda o: o.cell == 1):.0f} / {share(seen, lambda o: o.value == 1):.0f}",
                f"{good} of {of}",
            ]
        )
    parts.append(table(HEADING, by_kind(everything)))
    parts.append(
        table(
            ("scenario", "clean rows", "flagged at WARNING+ %", "at CAUTION+ %", "material slips flagged %",
             "right cell / value first %", "clean books quiet at CAUTION+"),
            per_scenario,
        )
    )  # fmt: skip
    parts.append(reliability(everything))
    parts.append(by_shape(everything))
    below, clean = [o for o in everything if o.free_lye], [o for o in everything if o.kind is None]
    parts.append(
        f"Typical superfat below 0 (any cause): {sum(o.said for o in below)} of {len(below)} at DANGER, or said to "
        f"have no margin where hardly any is stated. Clean rows flagged by the plain limits: "
        f"{share(clean, lambda o: o.limits):.1f} %."
    )
    return "\n\n".join(parts)


def reliability(outcomes: Sequence[Outcome]) -> str:
    """How often the first repair is right, by the probability that it states; a repair on a clean row is wrong."""
    lines = []
    for low, high in pairwise(BINS):
        inside = [o for o in outcomes if o.probability and low <= o.probability < high]
        mean = sum(o.probability for o in inside) / len(inside) if inside else float("nan")
        lines.append(
            [
                f"{low:g} to {min(high, 1):g}",
                str(len(inside)),
                f"{100 * mean:.1f}",
                f"{share(inside, lambda o: o.cell == 1):.1f}",
                f"{share(inside, lambda o: o.value_right):.1f}",
            ]
        )
    return table(("probability stated", "rows", "mean %", "right cell %", "right cell and value %"), lines)


def by_shape(outcomes: Sequence[Outcome]) -> str:
    """The main figures by shape of the sheet."""
    lines = []
    for shape in sorted({o.shape for o in outcomes}):
        of_shape = [o for o in outcomes if o.shape == shape]
        material = [o for o in of_shape if o.kind and o.material]
        seen = [o for o in material if flagged(o)]
        clean = [o for o in of_shape if o.kind is None]
        lines.append(
            [
                shape,
                f"{share(clean, lambda o: o.signal >= Signal.WARNING.rank):.2f}",
                f"{share(material, flagged):.1f}",
                f"{share(seen, lambda o: o.cell == 1):.1f}",
                f"{share(seen, lambda o: o.value == 1):.1f}",
            ]
        )
    return table(("shape", "clean at WARNING+ %", "recall %", "cell first %", "value first %"), lines)


def main() -> None:
    """Run the benchmark and print its tables."""
    parser = argparse.ArgumentParser(description="How well the wrong cell is found.")
    parser.add_argument("--rows", type=int, default=5650, help="rows for each scenario")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--quiet-books", type=int, default=40, help="fully clean books for each scenario")
    parser.add_argument("--scenario", type=int, help="only this one")
    parser.add_argument("--workbooks", action="store_true", help="through real workbooks and the whole audit")
    parser.add_argument("--markdown", type=Path, help="file to write the tables to")
    given = parser.parse_args()
    scenarios = SCENARIOS if given.scenario is None else SCENARIOS[given.scenario : given.scenario + 1]
    look = by_workbook if given.workbooks else by_frames
    text = report(given.rows, given.seed, given.quiet_books, scenarios, look)
    print(text)
    if given.markdown:
        given.markdown.write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
