"""The settings ask what the superfat would be with lye that has stood in air.

Why it matters
--------------
Lye that stands open takes up moisture and carbon dioxide. It weighs more, and less of it is lye: the soap gets a higher
superfat than was reckoned, softer and sooner rancid. The superfat as written is judged all the same, and free lye stays
free lye: no one knows how far a jar has aged.

Example
-------
Sodium hydroxide that took up 3 % of its weight in moisture and 2 % in carbon dioxide is 91.8 % pure. A superfat of 5 %
becomes 12.8 %.

What to do
----------
Weigh a jar when it is new and again before use: what it gained is at least the moisture. Keep lye closed and dry. Do
not add lye for its age: use it fresh, or have it titrated.

Source
------
Stoichiometry: two NaOH and one CO2 make sodium carbonate, which makes no soap of fat.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.chemistry.alkali import purity_after_ageing
from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.rows import RecipeRow
from sheetcheck.rules.support.wording import percent
from sheetcheck.words import later, tr

TITLE = later("What if the lye had aged")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Say the superfat with aged lye: one finding for each sheet, on its first recipe."""
    recipes = evidence.recipes
    known = recipes[recipes["superfat_if_aged"].notna()]
    return [_aged(evidence, group) for _, group in known.groupby("sheet", sort=False)]


def _aged(evidence: Evidence, recipes: pd.DataFrame) -> Finding:
    first: RecipeRow = evidence.recipe(int(recipes.index[0]))
    settings = evidence.settings
    moisture, gas = settings.lye_moisture / 100, settings.lye_carbon_dioxide / 100
    return finding(
        __name__,
        Signal.NOTICE,
        evidence.anchor(first.Index),
        [int(n) for n in recipes.index],
        tr(
            "If the lye had taken up {moisture} of moisture and {gas} of carbon dioxide, pure sodium hydroxide would "
            "be {purity} pure, and “{name}” would have a superfat of {aged} instead of {superfat}. Judged is what is "
            "written.",
            moisture=percent(100 * moisture),
            gas=percent(100 * gas),
            purity=percent(100 * float(purity_after_ageing(1.0, moisture, gas))),
            name=first.name,
            aged=percent(float(recipes["superfat_if_aged"].iloc[0])),
            superfat=percent(float(recipes["superfat_typical"].iloc[0])),
        ),
        look_at=tr("how long the lye has stood open"),
    )
