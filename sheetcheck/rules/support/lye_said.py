"""What a recipe has of lye, in words: of a solution, the solution as it is weighed and the pure lye in it."""

from __future__ import annotations

from sheetcheck.rules.support.evidence import Evidence, Place
from sheetcheck.rules.support.wording import listed, mass, percent
from sheetcheck.words import tr

AS_IF_PURE = 0.995  # purity from which nothing is said of it


def lye_said(evidence: Evidence, recipe: int, lye: Place) -> str:
    """Say what the lye's cell holds, without a stop at the end.

    Parameters
    ----------
    lye
        Where the largest amount of lye stands.
    """
    cells = evidence.cells(recipe, "alkali")
    if len(cells) > 1:
        return tr("{place} holds {text} ({cells} together)", place=lye, text=lye.holds, cells=listed(cells))
    own = [line for line in evidence.lines(recipe) if line.role == "alkali"]
    strength = own[0].strength if len(own) == 1 else float("nan")
    if not strength < AS_IF_PURE or not lye.name:
        return tr("{place} holds {text}", place=lye, text=lye.holds)
    pure = mass(own[0].grams * strength, lye.unit or evidence.recipe(recipe).unit)
    return tr(
        "{text} of {name} ({cell}) holds {pure} of pure lye ({share})",
        text=lye.holds,
        name=lye.name,
        cell=lye.cell,
        pure=pure,
        share=percent(100 * strength),
    )
