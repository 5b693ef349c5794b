"""A list of fields set out as a table: across or down, with one heading line or two."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from xlsxwriter.utility import xl_rowcol_to_cell

from tests.benchmarks.unlike_books import data
from tests.benchmarks.unlike_books.fields import Field
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.model import Recipe, Sheet

At = Callable[[int, int], tuple[int, int]]  # line and place on it -> row and column


def set_out(
    sheet: Sheet,
    maker: Maker,
    fields: Sequence[Field],
    recipes: Sequence[Recipe],
    *,
    top: int,
    left: int = 0,
    grouped: bool = False,
    turned: bool = False,
) -> int:
    """Write a table; return how many rows it takes (columns, where it is turned)."""
    rng = maker.rng(f"table {sheet.name} {top} {left}")

    def at(line: int, place: int) -> tuple[int, int]:
        return (top + place, left + line) if turned else (top + line, left + place)

    line = _headings(sheet, fields, at, grouped=grouped, merged=not turned and rng.random() < 0.6)
    for number, recipe in enumerate(recipes):
        if not turned and maker.sections and number and rng.random() < 0.3:
            sheet.put(*at(line, 0), rng.choice(data.words(maker.words.language)["section"]))
            line += 1
        _row(sheet, fields, recipe, lambda place, line=line: at(line, place), by_formula=bool(maker.author % 2))
        line += 2 if rng.random() < maker.blank_rows else 1
    return line


def _row(
    sheet: Sheet, fields: Sequence[Field], recipe: Recipe, at: Callable[[int], tuple[int, int]], *, by_formula: bool
) -> None:
    """Write one recipe; its total as a formula where the maker uses them and the sum is that of the cells."""
    summed: dict[str, float] = {}
    for place, field in enumerate(fields):
        cell = at(place)
        value, indices = field.entry(recipe)
        is_number = isinstance(value, int | float)
        sheet.put(*cell, value)
        for index in indices:
            sheet.stands(*cell, recipe, index)
            if recipe.amounts[index].role == "fat" and is_number:
                summed[xl_rowcol_to_cell(*cell)] = value
        if field.shown and is_number:
            sheet.formats[cell] = field.shown
        if field.sums and by_formula and is_number and math.isclose(sum(summed.values()), value):
            sheet.formulas[cell] = "=" + "+".join(summed)
    sheet.recipes.append(recipe)


def _headings(sheet: Sheet, fields: Sequence[Field], at: At, *, grouped: bool, merged: bool) -> int:
    """Write the heading lines; return the first line below them."""
    if grouped:
        starts = [i for i, field in enumerate(fields) if i == 0 or field.group != fields[i - 1].group]
        for start, end in pairwise([*starts, len(fields)]):
            sheet.put(*at(0, start), fields[start].group)
            if merged and fields[start].group:
                sheet.merge(*at(0, start), *at(0, end - 1))
    for place, field in enumerate(fields):
        sheet.put(*at(int(grouped), place), field.heading)
    return 1 + int(grouped)
