"""From findings to verdicts: which repair goes with which finding, what may be shown to weigh from, what is fine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from sheetcheck.model import Certainty, Change, Finding, Repair, SheetCells, Signal, address
from sheetcheck.reference import substances
from sheetcheck.repairs.findings import held
from sheetcheck.rules import all_rules
from sheetcheck.workbook.held import reads_from

if TYPE_CHECKING:
    from sheetcheck.repairs import RepairResult

# Amounts that a maker may weigh from
TO_WEIGH = ("alkali_recomputed_g", "naoh_recomputed_g", "koh_recomputed_g", "liquid_recomputed_g")
NAMES_A_CELL = 0.5  # least probability of the first repair's cells at which one becomes the finding's cell


_ABOUT_SUPERFAT = frozenset({"free-lye", "hardly-any-margin", "superfat-high", "superfat-not-as-stated"})
_UNMOVED = 0.05  # points of superfat


def attach_repairs(
    findings: Iterable[Finding], repairs: Mapping[int, Sequence[Repair]], superfat: Mapping[int, float]
) -> list[Finding]:
    """Put each recipe's repairs with the worst of its findings that an amount can cause; `superfat` is as written."""
    repairable = {rule.name for rule in all_rules() if rule.repairable}
    result = list(findings)
    worst: dict[int, int] = {}
    for index, finding in enumerate(result):
        if finding.recipe is None or finding.recipe not in repairs or finding.rule not in repairable:
            continue
        best = worst.get(finding.recipe)
        if best is None or finding.signal.rank > result[best].signal.rank:
            worst[finding.recipe] = index
    for recipe, index in worst.items():
        explaining = tuple(r for r in repairs[recipe] if _explains(r, result[index], superfat.get(recipe, np.nan)))
        if explaining:
            result[index] = _with_repairs(result[index], explaining)
    return result


def _explains(repair: Repair, finding: Finding, superfat: float) -> bool:
    """Tell whether a repair can be the cause: the whole recipe in another unit leaves its superfat as it is."""
    if finding.rule not in _ABOUT_SUPERFAT or len(repair.changes) < 2 or repair.superfat_percent is None:
        return True
    return not abs(repair.superfat_percent - superfat) < _UNMOVED


def _with_repairs(finding: Finding, repairs: tuple[Repair, ...]) -> Finding:
    best = repairs[0]
    if held(repairs) < NAMES_A_CELL:
        return replace(finding, repairs=repairs)
    first = best.changes[0]
    there = finding if first.cell == finding.cell else replace(finding, written=first.written, expected="")
    return replace(
        there,
        repairs=repairs,
        cell=first.cell,
        is_number=there.is_number if there is finding else first.is_number,
        certainty=certainty(best.probability),
    )


def with_names(findings: Iterable[Finding], components: pd.DataFrame, cells: Mapping[str, SheetCells]) -> list[Finding]:
    """Let each change say what the sheet calls the ingredient, and where a formula in its cell reads from."""
    findings = list(findings)
    wanted = {(c.sheet, c.cell) for f in findings for r in f.repairs for c in r.changes}
    if not wanted:
        return findings
    c = components[components["sheet"].isin({sheet for sheet, _ in wanted})]
    columns = (c["sheet"], c["row"], c["column"], c["name"])
    at = {(str(s), address(r, k)): str(n or "") for s, r, k, n in zip(*columns, strict=True)}

    def named(change: Change) -> Change:
        name = at.get((change.sheet, change.cell), "")
        return replace(change, name=name, reads_from=reads_from(cells, change.sheet, change.cell))

    return [
        replace(f, repairs=tuple(replace(r, changes=tuple(map(named, r.changes))) for r in f.repairs))
        if f.repairs
        else f
        for f in findings
    ]


def certainty(probability: float) -> Certainty:
    """Word for the probability of a repair."""
    if probability >= 0.97:
        return "sure"
    return "likely" if probability >= 0.8 else "possible"


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Order findings by recipe, then signal word, then cell; those for the whole book come first."""

    def key(finding: Finding) -> tuple[int, int, str, int, str, str]:
        letters = finding.cell.rstrip("0123456789")
        row = int(finding.cell[len(letters) :] or 0)
        return (finding.recipe or 0, -finding.signal.rank, finding.sheet, row, letters.rjust(3), finding.rule)

    return sorted(findings, key=key)


def withheld(
    recipes: pd.DataFrame, components: pd.DataFrame, findings: Sequence[Finding], found: RepairResult
) -> pd.DataFrame:
    """Blank recomputed amounts that would rest on an amount under suspicion.

    The recomputed lye rests on the fats and acids, so a suspected fat blanks lye and liquid; a suspected lye or liquid
    cell blanks neither, since both are recomputed without it. A recipe flagged at WARNING or above over its superfat
    for which no cell is named may hold a wrong fat, so it is blanked too; and so is one that does not fit and was not
    searched, and one with a fat that is a group and not one fat.
    """
    unexplained = {
        f.recipe
        for f in findings
        if f.recipe is not None and f.rule in ("free-lye", "superfat-high") and f.signal.rank >= Signal.WARNING.rank
    } - set(found.suspected)
    blank = unexplained | _with_suspected_fat(components, found.suspected) | _with_vague_fat(components)
    blank |= found.unsearched
    if not blank:
        return recipes
    rows = recipes.index.isin(list(blank))
    to_weigh = [c for c in TO_WEIGH if c in recipes]
    return recipes.assign(**{column: np.where(rows, np.nan, recipes[column]) for column in to_weigh})


def _with_suspected_fat(components: pd.DataFrame, suspected: Mapping[int, frozenset[str]]) -> set[int]:
    """Return the recipes in which a suspected cell bears on the demand for lye: fats, acids, liquids that bring fat."""
    table = substances()
    result = set()
    for c in components[components["recipe"].isin(list(suspected))].to_dict("records"):
        brings_fat = c["role"] == "liquid" and c["substance"] in table and table[c["substance"]].fat > 0
        inert = c["role"] == "alkali" or (c["role"] == "liquid" and not brings_fat)
        if not inert and address(c["row"], c["column"]) in suspected[c["recipe"]]:
            result.add(int(c["recipe"]))
    return result


def _with_vague_fat(components: pd.DataFrame) -> set[int]:
    """Return the recipes with a fat that is a group: their lye is judged on the safe side, not recomputed."""
    vague = [key for key, substance in substances().items() if substance.vague]
    return set(components.loc[components["substance"].isin(vague), "recipe"].tolist())


def judged(recipes: pd.DataFrame, findings: Iterable[Finding], why_not_checked: pd.Series) -> pd.DataFrame:
    """Give each recipe its verdict and the worst signal word among its findings."""
    worst: dict[int, int] = {}
    for finding in findings:
        for recipe in finding.about():
            worst[recipe] = max(worst.get(recipe, 0), finding.signal.rank)
    ranks = np.array([worst.get(recipe, 0) for recipe in recipes.index])
    words = {0: None} | {signal.rank: signal.value for signal in Signal}
    judged_by_rank = np.where(ranks >= Signal.CAUTION.rank, "flagged", "fine")
    verdict = np.where(why_not_checked.notna(), "not checked", judged_by_rank)
    return recipes.assign(
        verdict=verdict,
        signal=pd.Series([words[rank] for rank in ranks], index=recipes.index, dtype="object"),
        why_not_checked=why_not_checked,
    )
