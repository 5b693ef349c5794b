"""One digit replaced, left out, added, or two neighbouring ones swapped."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from math import log

import numpy as np
import numpy.typing as npt

from sheetcheck.repairs.entries import OTHER
from sheetcheck.repairs.priors import Weights
from sheetcheck.repairs.row import Block, Cell, Row

Floats = npt.NDArray[np.float64]

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_OUNCES = 16


def blocks(row: Row) -> Iterator[Block]:
    """Yield for each cell the numbers that one slip of a digit turns into the one written."""
    for cell in row.cells:
        if cell.role != OTHER and cell.value > 0:
            values, logs = readings(cell, row.weights)
            yield Block("digit", cell.entry, values, logs + log(row.care * cell.chance))


def readings(cell: Cell, weights: Weights) -> tuple[Floats, Floats]:
    """Return the true values, and the logarithm of the chance of each to become what is written."""
    if cell.unit == "lb oz" and cell.text is not None:
        return _of_pounds_and_ounces(cell.text, weights)
    values, logs = typed_as(f"{cell.value:.{cell.decimals}f}", weights)
    other = values != cell.value
    return values[other], logs[other]


@lru_cache(maxsize=20_000)
def typed_as(text: str, weights: Weights) -> tuple[Floats, Floats]:
    """Return the numbers that one slip of a digit turns into `text`, and the logarithm of the chance of each.

    >>> from sheetcheck.repairs.priors import weights
    >>> values, _ = typed_as("13", weights({}))
    >>> sorted(float(v) for v in values if v > 200)[:3]
    [213.0, 313.0, 413.0]
    """
    places = [i for i, character in enumerate(text) if character.isdigit()]
    found: dict[float, float] = {}
    for candidate, slip, share in (*_replaced(text, places), *_one_less(text, places), *_one_more(text, places)):
        value = float(candidate) if candidate.strip(".") else 0.0
        if value > 0:
            found[value] = found.get(value, 0.0) + share * weights.chance(slip)
    return np.array(list(found)), np.log(np.array(list(found.values())))


def _replaced(text: str, places: list[int]) -> Iterator[tuple[str, str, float]]:
    for i in places:
        for digit in "0123456789":
            if digit != text[i]:
                yield text[:i] + digit + text[i + 1 :], "digit replaced", 1 / (9 * len(places))
    for i, j in pairwise(places):
        if text[i] != text[j]:
            letters = list(text)
            letters[i], letters[j] = letters[j], letters[i]
            yield "".join(letters), "digits swapped", 1 / max(len(places) - 1, 1)


def _one_less(text: str, places: list[int]) -> Iterator[tuple[str, str, float]]:
    """Yield what is left without one digit: mostly one was typed twice."""
    for i in places:
        doubled = i > 0 and text[i - 1] == text[i]
        yield text[:i] + text[i + 1 :], "digit added", (0.5 if doubled else 0.05) / len(places)


def _one_more(text: str, places: list[int]) -> Iterator[tuple[str, str, float]]:
    for i in [*places, len(text)]:
        for digit in "0123456789":
            if i > 0 or digit != "0":
                yield text[:i] + digit + text[i:], "digit omitted", 1 / (len(places) + 1)
    for digit in "123456789":  # 204 without its first digit is 04, and a sheet drops the zero
        yield digit + "0" + text, "digit omitted", 1 / (len(places) + 2)


@lru_cache(maxsize=4096)
def _of_pounds_and_ounces(text: str, weights: Weights) -> tuple[Floats, Floats]:
    numbers = [match.group().replace(",", ".") for match in _NUMBER.finditer(text)]
    if len(numbers) != 2:
        return np.empty(0), np.empty(0)
    pounds, ounces = (float(number) for number in numbers)
    (other_pounds, of_pounds), (other_ounces, of_ounces) = (typed_as(number, weights) for number in numbers)
    values = np.concatenate((other_pounds + ounces / _OUNCES, pounds + other_ounces / _OUNCES))
    sound = np.concatenate((np.full(len(other_pounds), ounces < _OUNCES), other_ounces < _OUNCES))
    logs = np.concatenate((of_pounds, of_ounces)) - log(2)
    return values[sound], logs[sound]
