"""What becomes of each row of a made-up book: flagged or not, and whether the right cell and value are offered."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import sheetcheck
from sheetcheck import repairs, rules
from sheetcheck.model import Finding, Repair, Signal
from sheetcheck.repairs.findings import held
from tests.benchmarks.baselines import Guess, fellegi_holt, plain_limits
from tests.benchmarks.book_generator import Amount, Book, Fault, Scenario, books
from tests.benchmarks.frames import cell_of, evidence_of
from tests.benchmarks.layout import write

GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
SOLVED = ("stale rescale", "stale exchange", "copied")


@dataclass
class Outcome:
    """What became of one row."""

    book: int
    shape: str
    kind: str | None  # None: a clean row
    material: bool
    signal: int
    free_lye: bool
    said: bool  # DANGER, or "no margin" where hardly any is stated
    cell: int = 0  # place of the first repair that names the right cell, 0 for none
    value: int = 0
    probability: float = 0.0
    expected: float = 0.0  # that the first cells are the wrong ones, if any of what is offered is right
    value_right: bool = False
    limits: bool = False
    holt: Guess = field(default_factory=lambda: Guess(flagged=False, cell=0.0, value=0.0))


@dataclass(frozen=True)
class Looked:
    """What the tool says about a book."""

    findings: Sequence[Finding]
    repairs: Mapping[int, Sequence[Repair]]
    superfat: Mapping[int, float]


def by_frames(book: Book) -> Looked:
    """Look at a book as reading would give it."""
    evidence = evidence_of(book)
    ruled = rules.run(evidence).findings
    found = repairs.search(evidence, ruled)
    return Looked([*ruled, *found.findings], found.by_recipe, evidence.recipes["superfat_typical"].to_dict())


def by_workbook(book: Book) -> Looked:
    """Write a book as a workbook and audit that."""
    with tempfile.TemporaryDirectory() as folder:
        audit = sheetcheck.audit(write(book, Path(folder) / "book.xlsx"))
    if list(audit.recipes["name"]) != [recipe.name for recipe in book.written]:
        raise RuntimeError(f"recipes were read as {list(audit.recipes['name'])}")
    offered = {f.recipe: f.repairs for f in audit.findings if f.repairs and f.recipe is not None}
    return Looked(audit.findings, offered, audit.recipes["superfat_typical"].to_dict())


def worst_of(findings: Sequence[Finding]) -> dict[int, int]:
    """Return the rank of the worst finding about each recipe."""
    worst: dict[int, int] = {}
    for finding in findings:
        for recipe in finding.about():
            worst[recipe] = max(worst.get(recipe, 0), finding.signal.rank)
    return worst


def run(scenario: Scenario, seed: int, rows: int, look: Callable[[Book], Looked] = by_frames) -> list[Outcome]:
    """Return what became of each row."""
    outcomes: list[Outcome] = []
    for number, book in enumerate(books(scenario, seed, rows)):
        found = look(book)
        worst = worst_of(found.findings)
        names: dict[int, set[str]] = {}
        for finding in found.findings:
            for recipe in finding.about():
                names.setdefault(recipe, set()).add(finding.rule)
        for place in range(len(book.written)):
            recipe, fault = place + 1, book.faults.get(place)
            signal = worst.get(recipe, 0)
            outcome = Outcome(
                number,
                book.shape,
                fault.kind if fault else None,
                bool(fault and fault.material),
                signal,
                free_lye=found.superfat[recipe] < 0,
                said=signal == Signal.DANGER.rank or "no-margin" in names.get(recipe, ()),
                limits=plain_limits(book.written[place]),
                holt=fellegi_holt(book, place, fault),
            )
            offered = found.repairs.get(recipe, ())
            if offered:
                outcome.probability = offered[0].probability
                outcome.expected = held(offered) / sum(repair.probability for repair in offered)
            if fault:
                judge(outcome, offered, book, fault)
            outcomes.append(outcome)
    return outcomes


def judge(outcome: Outcome, offered: Sequence[Repair], book: Book, fault: Fault) -> None:
    """Compare the repairs with the truth."""
    right = {cell_of(book, fault.recipe, place): amount for place, amount in fault.right.items()}
    for place, repair in enumerate(offered, start=1):
        named = {change.cell for change in repair.changes}
        if not outcome.cell and named <= set(right):
            outcome.cell = place
        if not outcome.value and named <= set(right) and all_right(repair, right, fault):
            outcome.value = place
    outcome.value_right = outcome.value == 1


def all_right(repair: Repair, right: dict[str, Amount], fault: Fault) -> bool:
    """Whether a repair says what the cells should say; of a group every cell, of lye and liquid at least the lye."""
    tolerance = 0.02 if fault.kind in SOLVED else 0.005
    for change in repair.changes:
        meant = right[change.cell]
        if fault.kind == "wrong fat":
            return change.substance == meant.substance
        if change.value is None or change.unit is None:
            return False
        if abs(change.value * GRAMS[change.unit] / meant.grams - 1) > tolerance:
            return False
    if fault.kind in SOLVED:
        return any(right[change.cell].role == "alkali" for change in repair.changes) or len(right) == 1
    return len(repair.changes) == len(right)


def flagged(outcome: Outcome) -> bool:
    """Whether a row is flagged at CAUTION or above."""
    return outcome.signal >= Signal.CAUTION.rank
