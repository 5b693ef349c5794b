"""One amount is stated twice, and the two do not agree.

Why it matters
--------------
Grams in one column and ounces in the next are there so that either can be weighed. Where they differ, one of them is
wrong, and whoever weighs by that one makes another soap.

Example
-------
"141" grams of lye beside "7.94" ounces: 7.94 oz is 225 g.

What to do
----------
Weigh by neither until both say the same. The finding tells which of the two fits the rest of the recipe.

Source
------
Common practice, no source. An ounce is 28.349523125 g (international avoirdupois ounce, exact by definition).
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal, address
from sheetcheck.rules.support.balance import balances, would_balance
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import ComponentRow, first_component
from sheetcheck.rules.support.wording import mass
from sheetcheck.words import later, tr

TITLE = later("Two amounts that should be one")
NEEDS = ()
REPAIRABLE = True
_KEYS = ["recipe", "row", "column"]


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts that are stated again as another amount: CAUTION, NOTICE where they bear on nothing."""
    again = evidence.statements[evidence.statements["kind"] == "same amount"]
    if again.empty:
        return []
    said = again[["recipe", "about_row", "about_column", "row", "column", "unit"]]
    said = said.set_axis([*_KEYS, "again_row", "again_column", "again_unit"], axis=1).drop_duplicates(_KEYS)
    lines = evidence.components[evidence.components["other_grams"].notna()].merge(said, on=_KEYS)
    groups = by_cause(lines, ["sheet", "column", "again_column"])
    return [_disagree(evidence, group) for group in groups]


def _disagree(evidence: Evidence, lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    cell = address(int(lines["again_row"].iloc[0]), int(lines["again_column"].iloc[0]))
    said = {
        "place": place,
        "holds": place.holds,
        "cell": cell,
        "again": mass(first.other_grams, str(lines["again_unit"].iloc[0])),
        "own": mass(first.grams, place.unit),
        "other": mass(first.other_grams, place.unit),
    }
    return finding(
        __name__,
        Signal.CAUTION if lines["bears"].any() else Signal.NOTICE,
        place,
        list(lines["recipe"]),
        tr(_SEVERAL, count=len(lines), **said) if len(lines) > 1 else tr(_sentence(evidence, first), **said),
        expected=tr("two amounts that are one"),
        look_at=tr("{first} and {second}", first=place.cell, second=cell),
    )


def _sentence(evidence: Evidence, line: ComponentRow) -> str:
    """Choose the sentence by whether the recipe balances with the amount as read, and with the one stated again."""
    if not line.bears:
        return _NOTHING_DEPENDS
    own = bool(balances(evidence)[line.recipe])
    return _SENTENCES[own, would_balance(evidence, line, line.other_grams)]


_SEVERAL = later(
    "Two amounts of one thing do not agree, in {count} places of this column: {place} holds {holds}, {cell} says "
    "{again}, that is {other}."
)
_NOTHING_DEPENDS = later("{place} holds {holds}, and {cell} says {again} of it, that is {other}.")
_SENTENCES = {
    (True, False): later(
        "{place} holds {holds}, and {cell} says {again} of it, that is {other}: with {own} the recipe balances, so "
        "{cell} is probably wrong."
    ),
    (False, True): later(
        "{place} holds {holds}, and {cell} says {again} of it, that is {other}: with {other} the recipe balances, so "
        "{place} is probably wrong."
    ),
    (True, True): later(
        "{place} holds {holds}, and {cell} says {again} of it, that is {other}: the recipe balances with either, so "
        "it does not tell which is meant."
    ),
    (False, False): later(
        "{place} holds {holds}, and {cell} says {again} of it, that is {other}: with neither does the recipe balance."
    ),
}
