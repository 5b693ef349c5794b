"""Two baselines: plain limits, and error localisation with equal weights (Fellegi & Holt 1976) on the same limits."""

from __future__ import annotations

from dataclasses import dataclass

from tests.benchmarks.book_generator import NAOH_PER_G, Amount, Book, Fault, Recipe

SUPERFAT = (0.0, 12.0)  # percent
CONCENTRATION = (24.0, 41.0)  # percent
USUAL_SUPERFAT, USUAL_CONCENTRATION = 5.0, 32.0


@dataclass(frozen=True)
class Guess:
    """What the localisation says: flagged, and the expected share right where cells tie."""

    flagged: bool
    cell: float
    value: float


def _demand(recipe: Recipe) -> float:
    return sum(recipe.amounts[i].grams * NAOH_PER_G[recipe.amounts[i].substance] for i in recipe.of("fat"))


def _broken(recipe: Recipe) -> tuple[bool, bool, bool]:
    """Which edits fail: superfat, lye concentration, total."""
    lye, liquid = recipe.grams("alkali"), recipe.grams("liquid")
    superfat = 100 * (1 - lye / _demand(recipe))
    concentration = 100 * lye / (lye + liquid)
    total = sum(recipe.amounts[i].value for i in recipe.of("fat"))
    off = recipe.total is not None and abs(recipe.total - total) > 0.005 * recipe.total + 0.2
    return (
        not SUPERFAT[0] <= superfat <= SUPERFAT[1],
        not CONCENTRATION[0] <= concentration <= CONCENTRATION[1],
        off,
    )


def plain_limits(recipe: Recipe) -> bool:
    """Whether superfat, lye concentration or total is outside fixed limits."""
    return any(_broken(recipe))


def fellegi_holt(book: Book, number: int, fault: Fault | None) -> Guess:
    """Find the single cells that can be given a value with which no edit fails; each is as likely as the next."""
    recipe = book.written[number]
    broken = _broken(recipe)
    if not any(broken):
        return Guess(flagged=False, cell=0.0, value=0.0)
    cells = [place for place in range(len(recipe.amounts)) if _can_mend(recipe, place)]
    if fault is None or not cells:
        return Guess(flagged=True, cell=0.0, value=0.0)
    right = [place for place in cells if place in fault.right]
    near = [place for place in right if _imputed_right(recipe, place, fault.right[place])]
    return Guess(flagged=True, cell=len(right) / len(cells), value=len(near) / len(cells))


def _can_mend(recipe: Recipe, place: int) -> bool:
    return not any(_broken(recipe.with_amounts({place: _imputed(recipe, place)})))


def _imputed(recipe: Recipe, place: int) -> Amount:
    """The value that the usual superfat and lye concentration, or the total, ask for."""
    amount = recipe.amounts[place]
    each = amount.grams / amount.value
    lye, demand = recipe.grams("alkali"), _demand(recipe)
    if amount.role == "alkali":
        grams = demand * (1 - USUAL_SUPERFAT / 100)
    elif amount.role == "liquid":
        grams = lye * (100 / USUAL_CONCENTRATION - 1)
    elif recipe.total is not None:
        rest = sum(recipe.amounts[i].value for i in recipe.of("fat") if i != place)
        grams = (recipe.total - rest) * each
    else:
        needed = lye / (1 - USUAL_SUPERFAT / 100)
        grams = amount.grams + (needed - demand) / NAOH_PER_G[amount.substance]
    return Amount(amount.role, amount.substance, max(grams, 1e-6) / each, amount.unit)


def _imputed_right(recipe: Recipe, place: int, right: Amount) -> bool:
    return abs(_imputed(recipe, place).grams / right.grams - 1) <= 0.005
