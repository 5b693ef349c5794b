"""One amount is stated twice, and the two do not agree.

Why it matters
--------------
Grams beside ounces, in the next column or in brackets, are there so that either can be weighed. Where they differ, one
of them is wrong, and whoever weighs by that one makes another soap. Where that would leave lye free it is a WARNING.

Example
-------
"141" grams of lye beside "7.94" ounces: 7.94 oz is 225 g. "10 oz (238 g)": 10 oz is 283 g.

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
from sheetcheck.rules.support.balance import as_usual, balances, superfat_with, would_balance
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import ComponentRow, component_rows, first_component
from sheetcheck.rules.support.twice import as_stated_again, differently_stated
from sheetcheck.rules.support.wording import joined, mass
from sheetcheck.words import later, tr

TITLE = later("Two amounts that should be one")
NEEDS = ()
REPAIRABLE = True
_KEYS = ["recipe", "row", "column"]


def check(evidence: Evidence) -> list[Finding]:
    """Find amounts that are stated again as another amount: CAUTION, WARNING where one of them would leave lye free."""
    lines = evidence.components
    lines = lines[lines["other_grams"].notna()]
    if lines.empty:
        return []
    again = evidence.statements[evidence.statements["kind"] == "same amount"]
    said = again[["recipe", "about_row", "about_column", "row", "column", "unit"]]
    said = said.set_axis([*_KEYS, "again_row", "again_column", "again_unit"], axis=1).drop_duplicates(_KEYS)
    lines = lines.merge(said, on=_KEYS, how="left")
    elsewhere = lines["again_row"].notna()
    in_one = lines[~elsewhere & differently_stated(lines["grams"], lines["other_grams"])]
    groups = by_cause(lines[elsewhere], ["sheet", "column", "again_column"])
    return [*(_disagree(evidence, group) for group in groups), *(_in_one(evidence, r) for r in component_rows(in_one))]


def _disagree(evidence: Evidence, lines: pd.DataFrame) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    cell = address(int(lines["again_row"].iloc[0]), int(lines["again_column"].iloc[0]))
    again = mass(first.other_grams, str(lines["again_unit"].iloc[0]))
    said = {
        "place": place,
        "holds": place.holds,
        "cell": cell,
        "again": again,
        "own": mass(first.grams, place.unit),
        "other": mass(first.other_grams, place.unit),
    }
    burns = [_would_burn(evidence, line) for line in component_rows(lines)]
    sentence = tr(_SEVERAL, count=len(lines), **said) if len(lines) > 1 else tr(_sentence(evidence, first), **said)
    return finding(
        __name__,
        _signal(bears=bool(lines["bears"].any()), burns=any(burns)),
        place,
        list(lines["recipe"]),
        joined(sentence, tr(_BURNS, again=again) if burns[0] else ""),
        expected=tr(_ONE),
        look_at=tr("{first} and {second}", first=place.cell, second=cell),
    )


def _in_one(evidence: Evidence, line: ComponentRow) -> Finding:
    """Say of two amounts in one cell which of them the rest of the recipe fits."""
    place = place_of(line)
    again = mass(line.other_grams, as_stated_again(line.other_grams, str(line.unit))[1])
    burns = _would_burn(evidence, line)
    sentence = tr(_OF_ONE_CELL[_fits(evidence, line)] if line.bears else _ONE_CELL, place=place, holds=place.holds,
                  own=mass(line.grams, str(line.unit)), again=again)  # fmt: skip
    return finding(
        __name__,
        _signal(bears=bool(line.bears), burns=burns),
        place,
        int(line.recipe),
        joined(sentence, tr(_BURNS, again=again) if burns else ""),
        expected=tr(_ONE),
        look_at=tr("the cell"),
    )


def _signal(*, bears: bool, burns: bool) -> Signal:
    return Signal.WARNING if burns else Signal.CAUTION if bears else Signal.NOTICE


def _would_burn(evidence: Evidence, line: ComponentRow) -> bool:
    """Tell whether the amount that was not counted leaves lye free, where the one that was does not."""
    limit = evidence.limit("superfat_danger_below")
    return bool(line.bears) and superfat_with(evidence, line, line.other_grams) < limit <= _superfat(evidence, line)


def _superfat(evidence: Evidence, line: ComponentRow) -> float:
    return float(evidence.recipe(line.recipe).superfat_typical)


def _fits(evidence: Evidence, line: ComponentRow) -> tuple[bool, bool]:
    """Tell whether the recipe balances with the amount as read, and with the one stated again.

    Where it balances with both, one may leave it far less usual than the other: then it does so with the other alone.
    """
    own, again = bool(balances(evidence)[line.recipe]), would_balance(evidence, line, line.other_grams)
    if own and again:
        sooner = as_usual(evidence, line, line.grams) - as_usual(evidence, line, line.other_grams)
        return sooner > -_SOONER, sooner < _SOONER
    return own, again


def _sentence(evidence: Evidence, line: ComponentRow) -> str:
    """Choose the sentence by what the recipe balances with."""
    return _SENTENCES[_fits(evidence, line)] if line.bears else _NOTHING_DEPENDS


_SOONER = 1.6  # nats: five times as likely
_ONE = later("two amounts that are one")
_BURNS = later("Lye would be left over with {again}: weigh by neither.")
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
_ONE_CELL = later("{place} holds {holds}: these are two amounts.")
_OF_ONE_CELL = {
    (True, False): later(
        "{place} holds {holds}, two amounts: with {own} the recipe balances, so {again} is probably wrong."
    ),
    (False, True): later(
        "{place} holds {holds}, two amounts: with {again} the recipe balances, so {own} is probably wrong."
    ),
    (True, True): later("{place} holds {holds}, two amounts: the recipe balances with either."),
    (False, False): later("{place} holds {holds}, two amounts: with neither does the recipe balance."),
}
