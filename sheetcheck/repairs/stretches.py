"""A very long book is searched in stretches, each with habits of its own: memory stays the same, however long it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from sheetcheck.model import Finding
from sheetcheck.rules import Evidence

_STRETCH = 10_000  # recipes searched together: enough to show all habits, and memory stays the same for a longer book


def in_stretches(evidence: Evidence, findings: Sequence[Finding]) -> Iterator[tuple[Evidence, list[Finding]]]:
    """Split a book into stretches of equal length, each with the findings about its recipes."""
    recipes = evidence.recipes
    count = -(-len(recipes) // _STRETCH)
    if count <= 1:
        yield evidence, list(findings)
        return
    ends = np.linspace(0, len(recipes), count + 1).round().astype(int)
    about = _by_stretch(findings, pd.Series(np.repeat(np.arange(count), np.diff(ends)), index=recipes.index), count)
    for number in range(count):
        part = recipes.iloc[ends[number] : ends[number + 1]]
        book = replace(
            evidence.book,
            components=_of_recipes(evidence.components, part.index),
            statements=_of_recipes(evidence.statements, part.index),
        )
        yield Evidence(book=book, recipes=part, settings=evidence.settings), about[number]


def _by_stretch(findings: Sequence[Finding], stretch_of: pd.Series[float], count: int) -> list[list[Finding]]:
    """Return the findings about each stretch."""
    about: list[list[Finding]] = [[] for _ in range(count)]
    for finding in findings:
        for stretch in stretch_of.reindex(list(finding.about())).dropna().unique():
            about[int(stretch)].append(finding)
    return about


def _of_recipes(frame: pd.DataFrame, recipes: pd.Index) -> pd.DataFrame:
    """Return the lines of recipes that follow each other; no copy where the lines are in their order."""
    first, last = recipes[0], recipes[-1]
    if not frame["recipe"].is_monotonic_increasing:
        return frame[frame["recipe"].between(first, last)]
    return frame.iloc[frame["recipe"].searchsorted(first) : frame["recipe"].searchsorted(last, side="right")]
