"""The share of liquid that the sheet states is not the one its amounts give.

Why it matters
--------------
One of the two is wrong: the statement or the liquid. Too little liquid makes a lye so strong that it may not dissolve.

Example
-------
"Water 38 % of oils" on 900 g of fats, and 240 g of water.

What to do
----------
If the amounts are right, correct the statement; otherwise weigh the liquid that the statement asks for.

Source
------
Common practice, no source. All ways of reckoning are allowed: of the fats, of lye and liquid together, of the batch.
"""

from __future__ import annotations

import numpy as np

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import StatementRow, statement_rows
from sheetcheck.rules.support.wording import joined, percent
from sheetcheck.words import tr

NEEDS = ("liquid_g",)
_OFF = 3.0  # points; rounded as such shares are


def check(evidence: Evidence) -> list[Finding]:
    """Find stated shares of liquid that no way of reckoning gives; NOTICE."""
    said = evidence.statements
    said = said[(said["kind"] == "liquid to fats") & said["value"].notna()]
    r = evidence.recipes.loc[said["recipe"]]
    ways = [
        r[amount] / whole
        for amount in ("liquid_g", "water_g")
        for whole in (r["fat_g"], r["alkali_g"] + r[amount], r["batch_g"])
    ]
    off = np.fmin.reduce([np.abs(100 * way.to_numpy() - said["value"].to_numpy()) for way in ways])
    return [_off(evidence, line) for line in statement_rows(said[off > _OFF])]


def _off(evidence: Evidence, line: StatementRow) -> Finding:
    recipe, liquid = evidence.recipe(line.recipe), evidence.place(line.recipe, "liquid")
    fat_g = float(evidence.recipes["fat_g"].loc[line.recipe])
    return finding(
        __name__,
        Signal.NOTICE,
        liquid,
        int(line.recipe),
        joined(
            tr(
                "You wrote liquid of {stated}; these amounts give {given} of the fats.",
                stated=percent(line.value),
                given=percent(100 * recipe.liquid_g / fat_g),
            ),
            liquid.said(),
        ),
        look_at=tr("the liquid ({cell}), and the statement", cell=liquid.cell),
    )
