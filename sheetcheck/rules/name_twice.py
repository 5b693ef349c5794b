"""A recipe name occurs twice.

Why it matters
--------------
Two recipes of one name are easily confused. If only one amount differs between them, one of the two was changed, and
perhaps the lye was not.

Example
-------
"Kitchen bar" with 6.6 oz of lye on one line and 6.0 oz on another, all else the same.

What to do
----------
Copies on purpose, or the same recipe in another size: nothing. Otherwise give one of them another name, or cross out
the one that no longer holds.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isnan
from statistics import median
from typing import TypeAlias

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import shown_name
from sheetcheck.rules.support.wording import listed, plain
from sheetcheck.words import later, tr

TITLE = later("Two recipes of this name")
NEEDS = ()

LOG = 3  # recipes of one name that are a log of batches
ENOUGH = 2  # of them that agree, itself counted, so that it is known what is usual
MOST_COMPARED = 40  # of them are tried for being the usual one
Amounts: TypeAlias = Mapping[str, float]

_SAME = 0.006  # relative; amounts that differ by no more were rounded differently


def check(evidence: Evidence) -> list[Finding]:
    """Compare the recipes of one name: CAUTION where a single amount of one differs from what the others have.

    Of two, the second is compared with the first. Of more (a log of batches), all are compared with the one that most
    others agree with, and only those that depart from it are told of: one slip does not flag the sound batches.
    """
    names = evidence.recipes["name"].fillna("").astype(str).str.casefold().str.split().str.join(" ")
    again = names.index[names.duplicated(keep=False) & (names != "")]
    found = []
    for _, group in names[again].groupby(names[again], sort=False):
        found += _of_one_name(evidence, [int(number) for number in group.index])
    return found


def _of_one_name(evidence: Evidence, recipes: Sequence[int]) -> list[Finding]:
    if len(recipes) < LOG:
        return [_twice(evidence, recipes[0], recipes[1])]
    amounts = {recipe: _amounts(evidence, recipe) for recipe in recipes}
    agree = {one: [two for two in recipes if _agree(amounts[one], amounts[two])] for one in recipes[:MOST_COMPARED]}
    usual = max(agree, key=lambda recipe: len(agree[recipe]))
    if len(agree[usual]) < ENOUGH:
        return [_twice(evidence, recipes[0], recipe) for recipe in recipes[1:]]
    return [_twice(evidence, usual, recipe) for recipe in recipes if recipe not in agree[usual]]


def _agree(first: Amounts, second: Amounts) -> bool:
    """Tell whether two have the same amounts, or the same in another size."""
    return _difference(first, second)[1] in (_SAME_AMOUNTS, _SCALED)


def _twice(evidence: Evidence, first: int, second: int) -> Finding:
    name = evidence.recipe(second).name
    before = evidence.anchor(first)
    signal, sentence, parts = _difference(_amounts(evidence, first), _amounts(evidence, second))
    return finding(
        __name__,
        signal,
        evidence.anchor(second),
        second,
        tr(sentence, name=name, cell=before.cell, sheet=before.sheet, **parts),
        look_at=tr("which of the two holds"),
    )


def _amounts(evidence: Evidence, recipe: int) -> Amounts:
    """Return the grams of what bears on lye and water, by substance (or name, where that is not known), in order."""
    found: dict[str, float] = {}
    for line in evidence.lines(recipe):
        if line.bears:
            key = next((text for text in (line.substance, line.name) if isinstance(text, str)), "")
            found[key] = found.get(key, 0.0) + (0.0 if isnan(line.grams) else line.grams)
    return dict(sorted(found.items()))


def _difference(first: Amounts, second: Amounts) -> tuple[Signal, str, Mapping[str, str]]:
    """Return how bad the difference is, the sentence that tells of it, and what goes into it."""
    if first.keys() != second.keys() or not first:
        return Signal.NOTICE, _OTHER_INGREDIENTS, {}
    if not all(first.values()):
        return Signal.NOTICE, _NOT_READ, {}
    ratio = {substance: grams / first[substance] for substance, grams in second.items()}
    factor = median(ratio.values())
    off = [substance for substance, each in ratio.items() if abs(each - factor) > _SAME * abs(factor)]
    scaled = abs(factor - 1) > _SAME
    parts = {"factor": plain(factor, 2), "others": listed([shown_name(substance) for substance in off])}
    if not off:
        return Signal.NOTICE, _SCALED if scaled else _SAME_AMOUNTS, parts
    if len(off) == 1 and len(ratio) > 2:
        return Signal.CAUTION, _SCALED_BUT_FOR if scaled else _SAME_BUT_FOR, parts
    return Signal.NOTICE, _OTHER_AMOUNTS, parts


_OTHER_INGREDIENTS = later("“{name}” stands in {cell} of “{sheet}” too, with other ingredients.")
_NOT_READ = later("“{name}” stands in {cell} of “{sheet}” too, and an amount in one of the two was not read.")
_SAME_AMOUNTS = later("“{name}” stands in {cell} of “{sheet}” too, with the same amounts.")
_SAME_BUT_FOR = later("“{name}” stands in {cell} of “{sheet}” too, with the same amounts but for {others}.")
_SCALED = later("“{name}” stands in {cell} of “{sheet}” too, scaled by {factor}.")
_SCALED_BUT_FOR = later("“{name}” stands in {cell} of “{sheet}” too, scaled by {factor} but for {others}.")
_OTHER_AMOUNTS = later("“{name}” stands in {cell} of “{sheet}” too, with other amounts of {others}.")
