"""Why a recipe was not checked, in the maker's words."""

from __future__ import annotations

import pandas as pd

from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.names import shown_name
from sheetcheck.rules.support.rows import ComponentRow, component_rows
from sheetcheck.rules.support.unread import Cause, causes


def why_not_checked(evidence: Evidence) -> pd.Series[str]:
    """Give each recipe the reason why it could not be judged; None where it was.

    Returns
    -------
    Series of str or None
        Indexed like the recipes. A recipe is checked if its superfat is known and every amount was read that bears on
        lye or water.
    """
    recipes = evidence.recipes
    cause = causes(evidence)
    is_amiss = cause != Cause.NONE
    amiss = evidence.components[is_amiss].assign(cause=cause[is_amiss])
    unclear = recipes.index.isin(amiss["recipe"]) | (recipes["unread"] > 0) | recipes["superfat_typical"].isna()
    why = pd.Series([None] * len(recipes), index=recipes.index, dtype="object")
    fats, lye = evidence.of_role("fat"), evidence.of_role("alkali")
    by_recipe = dict(list(amiss.groupby("recipe", sort=False)))
    for recipe in recipes.index[unclear]:
        own = by_recipe.get(recipe, amiss.iloc[:0])
        why[recipe] = _why(evidence, own, recipe, has_fats=bool(fats[recipe]), has_lye=bool(lye[recipe]))
    return why


def _why(evidence: Evidence, amiss: pd.DataFrame, recipe: int, *, has_fats: bool, has_lye: bool) -> str:
    if amiss.empty and not has_fats and not has_lye:
        return "no fats and no lye on this card"
    named = zip(component_rows(amiss), amiss["cause"], strict=True)
    reasons = list(dict.fromkeys(_reason(line, Cause(cause)) for line, cause in named))
    if not has_fats:
        reasons.append("no fats are written")
    if not has_lye:
        reasons.append("no lye is written")
    return "; ".join(reasons or [_without_cause(evidence, recipe)])


def _reason(line: ComponentRow, cause: Cause) -> str:
    place = place_of(line)
    words = {
        Cause.NO_STORED_VALUE: f"{place} is a formula without a stored value: open and save the book first",
        Cause.ERROR_VALUE: f"{place} shows an error, {place.holds}",
        Cause.NOT_POSITIVE: f"{place} holds {place.holds}",
        Cause.NOT_COMPUTABLE: f"{place} is {shown_name(line.substance)}, which cannot be computed with",
        Cause.AMBIGUOUS_NAME: f"“{place.name}” may mean different things",
        Cause.UNKNOWN_NAME: f"“{place.name}” is not known" if place.name else f"{place.cell} has no name beside it",
        Cause.NOT_READ: f"{place} was not read: {line.problem or 'no unit is known for it'}",
    }
    return words[cause]


def _without_cause(evidence: Evidence, recipe: int) -> str:
    own = evidence.recipes.loc[recipe]
    if own["alkali"] in ("KOH", "mixed") and evidence.settings.koh_purity is None and pd.notna(own["superfat_if_pure"]):
        return "the purity of the potassium hydroxide is not stated"
    points = own.get("doubtful_points", 0.0)
    if points > 0:
        return f"something in it may take up lye worth {points:.0f} points of superfat"
    return "the superfat could not be computed"
