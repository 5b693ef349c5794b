"""For a recipe that does not fit: which cell is wrong, what it should be, and how sure that is.

stretches      a very long book is searched in stretches
entries        the amounts and statements of a book as arrays
rounding       what rounding to the decimals that are written leaves open
habits         what is usual in this book (density, roundness, makers_values), and in the trade (trade)
fit            how well rows fit: chemistry, statements, habits; view: which rows do not
systematic     units that many rows share; reckoning: lye reckoned otherwise than stated; shared: what is said of both
elsewhere      the same recipe elsewhere in the book; told: titles and neighbouring columns
row, slips/    what can go wrong with one row: one file for each sort of slip; priors: how often
likelihood     the probability of each slip: its prior times how well the repaired row fits
row_search     single slips and pairs, with their probabilities
explain        repairs as they are shown; sentences, needs: their three lines
own_superfat   the one question about it
findings       which slips are worth a finding of their own
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sheetcheck import faults
from sheetcheck.model import Finding, Repair
from sheetcheck.repairs.entries import Ints, Mask, read_entries
from sheetcheck.repairs.explain import repairs_of, shared_repairs
from sheetcheck.repairs.findings import about_amounts, judge, slip_findings, to_look_at, worst_signals
from sheetcheck.repairs.priors import weights
from sheetcheck.repairs.reckoning import Cause, causes
from sheetcheck.repairs.row import read_row
from sheetcheck.repairs.row_search import search_row
from sheetcheck.repairs.shared import Shared, findings_of, shared_causes
from sheetcheck.repairs.stated import read_statements
from sheetcheck.repairs.stretches import Stretches
from sheetcheck.repairs.systematic import Group, units
from sheetcheck.repairs.view import View, rows_to_search
from sheetcheck.rules import Evidence
from sheetcheck.words import later, number, tr, tr_count
from sheetcheck.work import MOST_AMOUNTS, OF_LEFT, SEARCHED_AMOUNT, SEARCHED_ROW, SEARCHED_TRIPLE, work

__all__ = ["RepairResult", "nothing_suggested", "search"]


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
    explained
        Recipes that a shared cause explains: with it, nothing else is amiss.
    shared
        Those causes.
    unsearched
        Recipes that do not fit and were not searched: there was no work left for them, or the search failed.
    searched
        How many were, and whether it stopped before the end.
    """

    by_recipe: Mapping[int, tuple[Repair, ...]]
    findings: list[Finding]
    suspected: Mapping[int, frozenset[str]]
    explained: frozenset[int] = frozenset()
    shared: tuple[Shared, ...] = ()
    unsearched: frozenset[int] = frozenset()
    searched: int = 0
    stopped: bool = False  # for want of work left


def search(evidence: Evidence, findings: Sequence[Finding], accepted: Collection[int] = frozenset()) -> RepairResult:
    """Search every recipe that does not fit its book, or that a rule has flagged; a very long book in stretches.

    Parameters
    ----------
    evidence
        The book and its numbers.
    findings
        What the rules have found: recipes flagged by them are searched too, and not flagged twice.
    accepted
        Recipes that the maker has said to be meant so: they are part of the habits and not searched.
    """
    parts = []
    purse = work()
    stretches = Stretches(evidence, findings)
    for done, (part, about) in enumerate(stretches):
        share = OF_LEFT * purse.left / (len(stretches) - done)
        parts.append(_search_stretch(part, about, accepted, share))
    shared = tuple(cause for part in parts for cause in part.shared)
    result = RepairResult(
        by_recipe={recipe: repairs for part in parts for recipe, repairs in part.by_recipe.items()},
        findings=[*findings_of(shared), *(finding for part in parts for finding in part.findings)],
        suspected={recipe: cells for part in parts for recipe, cells in part.suspected.items()},
        explained=frozenset().union(*(part.explained for part in parts)),
        shared=shared,
        unsearched=frozenset().union(*(part.unsearched for part in parts)),
    )
    if any(part.stopped for part in parts):
        purse.leave_undone(_left_out(sum(part.searched for part in parts), len(result.unsearched)))
    return result


def _left_out(searched: int, unsearched: int) -> str:
    return tr(
        "The search for wrong cells stopped after {searched} recipes: {left} have no suggestion; their verdicts stand.",
        searched=number(searched, 0),
        left=number(unsearched, 0),
    )


def _too_long(recipes: int) -> str:
    return tr_count(
        "{count} recipe of more than {most} amounts is not searched for a wrong cell; its verdict stands.",
        "{count} recipes of more than {most} amounts are not searched for wrong cells; their verdicts stand.",
        recipes,
        most=MOST_AMOUNTS,
    )


def _search_stretch(
    evidence: Evidence, findings: Sequence[Finding], accepted: Collection[int], share: float
) -> RepairResult:
    with faults.part("search", tr(_NO_SUGGESTIONS)):
        return _searched_stretch(evidence, findings, accepted, share)
    return nothing_suggested(findings)


def nothing_suggested(findings: Sequence[Finding]) -> RepairResult:
    """Return what a search that failed comes to: nothing, and no amounts to weigh from where something is amiss."""
    return RepairResult({}, [], {}, unsearched=_not_fitting(findings))


_NO_SUGGESTIONS = later("Of some recipes nothing is suggested; their verdicts stand.")


def _not_fitting(findings: Sequence[Finding]) -> frozenset[int]:
    """Return the recipes that a rule has flagged over something that an amount can cause."""
    return frozenset(recipe for finding in about_amounts(findings) for recipe in finding.about())


def _searched_stretch(
    evidence: Evidence, findings: Sequence[Finding], accepted: Collection[int], share: float
) -> RepairResult:
    entries = read_entries(evidence)
    if not len(entries.grams):
        return RepairResult({}, [], {})
    statements = read_statements(evidence, entries)
    meant_so = np.isin(entries.index, list(accepted))
    entries, groups, seen = units(entries, statements, meant_so)
    seen = replace(seen, weights=weights(evidence.settings.slips))
    reckoned = causes(entries, statements, seen.habits)
    amiss = np.isin(np.arange(len(entries.index)), rows_to_search(seen))
    explained = _explained(groups, reckoned, amiss)
    flagged = to_look_at(findings, entries)
    known = ~np.isnan(seen.totals).all(axis=1)
    superfat = evidence.recipes["superfat_typical"].to_numpy(dtype=np.float64)
    wanted = np.flatnonzero((amiss | flagged) & known & ~explained & ~meant_so)
    affordable = _affordable(
        seen, may_be_searched := _short_enough(seen, wanted), worst_signals(findings, entries), share
    )
    judged, failed = [], []
    for position in affordable.tolist():
        failed.append(position)
        with faults.part("search of one recipe", tr(_NO_SUGGESTIONS)):
            searched = search_row(read_row(seen, position))
            repairs = repairs_of(searched, entries, statements, float(superfat[position]))
            judged.append(judge(searched, repairs, entries, flagged=bool(flagged[position])))
            failed.pop()
    in_unit = {n: repair for n, repair in shared_repairs(groups, entries, seen).items() if n not in accepted}
    unsearched = np.concatenate((np.setdiff1d(wanted, affordable), np.array(failed, dtype=np.int64)))
    return RepairResult(
        by_recipe={item.recipe: item.repairs for item in judged if item.shown} | {n: (r,) for n, r in in_unit.items()},
        findings=slip_findings(judged, findings),
        suspected={item.recipe: frozenset(item.suspected) for item in judged if item.suspected}
        | {n: frozenset(change.cell for change in repair.changes) for n, repair in in_unit.items()},
        explained=frozenset(entries.index[explained].tolist()),
        shared=tuple(shared_causes(groups, reckoned, entries)),
        unsearched=frozenset(entries.index[unsearched].tolist()),
        searched=len(judged),
        stopped=len(affordable) < len(may_be_searched),
    )


def _short_enough(seen: View, wanted: Ints) -> Ints:
    """Return the rows whose amounts are not too many to be searched; say how many are longer."""
    long = np.diff(seen.entries.start)[wanted] > MOST_AMOUNTS
    if long.any():
        work().leave_undone(_too_long(int(long.sum())))
    return wanted[~long]


def _affordable(seen: View, wanted: Ints, signals: Ints, share: float) -> Ints:
    """Return the rows that there is work for, in their order: the worst first, by signal word and then by misfit."""
    amounts = np.diff(seen.entries.start)[wanted]
    cost = SEARCHED_ROW + SEARCHED_AMOUNT * amounts + SEARCHED_TRIPLE * amounts.astype(np.float64) ** 3
    if cost.sum() > share:
        order = np.lexsort((-np.nan_to_num(seen.short + seen.unlike)[wanted], -signals[wanted]))
        fits = order[np.cumsum(cost[order]) <= share]
        wanted, cost = wanted[np.sort(fits)], cost[fits]
    work().spend(float(cost.sum()))
    return wanted


def _explained(groups: Sequence[Group], reckoned: Sequence[Cause], amiss: Mask) -> Mask:
    """Tell which rows a shared cause explains, so that nothing else is amiss with them."""
    explained = np.zeros(len(amiss), dtype=bool)
    for group in groups:
        explained[group.recipes] = True
    explained &= ~amiss
    for cause in reckoned:
        if cause.explains:
            explained[cause.rows] = True
    return explained
