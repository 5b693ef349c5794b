"""The percentages of the fats do not agree with their amounts.

Why it matters
--------------
Percentages and amounts say the same thing twice. Where they differ, one of them was changed or mistyped, and the lye
may have been computed from the other.

Example
-------
Lard 50 %, olive 30 %, coconut 20 %, beside 24, 14.4 and 6.9 oz: the last should read 9.6.

What to do
----------
Compare the percentage and the amount of the fat that is named. Then compute the lye anew if the amount was wrong.

Source
------
Common practice, no source; how much may be lost in rounding stands in the table of limits.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.wording import joined, mass, percent
from sheetcheck.words import later, tr

TITLE = later("Percentages and amounts differ")
NEEDS = ("fat_g",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with a fat whose stated share of the fats is off by more than the limit."""
    if not (evidence.statements["kind"] == "share of fats").any():
        return []
    shares = _shares(evidence)
    off = (shares["said"] - shares["share"]).abs() > evidence.limit("share_tolerance_points")
    recipes = shares.loc[off, "recipe"].unique()
    shares = shares[shares["recipe"].isin(recipes)]
    return [_off(evidence, group) for _, group in shares.groupby("recipe", sort=False)]


def _shares(evidence: Evidence) -> pd.DataFrame:
    """Return the fats that have a stated share, with that (`said`) and the one that the amounts give (`share`)."""
    said = evidence.statements
    said = said.loc[said["kind"] == "share of fats", ["recipe", "about_row", "about_column", "value"]]
    said = said.rename(columns={"about_row": "row", "about_column": "column", "value": "said"})
    fats = evidence.components[evidence.components["role"] == "fat"]
    at_amount = fats.merge(said, on=["recipe", "row", "column"])
    named = said.rename(columns={"row": "name_row", "column": "name_column"})
    at_name = fats.merge(named, on=["recipe", "name_row", "name_column"])
    shares = pd.concat([at_amount, at_name]).drop_duplicates(["recipe", "row", "column"])
    total = shares["recipe"].map(evidence.recipes["fat_g"])
    return shares.assign(share=100 * shares["grams"] / total, total=total)


def _off(evidence: Evidence, shares: pd.DataFrame) -> Finding:
    ratio = (shares["share"] / shares["said"]).to_numpy()
    at = int(np.argmax(np.nan_to_num(np.abs(ratio / np.nanmedian(ratio) - 1))))
    worst = first_component(shares.iloc[[at]])
    place, unit = place_of(worst), evidence.recipe(worst.recipe).unit
    share, said, total = (float(shares[column].iloc[at]) for column in ("share", "said", "total"))
    all_said, rest = float(shares["said"].sum()), total - worst.grams
    expected = mass(rest * said / (all_said - said), unit) if all_said > said and rest > 0 else ""
    sums = abs(all_said - 100) > evidence.limit("share_tolerance_points")
    return finding(
        __name__,
        Signal.CAUTION,
        place,
        worst.recipe,
        joined(
            tr(
                "{place} holds {text}, {share} of the fats; the sheet says {stated}.",
                place=place,
                text=place.holds,
                share=percent(share),
                stated=percent(said),
            ),
            tr("Its percentages add up to {sum}.", sum=percent(all_said)) if sums else "",
        ),
        expected=tr("{amount}, if the other fats are right", amount=expected) if expected else "",
        look_at=tr("the percentage and the amount of this fat"),
    )
