"""Why a recipe was not checked, in the maker's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

import pandas as pd

from sheetcheck import faults
from sheetcheck.rules.support.evidence import Evidence, place_of
from sheetcheck.rules.support.names import shown_name
from sheetcheck.rules.support.open_lines import open_lines
from sheetcheck.rules.support.rows import ComponentRow, component_rows
from sheetcheck.rules.support.unread import Cause, causes
from sheetcheck.rules.support.wording import listed, plain
from sheetcheck.words import later, tr


def why_not_checked(evidence: Evidence, failed: Mapping[int, str] | None = None) -> pd.Series[str]:
    """Give each recipe the reason why it could not be judged; None where it was.

    Parameters
    ----------
    failed
        By recipe, a check that could not be made of it because of a fault of this program.

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
        why[recipe] = tr("the superfat could not be computed")
        with faults.part("why a recipe was not checked", tr(_REASON_LEFT_OUT)):
            why[recipe] = _why(evidence, own, recipe, has_fats=bool(fats[recipe]), has_lye=bool(lye[recipe]))
    for recipe, check in (failed or {}).items():
        why[recipe] = why[recipe] or tr(_FAILED, check=check)
    return why


_REASON_LEFT_OUT = later("The reason why a recipe was not checked is left out.")
_FAILED = later("the check “{check}” could not be made of it, because of a fault of sheetcheck itself")


def _why(evidence: Evidence, amiss: pd.DataFrame, recipe: int, *, has_fats: bool, has_lye: bool) -> str:
    if amiss.empty and not has_fats and not has_lye:
        return tr("no fats and no lye on this card")
    named = zip(component_rows(amiss), amiss["cause"], strict=True)
    reasons = list(dict.fromkeys(_reason(line, Cause(cause)) for line, cause in named))
    if not has_fats:
        reasons.append(tr("no fats are written"))
    if not has_lye:
        reasons.append(tr("no lye is written"))
    return "; ".join(reasons or [_without_cause(evidence, recipe)])


def _reason(line: ComponentRow, cause: Cause) -> str:
    place = place_of(line)
    named = cause is not Cause.UNKNOWN_NAME or place.name
    return tr(
        _REASONS[cause] if named else _NAMELESS,
        place=place,
        cell=place.cell,
        name=place.name,
        text=place.holds,
        substance=shown_name(line.substance),
        why=line.problem or tr("no unit is known for it"),
    )


_REASONS = {
    Cause.NO_STORED_VALUE: later("{place} is a formula without a stored value: open and save the book first"),
    Cause.ERROR_VALUE: later("{place} shows an error, {text}"),
    Cause.NOT_POSITIVE: later("{place} holds {text}"),
    Cause.NOT_COMPUTABLE: later("{cell} says “{name}”: {substance}, which cannot be worked out"),
    Cause.AMBIGUOUS_NAME: later("“{name}” may mean different things"),
    Cause.WHICH_LYE: later("{place} does not say which lye: write NaOH or KOH"),
    Cause.UNKNOWN_NAME: later("“{name}” is not known"),
    Cause.NOT_READ: later("{place} was not read: {why}"),
}
_NAMELESS = later("{cell} has no name beside it")


def _without_cause(evidence: Evidence, recipe: int) -> str:
    own = evidence.recipes.loc[recipe]
    if own["alkali"] in ("KOH", "mixed") and evidence.settings.koh_purity is None and pd.notna(own["superfat_if_pure"]):
        return tr("the purity of the potassium hydroxide is not stated")
    points = cast("float", own.get("doubtful_points", 0.0))
    if points > 0:
        lines = open_lines(evidence)
        lines = lines[lines["recipe"] == recipe]
        names = list(dict.fromkeys(place_of(line).name or "" for line in component_rows(lines)))
        return tr(
            "{names} may take up lye worth {points} points of superfat, or none",
            names=listed([f"“{name}”" for name in names]),
            points=plain(points, 0),
        )
    return tr("the superfat could not be worked out from what is written")
