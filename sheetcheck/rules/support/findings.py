"""How a rule makes its findings: on one recipe, or on all that share one cause."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Place

if TYPE_CHECKING:
    import pandas as pd

ONE_CAUSE = 3  # recipes from which on the same fault in one column counts as one cause


def rule_name(module: str) -> str:
    """Return the name of the rule that a module holds: its file name with hyphens."""
    return module.rpartition(".")[2].replace("_", "-")


def finding(  # noqa: PLR0913 - one argument for each part of a finding
    module: str,
    signal: Signal,
    place: Place,
    recipes: int | Sequence[int],
    message: str,
    *,
    expected: str = "",
    look_at: str = "",
) -> Finding:
    """Make a finding of the rule in `module` on one recipe, or on several that share its cause.

    `recipes` may be empty: a finding on the book that no recipe has to answer for.
    """
    numbers = (recipes,) if isinstance(recipes, int) else tuple(dict.fromkeys(int(n) for n in recipes))
    return Finding(
        rule=rule_name(module),
        signal=signal,
        sheet=place.sheet,
        cell=place.cell,
        message=message,
        recipe=numbers[0] if len(numbers) == 1 else None,
        recipes=numbers,
        written=place.written,
        is_number=place.is_number,
        expected=expected,
        look_at=look_at,
    )


def by_cause(lines: pd.DataFrame, keys: Sequence[str]) -> Iterator[pd.DataFrame]:
    """Part faulty lines into those with one cause: the same `keys` in at least three recipes, else recipe by recipe."""
    for _, group in lines.groupby(list(keys), sort=False, dropna=False):
        if group["recipe"].nunique() >= ONE_CAUSE:
            yield group
        else:
            for _, own in group.groupby("recipe", sort=False):
                yield own
