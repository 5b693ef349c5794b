"""One recipe mixes metric and ounce units.

Why it matters
--------------
The maker's rule is the same unit for every ingredient: a scale set to ounces reads 8 where 8 grams are meant, and no
one notices until the soap fails.

Example
-------
Fats in ounces, and the lye in grams, on one line.

What to do
----------
Write all amounts of the recipe in one unit. Where the units are stated and the amounts fit each other, this is no more
than a remark.

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, Signal, address
from sheetcheck.rules.support.balance import balances
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.findings import by_cause, finding
from sheetcheck.rules.support.rows import first_component
from sheetcheck.rules.support.wording import joined, listed
from sheetcheck.words import later, tr, tr_count

TITLE = later("Ounces and grams in one recipe")
NEEDS = ("superfat_typical",)
REPAIRABLE = True

_METRIC, _OUNCES = ("g", "kg", "mg", "dag", "hg"), ("oz", "lb", "lb oz", "st")


def check(evidence: Evidence) -> list[Finding]:
    """Find recipes with both metric and ounce weights: NOTICE where they are stated and balance, else CAUTION."""
    odd = _odd_ones_out(evidence)
    known = evidence.recipes["superfat_typical"].notna()
    odd = odd[odd["recipe"].isin(known.index[known])]
    stated = (odd["unit_from"] != "setting").groupby(odd["recipe"]).transform("all")
    fine = odd["recipe"].map(balances(evidence)).astype(bool) & stated
    found = [_mixed(group, Signal.CAUTION) for _, group in odd[~fine].groupby("recipe", sort=False)]
    return found + [_mixed(group, Signal.NOTICE) for group in by_cause(odd[fine], ["sheet", "unit", "role"])]


def _odd_ones_out(evidence: Evidence) -> pd.DataFrame:
    """Return the amounts in the system of units that fewer amounts of their recipe are in; of equals the later ones.

    Amounts whose unit is in dispute are left to the rule on that.
    """
    components = evidence.components
    lines = components[["recipe", "unit"]]
    lines = lines[components["bears"] & components["grams"].notna() & components["units_said"].isna()]
    is_metric, is_ounces = lines["unit"].isin(_METRIC), lines["unit"].isin(_OUNCES)
    lines, metric = lines[is_metric | is_ounces], is_metric[is_metric | is_ounces]
    share = metric.groupby(lines["recipe"]).transform("mean")
    first = metric.groupby(lines["recipe"]).transform("first")
    usual = first.mask(share > 0.5, other=True).mask(share < 0.5, other=False)
    return components.loc[lines.index[(share > 0) & (share < 1) & (metric != usual)]]


def _mixed(lines: pd.DataFrame, signal: Signal) -> Finding:
    first = first_component(lines)
    place = place_of(first)
    own = lines[lines["recipe"] == first.recipe]
    cells = listed([address(row, column) for row, column in zip(own["row"], own["column"], strict=True)])
    return finding(
        __name__,
        signal,
        place,
        list(lines["recipe"]),
        joined(_message(len(own), cells, str(first.unit), fit=signal is Signal.NOTICE), place.said()),
        expected=tr("the same unit for every ingredient"),
        look_at=tr("the unit of {cells}", cells=cells),
    )


def _message(count: int, cells: str, unit: str, *, fit: bool) -> str:
    if fit:
        return tr_count(
            "Mixed units: {cells} is in {unit}, the rest of the recipe is not.",
            "Mixed units: {cells} are in {unit}, the rest of the recipe is not.",
            count,
            cells=cells,
            unit=unit,
        )
    return tr_count(
        "Mixed units: {cells} is in {unit}, the rest of the recipe is not, and the amounts do not fit each other.",
        "Mixed units: {cells} are in {unit}, the rest of the recipe is not, and the amounts do not fit each other.",
        count,
        cells=cells,
        unit=unit,
    )
