"""Which recipes may be rescaled: sound ones, and those that the maker has answered for. Never one with free lye."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, cast

import pandas as pd

from sheetcheck.errors import SettingError
from sheetcheck.model import Audit, Finding, Signal
from sheetcheck.reading.text import fold
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import later, tr

ANSWER = later("Put it right, or take it with --also once you have made sure of it.")
_NOT_CHECKED = later("Not checked: {why}.")


class JudgedRow(RecipeRow, Protocol):
    """A row of the frame of recipes of an audit."""

    unread: int
    why_not_checked: str | None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A recipe that is not rescaled (to one size, where `target` is set), and why."""

    recipe: int
    name: str
    sheet: str
    why: str
    target: str = ""
    because: str = ""  # the same in two or three words, to be counted


def choose(
    audit: Audit, also: Sequence[str] = (), only: Sequence[str] = ()
) -> tuple[pd.DataFrame, tuple[LeftOut, ...]]:
    """Part the recipes of a book into those to rescale and those left out.

    Parameters
    ----------
    also
        Names of recipes that the maker has answered for although they carry DANGER or WARNING, or were not checked.
    only
        Names of the recipes to rescale; none means all.

    Raises
    ------
    SettingError
        A name that no recipe has.
    """
    recipes = audit.recipes
    answered, wanted = _named(recipes, also, "--also"), _named(recipes, only, "--recipe")
    if only:
        recipes = recipes.loc[recipes.index.isin(list(wanted | answered))]
    whys = _reasons(audit)
    left_out = [
        LeftOut(recipe.Index, recipe.name, recipe.sheet, why, because=_because(recipe, whys[recipe.Index]))
        for recipe in cast("Iterable[JudgedRow]", recipes.itertuples())
        if (why := _why_not(recipe, whys[recipe.Index], answered=recipe.Index in answered))
    ]
    return recipes.drop(index=[x.recipe for x in left_out]), tuple(left_out)


def _named(recipes: pd.DataFrame, names: Sequence[str], option: str) -> frozenset[int]:
    folded = recipes["name"].astype(str).map(fold)
    found: set[int] = set()
    for name in names:
        same = recipes.index[folded == fold(name)]
        if same.empty:
            near = difflib.get_close_matches(name, recipes["name"].astype(str), n=1)
            why = tr("no recipe has this name; write it as the workbook has it")
            if near:
                why = tr("no recipe has this name; did you mean “{recipe}”?", recipe=near[0])
            raise SettingError(f"{option} {name}", why)
        found.update(int(i) for i in same)
    return frozenset(found)


def _reasons(audit: Audit) -> dict[int, list[Finding]]:
    """Return the findings at WARNING or above of each recipe, worst first."""
    found: defaultdict[int, list[Finding]] = defaultdict(list)
    for finding in sorted(audit.findings, key=lambda f: -f.signal.rank):
        if finding.signal.rank >= Signal.WARNING.rank:
            for recipe in finding.recipes or (finding.recipe,):
                if recipe is not None:
                    found[recipe].append(finding)
    return found


def _why_not(recipe: JudgedRow, findings: Sequence[Finding], *, answered: bool) -> str:
    never = _never(recipe, findings)
    if never:
        return never
    if answered:
        return ""
    if findings:
        return joined(_said(findings[0]), tr(ANSWER))
    unchecked = recipe.why_not_checked
    return joined(tr(_NOT_CHECKED, why=unchecked), tr(ANSWER)) if isinstance(unchecked, str) else ""


def _because(recipe: JudgedRow, findings: Sequence[Finding]) -> str:
    if any(f.rule == "free-lye" for f in findings) or recipe.superfat_typical < 0 or recipe.superfat_if_weak < 0:
        return tr("free lye")
    if not recipe.superfat_typical >= 0 or recipe.unread or not findings:
        return tr("not checked")
    return tr("to be put right")


def _said(finding: Finding) -> str:
    return f"{tr(finding.signal)}: {finding.message}"


def _never(recipe: JudgedRow, findings: Sequence[Finding]) -> str:
    """Say why a recipe is not rescaled whatever the maker says: free lye, or free lye that cannot be ruled out."""
    free = next((f for f in findings if f.rule == "free-lye"), None)
    if free is not None:
        return _said(free)
    if recipe.superfat_typical < 0 or recipe.superfat_if_weak < 0:
        return tr("It has more lye than its fats take up: give it less lye first.")
    if not recipe.superfat_typical >= 0 or recipe.unread:
        unchecked = recipe.why_not_checked or tr("its superfat is not known")
        return joined(tr(_NOT_CHECKED, why=unchecked), tr("Free lye cannot be ruled out."))
    return ""
