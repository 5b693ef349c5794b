"""For a recipe that does not fit: which cell is wrong, what it should be, and how sure that is.

entries      the amounts and statements of a book as arrays
habits       what is usual in this book (density, roundness), and in the trade (priors)
fit          how well rows fit: chemistry, statements, habits
systematic   units that many rows share; reckoning: lye reckoned otherwise than stated
row, slips/  what can go wrong with one row: one file for each sort of slip
likelihood   the probability of each slip: its prior times how well the repaired row fits
row_search   which rows are searched, single slips and pairs, probabilities
explain      what a repair says
findings     which slips are worth a finding of their own
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Repair
from sheetcheck.repairs.entries import read_entries
from sheetcheck.repairs.explain import repairs_of, shared_repairs
from sheetcheck.repairs.findings import Judged, judge, shared_findings, slip_findings, to_look_at
from sheetcheck.repairs.reckoning import causes
from sheetcheck.repairs.row import read_row
from sheetcheck.repairs.row_search import search_row
from sheetcheck.repairs.stated import read_statements
from sheetcheck.repairs.systematic import units
from sheetcheck.repairs.view import rows_to_search
from sheetcheck.rules import Evidence

__all__ = ["RepairResult", "search"]

_STRETCH = 10_000  # recipes searched together: enough to show all habits, and memory stays the same for a longer book


@dataclass(frozen=True)
class RepairResult:
    """What the search has found.

    Parameters
    ----------
    by_recipe
        For each recipe that does not fit, by its number: repairs, most probable first. Their probabilities, that of no
        error and that of what is not listed add up to 1.
    findings
        Slips on which no rule has spoken, and causes that many recipes share.
    suspected
        For each recipe, the cells (A1) that may be wrong.
    """

    by_recipe: Mapping[int, tuple[Repair, ...]]
    findings: list[Finding]
    suspected: Mapping[int, frozenset[str]]


def search(evidence: Evidence, findings: Sequence[Finding]) -> RepairResult:
    """Search every recipe that does not fit its book, or that a rule has flagged; a very long book in stretches.

    Parameters
    ----------
    evidence
        The book and its numbers.
    findings
        What the rules have found: recipes flagged by them are searched too, and not flagged twice.
    """
    parts = [_search_stretch(part, about) for part, about in _stretches(evidence, findings)]
    return RepairResult(
        by_recipe={number: repairs for part in parts for number, repairs in part.by_recipe.items()},
        findings=[finding for part in parts for finding in part.findings],
        suspected={number: cells for part in parts for number, cells in part.suspected.items()},
    )


def _stretches(evidence: Evidence, findings: Sequence[Finding]) -> Iterator[tuple[Evidence, list[Finding]]]:
    """Split a book into stretches of equal length, each with the findings about its recipes."""
    recipes = evidence.recipes
    count = -(-len(recipes) // _STRETCH)
    if count <= 1:
        yield evidence, list(findings)
        return
    ends = np.linspace(0, len(recipes), count + 1).round().astype(int)
    about = _by_stretch(findings, pd.Series(np.repeat(np.arange(count), np.diff(ends)), index=recipes.index), count)
    for number in range(count):
        part = recipes.iloc[ends[number] : ends[number + 1]]
        book = replace(
            evidence.book,
            components=_of_recipes(evidence.components, part.index),
            statements=_of_recipes(evidence.statements, part.index),
        )
        yield Evidence(book=book, recipes=part, settings=evidence.settings), about[number]


def _by_stretch(findings: Sequence[Finding], stretch_of: pd.Series[float], count: int) -> list[list[Finding]]:
    """Return the findings about each stretch."""
    about: list[list[Finding]] = [[] for _ in range(count)]
    for finding in findings:
        for stretch in stretch_of.reindex(list(finding.about())).dropna().unique():
            about[int(stretch)].append(finding)
    return about


def _of_recipes(frame: pd.DataFrame, recipes: pd.Index) -> pd.DataFrame:
    """Return the lines of recipes that follow each other; no copy where the lines are in their order."""
    first, last = recipes[0], recipes[-1]
    if not frame["recipe"].is_monotonic_increasing:
        return frame[frame["recipe"].between(first, last)]
    return frame.iloc[frame["recipe"].searchsorted(first) : frame["recipe"].searchsorted(last, side="right")]


def _search_stretch(evidence: Evidence, findings: Sequence[Finding]) -> RepairResult:
    entries = read_entries(evidence)
    if not len(entries.grams):
        return RepairResult({}, [], {})
    statements = read_statements(evidence, entries)
    entries, groups, seen = units(entries, statements)
    shared = shared_repairs(groups, entries, seen)
    superfat = evidence.recipes["superfat_typical"].to_numpy(dtype=np.float64)
    flagged = to_look_at(findings, entries)
    reckoned = causes(entries, statements, seen.habits)
    explained = {int(position) for group in groups for position in group.recipes}
    explained |= {int(position) for cause in reckoned if cause.explains for position in cause.rows}
    judged: list[Judged] = []
    for position in sorted({*rows_to_search(seen), *flagged} - explained):
        if np.isnan(seen.totals[position]).all():
            continue
        searched = search_row(read_row(seen, position))
        repairs = repairs_of(searched, entries, statements, float(superfat[position]))
        judged.append(judge(searched, repairs, entries, flagged=position in flagged))
    by_recipe = {item.recipe: item.repairs for item in judged if item.shown}
    suspected = {item.recipe: frozenset(item.suspected) for item in judged if item.suspected}
    for number, repair in shared.items():
        by_recipe[number] = (repair,)
        suspected[number] = frozenset(change.cell for change in repair.changes)
    return RepairResult(
        by_recipe=by_recipe,
        findings=[
            *shared_findings(groups, reckoned, entries),
            *slip_findings(judged, findings),
        ],
        suspected=suspected,
    )
