"""How well the wrong cell could be found at best: `python -m tests.benchmarks.repairs_ceiling`.

An observer is asked who knows what no tool can: each maker's superfats, strengths, sizes and fat values, and how often
each slip is made, all as `makers.py` and `slips.py` draw them. It weighs, by Bayes' rule, each sound recipe that one
slip would have turned into what is written. What it misses, nothing in the row tells. Groups of amounts in another
unit, and kilograms, are left out: the search finds them all.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sheetcheck.repairs.findings import FLAGGED
from tests.benchmarks.book_generator import SCENARIOS, Book, Recipe, Scenario, books
from tests.benchmarks.ceiling_likelihood import likelihood, rows_like
from tests.benchmarks.ceiling_origins import Origin, origins
from tests.benchmarks.repairs_benchmark import CLASSES, table
from tests.benchmarks.slips import moved

RATE = 0.1  # of faulty rows
LEFT_OUT = ("unit of a group", "kilograms")


@dataclass
class Seen:
    """What the observer makes of one row."""

    scenario: str
    kind: str | None
    slip: float  # probability of a slip that matters
    cell: bool = False
    value: bool = False
    sure_of_cell: float = 0.0  # the probability that it gives to its first cell


def observe(book: Book, number: int, scenario: str) -> Seen:
    """Weigh everything that may have become the row."""
    written, fault = book.written[number], book.faults.get(number)
    before = book.written[number - 1] if number else None
    sound = (1 - RATE) * likelihood(book, written)
    all_of_them = origins(book, written, before)
    weighed = [(origin, RATE * origin.chance * likelihood(book, origin.recipe)) for origin in all_of_them]
    weighed = [(origin, weight) for origin, weight in weighed if weight > 0]
    total = sound + sum(weight for _, weight in weighed)
    kind = fault.kind if fault and fault.material else None
    if total <= 0:
        return Seen(scenario, kind, 0.0)
    matters = sum(weight for origin, weight in weighed if moved(book, origin.recipe, written)) / total
    seen = Seen(scenario, kind, matters)
    if fault and weighed:
        _compare(seen, weighed, set(fault.right), book.right[number], sum(weight for _, weight in weighed))
    return seen


def _compare(seen: Seen, weighed: Sequence[tuple[Origin, float]], right: set[int], truth: Recipe, total: float) -> None:
    """Say whether the likeliest cells, and the likeliest value in them, are right."""
    by_cells: dict[frozenset[int], float] = {}
    for origin, weight in weighed:
        by_cells[origin.cells] = by_cells.get(origin.cells, 0.0) + weight
    best = max(by_cells, key=by_cells.__getitem__)
    seen.cell, seen.sure_of_cell = best <= right, by_cells[best] / total
    values: dict[tuple[float, ...], float] = {}
    for origin, weight in weighed:
        if origin.cells == best:
            key = tuple(origin.recipe.amounts[place].value for place in sorted(best))
            values[key] = values.get(key, 0.0) + weight
    likeliest = max(values, key=values.__getitem__)
    meant = [truth.amounts[place].value for place in sorted(best)]
    seen.value = seen.cell and all(abs(a / b - 1) <= 0.02 for a, b in zip(likeliest, meant, strict=True))


def run(scenario: Scenario, seed: int, rows: int, clean_every: int) -> Iterator[Seen]:
    """Look at all faulty rows that matter, and at some of the sound ones."""
    for book in books(scenario, seed, rows):
        rows_like.cache_clear()
        for number in range(len(book.written)):
            fault = book.faults.get(number)
            if fault and fault.kind in LEFT_OUT:
                continue
            if (fault and fault.material) or (fault is None and number % clean_every == 0):
                yield observe(book, number, scenario.name)


def lines(seen: Sequence[Seen]) -> list[list[str]]:
    """Recall, and right cell and value among the flagged, by sort of slip and by scenario."""
    groups = [(name, [s for s in seen if s.kind in kinds]) for name, kinds in CLASSES.items()]
    groups += [("all material together", [s for s in seen if s.kind])]
    names = dict.fromkeys(s.scenario for s in seen)
    groups += [(name, [s for s in seen if s.kind and s.scenario == name]) for name in names]
    found = []
    for name, members in groups:
        flagged = [s for s in members if s.slip >= FLAGGED]
        count, flags = max(len(members), 1), max(len(flagged), 1)
        found.append(
            [
                name,
                str(len(members)),
                f"{100 * len(flagged) / count:.1f}",
                f"{100 * sum(s.cell for s in flagged) / flags:.1f}",
                f"{100 * sum(s.sure_of_cell for s in flagged) / flags:.1f}",
                f"{100 * sum(s.value for s in flagged) / flags:.1f}",
            ]
        )
    return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How well the wrong cell could be found at best.")
    parser.add_argument("--rows", type=int, default=1500, help="rows for each scenario")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--clean-every", type=int, default=10, help="of the sound rows look at one in so many")
    parser.add_argument("--scenario", type=int, help="only this one")
    given = parser.parse_args()
    scenarios = SCENARIOS if given.scenario is None else SCENARIOS[given.scenario : given.scenario + 1]
    seen = [s for scenario in scenarios for s in run(scenario, given.seed, given.rows, given.clean_every)]
    heading = ("slip", "rows", "recall %", "right cell first %", "expected %", "right value first %")
    print(table(heading, lines(seen)))
    clean = [s for s in seen if s.kind is None]
    print(f"\nSound rows flagged: {100 * sum(s.slip >= FLAGGED for s in clean) / len(clean):.2f} % of {len(clean)}.")


if __name__ == "__main__":
    main()
