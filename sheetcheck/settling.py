"""What is said of each recipe in the end: rules, repairs, causes that many recipes share, and the maker's answers.

A cause for many recipes speaks once, for all of them. What the maker has accepted ("on purpose") is quiet and becomes
part of the habits that the other recipes are compared with. Neither hides free lye.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from sheetcheck import repairs
from sheetcheck.judging import attach_repairs
from sheetcheck.model import Finding, Signal
from sheetcheck.reading.answers import NEVER_LOWERED, ON_PURPOSE, Answers, answered, not_needed
from sheetcheck.repairs import RepairResult
from sheetcheck.rules import Evidence, all_rules
from sheetcheck.rules.answer_not_needed import answer_not_needed
from sheetcheck.rules.systematic_slip import SHARED

_STATED_SO = "no-margin"  # what this rule marks, the sheet itself explains


def settle(evidence: Evidence, ruled: Sequence[Finding], answers: Answers) -> tuple[list[Finding], RepairResult]:
    """Return all findings with their repairs and answers, and what the search for repairs found."""
    first, found = _settled(evidence, ruled, answers, frozenset())
    accepted = accepted_recipes(first)
    if accepted:
        again, found = _settled(evidence, ruled, answers, accepted)
        settled = [f for f in first if f.recipe is None or f.recipe in accepted]
        first = [*settled, *(f for f in again if f.recipe is not None and f.recipe not in accepted)]
    unused = not_needed(answers, first, evidence.book)
    return [*first, *answer_not_needed(evidence, unused)], found


def accepted_recipes(findings: Sequence[Finding]) -> frozenset[int]:
    """Return the recipes that the maker has said to be meant so."""
    about_amounts = _about_amounts()
    return frozenset(
        f.recipe
        for f in findings
        if f.recipe is not None
        and f.answer == ON_PURPOSE
        and f.rule in about_amounts - NEVER_LOWERED
        and f.signal is not Signal.DANGER
    )


def _settled(
    evidence: Evidence, ruled: Sequence[Finding], answers: Answers, accepted: frozenset[int]
) -> tuple[list[Finding], RepairResult]:
    found = repairs.search(evidence, ruled, accepted)
    slips = [f for f in found.findings if f.recipe is None or f.recipe not in _open(evidence)]
    findings = speak_once([*ruled, *slips], found.explained)
    recipes = evidence.recipes
    superfat = dict(zip(recipes.index.tolist(), recipes["superfat_typical"].tolist(), strict=True))
    return answered(attach_repairs(findings, found.by_recipe, superfat), evidence.book, answers), found


def _open(evidence: Evidence) -> frozenset[int]:
    """Return the recipes of which nobody knows how much lye they take up: nothing that fits them says what is wrong."""
    recipes = evidence.recipes
    return frozenset(recipes.index[(recipes["doubtful_points"] > 0) & recipes["superfat_typical"].isna()])


def speak_once(findings: Sequence[Finding], explained: Collection[int]) -> list[Finding]:
    """Let the finding on a shared cause stand for those on single recipes that it explains.

    It takes over the worst of their signal words. DANGER stays with its recipe, as does what the sheet itself explains.
    """
    silent = _about_amounts() - {_STATED_SO}
    kept: list[Finding] = []
    worst: dict[int, Signal] = {}
    for finding in findings:
        recipe = finding.recipe
        if recipe not in explained or finding.rule not in silent or finding.signal is Signal.DANGER:
            kept.append(finding)
        elif recipe is not None:
            worst[recipe] = max(worst.get(recipe, finding.signal), finding.signal, key=lambda signal: signal.rank)
    return [_as_bad(finding, worst) if finding.rule == SHARED else finding for finding in kept]


def _as_bad(shared: Finding, worst: dict[int, Signal]) -> Finding:
    signals = (shared.signal, *(worst[recipe] for recipe in shared.about() if recipe in worst))
    return replace(shared, signal=max(signals, key=lambda signal: signal.rank))


def _about_amounts() -> frozenset[str]:
    """Return the rules whose cause an amount can be."""
    return frozenset(rule.name for rule in all_rules() if rule.repairable)
