"""What may be wrong with a recipe: one file per rule, each a mask over the frames and the words for those it marks.

A module of this folder is a rule: its name is the problem in words, `TITLE` the same as the maker reads it, its
docstring the manual (`manual.py` says which headings), `NEEDS` the columns of the recipes without which it cannot say,
`check` gives its findings, `REPAIRABLE` says that an edit of an amount can be the cause, so that repairs are shown with
it. To add a rule, add a file. A module without `check` has the manual of a finding that repairs/ makes.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING

from sheetcheck import faults
from sheetcheck.model import Finding
from sheetcheck.rules.manual import Manual, parse
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import rule_name
from sheetcheck.words import later, tr

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Evidence", "Rule", "RuleResult", "all_rules", "run", "title_of"]

_NOT_RULES = frozenset({"manual", "not_checked"})

Check = Callable[[Evidence], list[Finding]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `check` is None where repairs/ speaks for it; `repairable`: an edit of an amount can be its cause."""

    name: str
    title: str  # the problem in a few words
    manual: Manual
    needs: tuple[str, ...]
    check: Check | None
    repairable: bool


@dataclass(frozen=True, slots=True)
class RuleResult:
    """What the rules found, and by rule name the recipes of which a rule cannot say anything.

    `failed` are those about which a rule failed, with its name: nobody knows what it would have said.
    """

    findings: list[Finding]
    cannot_say: Mapping[str, pd.Index[int]]
    failed: Mapping[int, str]


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return every rule, by name."""
    modules = sorted(
        module.name for module in pkgutil.iter_modules(__path__) if not module.ispkg and module.name not in _NOT_RULES
    )
    return tuple(_rule(f"{__name__}.{module}") for module in modules)


@cache
def _titles() -> Mapping[str, str]:
    return {rule.name: rule.title for rule in all_rules()}


def title_of(rule: str) -> str:
    """Return the problem that a rule is about, in a few words of English."""
    return _titles().get(rule, rule)


def run(evidence: Evidence) -> RuleResult:
    """Ask every rule about every recipe; one that fails is asked again in parts, so that it fails for few."""
    findings: list[Finding] = []
    cannot_say: dict[str, pd.Index[int]] = {}
    failed: dict[int, str] = {}
    for rule in all_rules():
        if rule.check is None:
            continue
        found, without = _asked(rule, rule.check, evidence)
        findings += found
        failed |= {recipe: rule.name for recipe in without if recipe not in failed}
        unknown = evidence.recipes[list(rule.needs)].isna().any(axis=1)
        cannot_say[rule.name] = evidence.recipes.index[unknown]
    return RuleResult(findings, cannot_say, failed)


def _asked(rule: Rule, check: Check, evidence: Evidence) -> tuple[list[Finding], list[int]]:
    """Return what a rule has found, and the recipes with which it failed."""
    everything = evidence.recipes.index.tolist()
    try:
        return check(evidence), []
    except Exception as error:  # noqa: BLE001 - kept as a fault, or raised again by it
        faults.keep(error, f"rule {rule.name}", tr(_NOT_ASKED, rule=rule.name))
    parts, failed = faults.in_halves(everything, lambda recipes: check(evidence.about(recipes)))
    asked = set(everything) - set(failed)
    return [one for part in parts for one in part if asked.issuperset(one.about())], failed


_NOT_ASKED = later("The check “{rule}” could not be made of every recipe; those are listed as not checked.")


def _rule(module_name: str) -> Rule:
    module = import_module(module_name)
    name = rule_name(module_name)
    return Rule(
        name=name,
        title=getattr(module, "TITLE", name.replace("-", " ").capitalize()),
        manual=parse(module.__doc__ or "", module_name),
        needs=getattr(module, "NEEDS", ()),
        check=getattr(module, "check", None),
        repairable=getattr(module, "REPAIRABLE", False),
    )
