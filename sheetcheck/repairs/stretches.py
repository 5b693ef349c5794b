"""A very long book is searched in stretches, each with habits of its own: memory stays the same, however long it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from sheetcheck.model import Finding
from sheetcheck.rules import Evidence

_STRETCH = 10_000  # recipes searched together: enough to show all habits, and memory stays the same for a longer book


class Stretches:
    """A book in stretches of equal length, each with the findings about its recipes; made one after the other."""

    def __init__(self, evidence: Evidence, findings: Sequence[Finding]) -> None:
        self._evidence = evidence
        self._findings = findings

    def __len__(self) -> int:
        return max(-(-len(self._evidence.recipes) // _STRETCH), 1)

    def __iter__(self) -> Iterator[tuple[Evidence, list[Finding]]]:
        evidence, recipes, count = self._evidence, self._evidence.recipes, len(self)
        if count == 1:
            yield evidence, list(self._findings)
            return
        ends = np.linspace(0, len(recipes), count + 1).round().astype(int)
        stretch_of = np.repeat(np.arange(count), np.diff(ends))
        about = _by_stretch(self._findings, dict(zip(recipes.index.tolist(), stretch_of.tolist(), strict=True)), count)
        for number in range(count):
            part = recipes.iloc[ends[number] : ends[number + 1]]
            book = replace(
                evidence.book,
                components=_of_recipes(evidence.components, part.index),
                statements=_of_recipes(evidence.statements, part.index),
            )
            yield Evidence(book=book, recipes=part, settings=evidence.settings), about[number]


def _by_stretch(findings: Sequence[Finding], stretch_of: Mapping[int, int], count: int) -> list[list[Finding]]:
    """Return the findings about each stretch."""
    about: list[list[Finding]] = [[] for _ in range(count)]
    for finding in findings:
        for stretch in {stretch_of[recipe] for recipe in finding.about() if recipe in stretch_of}:
            about[stretch].append(finding)
    return about


def _of_recipes(frame: pd.DataFrame, recipes: pd.Index) -> pd.DataFrame:
    """Return the lines of recipes that follow each other; no copy where the lines are in their order."""
    first, last = recipes[0], recipes[-1]
    if not frame["recipe"].is_monotonic_increasing:
        return frame[frame["recipe"].between(first, last)]
    return frame.iloc[frame["recipe"].searchsorted(first) : frame["recipe"].searchsorted(last, side="right")]
