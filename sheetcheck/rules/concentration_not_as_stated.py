"""The lye concentration or the liquid to lye that the sheet states is not the one its amounts give.

Why it matters
--------------
One of the three is wrong: the statement, the lye or the liquid.

Example
-------
The sheet says liquid to lye 2 : 1; there are 6.5 oz of lye and 18 oz of water.

What to do
----------
If the amounts are right, correct the statement; otherwise weigh the liquid that the statement asks for.

Source
------
Common practice, no source; how far off counts stands in the table of limits. Both ways of reckoning are allowed: by
all of the liquid, and by the water in it.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.concentration import own_concentration
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import StatementRow, statement_rows
from sheetcheck.rules.support.wording import joined, percent, plain
from sheetcheck.words import later, tr

TITLE = later("Lye strength differs from what you wrote")
NEEDS = ("lye_concentration",)
REPAIRABLE = True


def check(evidence: Evidence) -> list[Finding]:
    """Find stated lye strengths that are off, except where the lye alone is to blame: NOTICE, CAUTION if far off."""
    said = _said_as_concentration(evidence)
    recipes = evidence.recipes.loc[said["recipe"]]
    known = own_concentration(evidence).loc[said["recipe"]].notna().to_numpy()
    by_water = recipes["lye_concentration"].to_numpy()
    by_liquid = (100 * recipes["alkali_g"] / (recipes["alkali_g"] + recipes["liquid_g"])).to_numpy()
    stated = said["concentration"].to_numpy()
    off = np.fmin(np.abs(by_water - stated), np.abs(by_liquid - stated))
    wrong = known & (off > evidence.limit("concentration_off_statement"))
    far = evidence.limit("outlier_lye_concentration_floor")
    return [
        _off(evidence, line, Signal.CAUTION if distance > far else Signal.NOTICE)
        for line, distance in zip(statement_rows(said[wrong]), off[wrong], strict=True)
    ]


def _said_as_concentration(evidence: Evidence) -> pd.DataFrame:
    said = evidence.statements
    said = said[said["kind"].isin(("lye concentration", "liquid to lye")) & said["value"].notna()]
    ratio = said["kind"] == "liquid to lye"
    return said.assign(concentration=said["value"].where(~ratio, 100 / (1 + said["value"])))


def _off(evidence: Evidence, line: StatementRow, signal: Signal) -> Finding:
    recipe = evidence.recipe(line.recipe)
    liquid = evidence.place(line.recipe, "liquid")
    if line.kind == "liquid to lye":
        stated = tr(
            "You wrote liquid to lye {stated}; these amounts give {given}.",
            stated=tr("{number} : 1", number=plain(line.value, 2)),
            given=tr("{number} : 1", number=plain(recipe.liquid_g / recipe.alkali_g, 2)),
        )
    else:
        stated = tr(
            "You wrote a lye concentration of {stated}; these amounts give {given}.",
            stated=percent(line.value),
            given=percent(recipe.lye_concentration),
        )
    return finding(
        __name__,
        signal,
        liquid,
        int(line.recipe),
        joined(stated, liquid.said()),
        look_at=tr("the liquid ({cell}), the lye, and the statement", cell=liquid.cell),
    )
