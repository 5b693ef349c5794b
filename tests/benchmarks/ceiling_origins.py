"""Every sound recipe that one slip, made as `slips.py` makes it, would have turned into what is written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from tests.benchmarks.book_generator import Book, Recipe
from tests.benchmarks.ceiling_likelihood import superfats
from tests.benchmarks.made_up import KOH_PER_NAOH, OUNCE
from tests.benchmarks.slips import TAKEN_FOR, WEIGHTS, as_typed

ALL = sum(WEIGHTS.values())
SCALES = (2, 2, 1.5, 0.5, 0.5, 1.25, 0.75, 3)
DIGITS = "0123456789"


@dataclass(frozen=True)
class Origin:
    """A sound recipe, the cells that differ, and the chance that a slip makes of it what is written."""

    recipe: Recipe
    cells: frozenset[int]
    chance: float


def origins(book: Book, written: Recipe, before: Recipe | None) -> Iterator[Origin]:
    """Yield all of them."""
    for place in range(len(written.amounts)):
        yield from _digits(book, written, place)
        yield from _points(book, written, place)
        yield from _units(book, written, place)
        yield from _copied(book, written, place, before)
    yield from _wrong_fat(book, written)
    yield from _of_lye(book, written)
    yield from _rescaled(book, written)
    yield from _exchanged(book, written)


def _chance(slip: str) -> float:
    return WEIGHTS[slip] / ALL


def _place(recipe: Recipe, place: int) -> float:
    weights = [{"fat": 1.0, "liquid": 1.2, "alkali": 1.5}[amount.role] for amount in recipe.amounts]
    return weights[place] / sum(weights)


def _with(recipe: Recipe, values: dict[int, float]) -> Recipe:
    return recipe.with_amounts({place: replace(recipe.amounts[place], value=v) for place, v in values.items()})


def _one(recipe: Recipe, place: int, value: float, chance: float) -> Origin:
    return Origin(_with(recipe, {place: value}), frozenset({place}), chance)


def _digits(book: Book, written: Recipe, place: int) -> Iterator[Origin]:
    said = written.amounts[place].value
    candidates = {round(value, book.decimals) for text in _forms(book, said) for value in _before(text)}
    for value in sorted(candidates):
        if value > 0 and value != said:
            chance = _becomes(as_typed(value, book.decimals), said)
            if chance > 0:
                yield _one(written, place, value, chance * _place(written, place))


def _forms(book: Book, value: float) -> list[str]:
    """The ways in which a number may have been typed: with or without zeros at its end."""
    return list(dict.fromkeys([as_typed(value, book.decimals), *(f"{value:.{d}f}" for d in range(book.decimals + 1))]))


def _before(text: str) -> Iterator[float]:
    """Every number that one slip of a digit may turn into a text."""
    texts = [text[:i] + digit + text[i + 1 :] for i in range(len(text)) if text[i] != "." for digit in DIGITS]
    texts += [text[:i] + digit + text[i:] for i in range(len(text) + 1) for digit in DIGITS]
    texts += [text[:i] + text[i + 1 :] for i in range(len(text)) if text[i] != "."]
    texts += [_swapped(text, i, j) for i, j in pairwise(_places(text))]
    return (float(each) for each in texts if each.strip("."))


def _places(text: str) -> list[int]:
    return [i for i, letter in enumerate(text) if letter.isdigit()]


def _swapped(text: str, i: int, j: int) -> str:
    letters = list(text)
    letters[i], letters[j] = letters[j], letters[i]
    return "".join(letters)


def _becomes(text: str, said: float) -> float:
    """Chance that a slip of a digit turns a text into a number."""
    places = _places(text)
    chance = 0.0
    for i in places:
        for digit in DIGITS:
            if digit != text[i] and float(text[:i] + digit + text[i + 1 :]) == said:
                chance += _chance("digit replaced") / len(places) / 9
        if len(places) > 1 and float((text[:i] + text[i + 1 :]).strip(".") or 0) == said:
            chance += _chance("digit omitted") / len(places)
        for digit in (*[text[i]] * 9, *DIGITS):
            if float(text[: i + 1] + digit + text[i + 1 :]) == said:
                chance += _chance("digit added") / len(places) / 19
    pairs = [(i, j) for i, j in pairwise(places) if text[i] != text[j]]
    hits = sum(float(_swapped(text, i, j)) == said for i, j in pairs)
    return chance + (_chance("digits swapped") * hits / len(pairs) if pairs else 0.0)


def _points(book: Book, written: Recipe, place: int) -> Iterator[Origin]:
    said = written.amounts[place].value
    for factor in (10, 0.1):
        value = round(said / factor, book.decimals)
        if value > 0 and round(value * factor, 3) == said:
            yield _one(written, place, value, _chance("decimal") * 0.5 * _place(written, place))


def _units(book: Book, written: Recipe, place: int) -> Iterator[Origin]:
    """One cell in the other unit, and pounds and ounces as a decimal."""
    said, chance = written.amounts[place].value, _place(written, place)
    ratio = 1 / OUNCE if book.unit == "oz" else OUNCE
    for decimals, part in ((0, 2 / 3), (1, 1 / 3)) if book.unit == "oz" else ((1, 1 / 3), (2, 2 / 3)):
        half = 0.5 * 10.0**-decimals * ratio
        for value in _grid(book, said * ratio - half, said * ratio + half):
            if round(value / ratio, decimals) == said:
                yield _one(written, place, value, _chance("unit of a cell") * part * chance)
    pounds, _, ounces = f"{said:g}".partition(".")
    if book.unit == "oz" and ounces and 0 < int(ounces) < 16:
        yield _one(written, place, float(16 * int(pounds) + int(ounces)), _chance("pounds.ounces") * chance)


def _grid(book: Book, low: float, high: float) -> list[float]:
    """Every amount that the book could hold between two."""
    step = 10.0**-book.decimals
    first, last = int(np.ceil(max(low, step) / step - 1e-9)), int(np.floor(high / step + 1e-9))
    return [round(number * step, book.decimals) for number in range(first, last + 1)]


def _copied(book: Book, written: Recipe, place: int, before: Recipe | None) -> Iterator[Origin]:
    amount = written.amounts[place]
    same = [
        other.value
        for other in (before.amounts if before else ())
        if other.role == amount.role and (other.role != "fat" or other.substance == amount.substance)
    ]
    if not same or same[0] != amount.value:
        return
    chance = _chance("copied") * _place(written, place)
    for value in sorted({value for low, high in _possible(book, written, place) for value in _grid(book, low, high)}):
        if value != amount.value:
            yield _one(written, place, value, chance)


def _possible(book: Book, written: Recipe, place: int) -> Iterator[tuple[float, float]]:
    """Ranges in which an amount can lie if the rest of the row is right."""
    amount = written.amounts[place]
    lye = written.amounts[written.of("alkali")[0]].value
    if amount.role == "liquid":
        yield 1.2 * lye, 5 * lye
        return
    half = 0.5 * 10.0**-book.decimals
    fats = [written.amounts[i] for i in written.of("fat")]
    demand = sum(fat.value * book.factors[fat.substance] for fat in fats)
    for superfat, _ in superfats(book, written):
        for factor in (1.0, 0.99):
            share = (1 - superfat / 100) * factor
            if amount.role == "alkali":
                yield demand * share - half, demand * share + half
            else:
                each = book.factors[amount.substance]
                rest = demand - amount.value * each
                yield ((lye - half) / share - rest) / each, ((lye + half) / share - rest) / each


def _wrong_fat(book: Book, written: Recipe) -> Iterator[Origin]:
    for place in written.of("fat"):
        said = written.amounts[place].substance
        for meant in (fat for fat, others in TAKEN_FOR.items() if said in others and fat in book.palette):
            recipe = written.with_amounts({place: replace(written.amounts[place], substance=meant)})
            here = [recipe.amounts[i].substance for i in recipe.of("fat")]
            open_to = [[o for o in TAKEN_FOR.get(fat, ()) if o not in here] for fat in here]
            places = [others for others in open_to if others]
            others = open_to[recipe.of("fat").index(place)]
            if said in others:
                yield Origin(recipe, frozenset({place}), _chance("wrong fat") / len(places) / len(others))


def _of_lye(book: Book, written: Recipe) -> Iterator[Origin]:
    lye, wet = written.of("alkali")[0], written.of("liquid")[0]
    said, poured = written.amounts[lye].value, written.amounts[wet].value
    yield Origin(_with(written, {lye: poured, wet: said}), frozenset({lye, wet}), _chance("lye and liquid swapped"))
    for value in _grid(book, said / KOH_PER_NAOH - 1, said / KOH_PER_NAOH + 1):
        if round(value * KOH_PER_NAOH, book.decimals) == said:
            yield _one(written, lye, value, _chance("other alkali"))


def _rescaled(book: Book, written: Recipe) -> Iterator[Origin]:
    for factor in SCALES:
        yield from _left(book, written, 1 / factor, _chance("stale rescale") / len(SCALES))


def _exchanged(book: Book, written: Recipe) -> Iterator[Origin]:
    fats = written.of("fat")
    demand = sum(written.amounts[i].value * book.factors[written.amounts[i].substance] for i in fats)
    for place in fats:
        here = written.amounts[place]
        for fat in book.palette:
            factor = 1 + here.value * (book.factors[fat] - book.factors[here.substance]) / demand
            if abs(factor - 1) >= 0.02:
                chance = _chance("stale exchange") / len(fats) / len(book.palette)
                yield from _left(book, written, factor, chance)


def _left(book: Book, written: Recipe, factor: float, chance: float) -> Iterator[Origin]:
    """Lye and liquid that became the written ones when they were multiplied by a factor."""
    lye, wet = written.of("alkali")[0], written.of("liquid")[0]
    values = []
    for place in (lye, wet):
        said, half = written.amounts[place].value, 0.5 * 10.0**-book.decimals
        near = _grid(book, (said - half) / factor, (said + half) / factor)
        values.append([value for value in near if round(value * factor, book.decimals) == said])
    for one in values[0]:
        for two in values[1]:
            yield Origin(_with(written, {lye: one, wet: two}), frozenset({lye, wet}), chance)
