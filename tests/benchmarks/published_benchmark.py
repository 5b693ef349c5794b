"""How well the wrong cell is found on recipes that people published: `python -m tests.benchmarks.published_benchmark`.

Books of `published_books.py`, half 0 to fit on, half 1 that nothing was fitted on. All seeded slips matter. A row
counts as flagged from CAUTION on; right cell and value are counted among the flagged; a value is right within 5 per
cent. What is left out of a list has no cell that could be named.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

from sheetcheck.model import Repair, Signal
from tests.benchmarks.book_generator import Amount, Book, Fault
from tests.benchmarks.frames import cell_of
from tests.benchmarks.published_books import KINDS, VAGUE, books, sound
from tests.benchmarks.repairs_benchmark import BINS, share, table
from tests.benchmarks.repairs_outcomes import GRAMS, Looked, Outcome, by_frames, by_workbook, flagged, worst_of

_NEAR = 0.05
SURE = 0.97
NEW = ("typed twice", "left out")  # sorts that the table of the other benchmark does not have


def outcomes(
    half: int, seeds: Sequence[int], rows: int, look: Callable[[Book], Looked] = by_frames, again: float = 0.0
) -> tuple[list[Outcome], list[Outcome]]:
    """Return what became of each row that is sound or has a seeded slip; and of those in which a fat is vague."""
    found: list[Outcome] = []
    vague: list[Outcome] = []
    for seed in seeds:
        for number, book in enumerate(books(half, seed, rows, again)):
            looked = look(book)
            worst = worst_of(looked.findings)
            for place, recipe in enumerate(book.right):
                if not sound(recipe):
                    continue
                outcome = _outcome(1000 * seed + number, book, place, worst.get(place + 1, 0), looked)
                found.append(outcome)
                if any(amount.substance in VAGUE for amount in book.written[place].amounts):
                    vague.append(outcome)
    return found, vague


def _outcome(number: int, book: Book, place: int, signal: int, looked: Looked) -> Outcome:
    fault = book.faults.get(place)
    outcome = Outcome(
        number,
        book.shape,
        fault.kind if fault else None,
        fault is not None,
        signal,
        free_lye=_free_lye(book, place),
        said=signal == Signal.DANGER.rank,
    )
    offered = looked.repairs.get(place + 1, ())
    if offered:
        outcome.probability = offered[0].probability
    if fault:
        _judge(outcome, offered, book, fault)
    return outcome


def _free_lye(book: Book, place: int) -> bool:
    """Whether lye is free beyond doubt, by the factors of the benchmark: by more than five per cent."""
    written = book.written[place]
    demand = sum(a.grams * book.factors[a.substance] for a in written.amounts if a.role == "fat")
    return written.grams("alkali") > 1.05 * demand


def _judge(outcome: Outcome, offered: Sequence[Repair], book: Book, fault: Fault) -> None:
    right = {cell_of(book, fault.recipe, place): amount for place, amount in fault.right.items() if place >= 0}
    if fault.kind == "typed twice":  # of two equal lines either
        (place,) = fault.right
        if book.shape == "list":
            right |= {cell_of(book, fault.recipe, place - 1): fault.right[place]}
    if fault.kind == "left out" and book.shape != "list":
        right = {_blank(book, fault): fault.right[-1]}
    for place, repair in enumerate(offered, start=1):
        named = {change.cell for change in repair.changes}
        hit = bool(named) and named <= set(right)
        if not outcome.cell and hit:
            outcome.cell = place
        if not outcome.value and hit and _near(repair, right, fault):
            outcome.value = place
    outcome.value_right = outcome.value == 1


def _blank(book: Book, fault: Fault) -> str:
    """Cell of a table in which what was left out belongs."""
    written = book.written[fault.recipe]
    book.written[fault.recipe] = written.with_amounts({0: fault.right[-1]})
    cell = cell_of(book, fault.recipe, 0)
    book.written[fault.recipe] = written
    return cell


def _near(repair: Repair, right: dict[str, Amount], fault: Fault) -> bool:
    for change in repair.changes:
        meant = right[change.cell]
        if fault.kind == "wrong fat":
            return change.substance == meant.substance
        if change.substance is not None or change.value is None or change.unit is None:
            return False
        grams = change.value * GRAMS[change.unit]
        if abs(grams - meant.grams) > _NEAR * meant.grams:
            return False
    if fault.kind.startswith("stale"):
        return any(right[change.cell].role == "alkali" for change in repair.changes)
    return len(repair.changes) == (1 if fault.kind == "typed twice" else len(right))


def report(found: Sequence[Outcome], vague: Sequence[Outcome]) -> str:
    """Set the figures out."""
    faulty, clean = [o for o in found if o.kind], [o for o in found if not o.kind]
    old = [o for o in faulty if o.kind not in NEW]
    named = [(name, [o for o in faulty if o.kind in kinds]) for name, kinds in KINDS.items()]
    lines = [_line(name, members) for name, members in [*named, ("all but the last two", old), ("all", faulty)]]
    shapes = [_line(shape, [o for o in old if o.shape == shape]) for shape in sorted({o.shape for o in found})]
    sure = [o for o in found if o.probability >= SURE]
    free = [o for o in faulty if o.free_lye]
    of_vague = [o for o in vague if o.kind and o.kind not in NEW]
    return "\n\n".join(
        (
            table(_HEADING, [*lines, *shapes, _line("a vague fat in the row", of_vague)]),
            table(("probability stated", "rows", "mean %", "right cell %", "right cell and value %"), _bands(found)),
            (
                f"Sound rows: {len(clean)}; at WARNING or above {share(clean, lambda o: o.signal >= 3):.2f} %, "
                f"at CAUTION {share(clean, flagged):.1f} %. Sure: right in {sum(o.value_right for o in sure)} of "
                f"{len(sure)}. Lye free by five per cent and more: DANGER in {sum(o.said for o in free)} of "
                f"{len(free)}."
            ),
        )
    )


_HEADING = ("slip", "rows", "recall %", "right cell first / top 3 %", "right value first / top 3 %")


def _line(name: str, members: Sequence[Outcome]) -> list[str]:
    seen = [o for o in members if flagged(o)]
    return [
        name,
        str(len(members)),
        f"{share(members, flagged):.1f}",
        f"{share(seen, lambda o: o.cell == 1):.1f} / {share(seen, lambda o: 0 < o.cell <= 3):.1f}",
        f"{share(seen, lambda o: o.value == 1):.1f} / {share(seen, lambda o: 0 < o.value <= 3):.1f}",
    ]


def _bands(found: Sequence[Outcome]) -> list[list[str]]:
    lines = []
    for low, high in pairwise(BINS):
        inside = [o for o in found if o.probability and low <= o.probability < high]
        if inside:
            mean = 100 * sum(o.probability for o in inside) / len(inside)
            rights = (share(inside, lambda o: o.cell == 1), share(inside, lambda o: o.value_right))
            lines.append(
                [f"{low:g} to {min(high, 1):g}", str(len(inside)), f"{mean:.1f}", *(f"{r:.1f}" for r in rights)]
            )
    return lines


def main() -> None:
    """Run the benchmark and print its tables."""
    parser = argparse.ArgumentParser(description="How well the wrong cell is found on published recipes.")
    parser.add_argument("--rows", type=int, default=1000, help="rows for each seed")
    parser.add_argument("--seeds", type=int, nargs="*", default=[1, 2, 3, 4, 5])
    parser.add_argument("--half", type=int, choices=(0, 1), default=1, help="0: that the weights were fitted on")
    parser.add_argument("--again", type=float, default=0.0, help="share of recipes that are another one made again")
    parser.add_argument("--workbooks", action="store_true", help="through real workbooks and the whole audit")
    parser.add_argument("--markdown", type=Path, help="file to write the tables to")
    given = parser.parse_args()
    look = by_workbook if given.workbooks else by_frames
    text = report(*outcomes(given.half, given.seeds, given.rows, look, given.again))
    print(text)
    if given.markdown:
        given.markdown.write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
