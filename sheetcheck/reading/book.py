"""A workbook understood: every sheet given to the layouts, and what they found made into frames."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from sheetcheck.model import Book, NotUnderstood, SheetReading, address
from sheetcheck.reading import own_values, percent_recipes, settings_sheet
from sheetcheck.reading.assemble import (
    Findings,
    components_frame,
    recipes_frame,
    statements_frame,
)
from sheetcheck.reading.layouts import (
    cards,
    ingredients_down,
    not_recipes,
    one_ingredient_per_row,
    one_per_row,
    one_sheet_per_recipe,
)
from sheetcheck.reading.sheet import Sheet, Words, decimal_style, name_unit
from sheetcheck.reading.unit_evidence import Guess, fill_in
from sheetcheck.settings import Settings
from sheetcheck.workbook.grid import Workbook

if TYPE_CHECKING:
    import pandas as pd

LAYOUTS: tuple[Callable[[Sheet], None], ...] = (
    own_values.read,
    one_per_row.read,
    ingredients_down.read,
    one_ingredient_per_row.read,
    cards.read,
    one_sheet_per_recipe.read,
    not_recipes.read,
)


def read_book(workbook: Workbook, settings: Settings) -> Book:
    """Understand a workbook: recipes, their amounts, what the sheets say of them, and what was not understood."""
    of_settings = settings_sheet.find(workbook)
    grids = [g for g in workbook.grids if g is not of_settings]
    found = Findings([g.name for g in grids])
    words = Words(settings.names)
    decimals = decimal_style(grids)
    for number, grid in enumerate(grids):
        sheet = Sheet(grid, number, settings, words, decimals, found)
        sheet.notes.title = name_unit(grid.name)
        if _wanted(grid.name, settings):
            _read_sheet(sheet)
        else:
            sheet.report("no recipe", ("left out in the settings",))
        found.sheets.extend(sheet.readings)
    return _book(workbook, found, settings)


def _wanted(name: str, settings: Settings) -> bool:
    return name not in settings.leave_out_sheets and (not settings.only_sheets or name in settings.only_sheets)


def _read_sheet(sheet: Sheet) -> None:
    for layout in LAYOUTS:
        layout(sheet)


def _book(workbook: Workbook, found: Findings, settings: Settings) -> Book:
    numbers = found.reading_order()
    components, statements = components_frame(found, numbers), statements_frame(found, numbers)
    guesses = fill_in(components, statements, found.unit_group_of(numbers), settings.default_unit)
    statements = percent_recipes.fill_in(components, statements)
    return Book(
        name=workbook.name,
        sha256=workbook.sha256,
        components=components,
        recipes=recipes_frame(found, numbers, components, statements),
        statements=statements,
        sheets=tuple(_with_guess(reading, guesses) for reading in found.sheets),
        not_understood=(*found.not_understood, *_unread(components)),
        own_values=tuple(found.own_values),
        notices=(*workbook.notices, *found.notices),
    )


def _with_guess(reading: SheetReading, guesses: Sequence[Guess]) -> SheetReading:
    """Say in the evidence of a sheet which unit was taken where it states none."""
    said = tuple(g.why for g in guesses if reading.recipes and reading.sheet in g.sheets)
    return replace(reading, evidence=(*reading.evidence, *said))


def _unread(components: pd.DataFrame) -> list[NotUnderstood]:
    """List every amount that was not read."""
    lost = components[components["problem"].notna()]
    columns = ("sheet", "row", "column", "name", "written", "problem", "recipe")
    return [
        NotUnderstood(sheet, address(row, column), f"{name}: {written}" if written else name, why, recipe)
        for sheet, row, column, name, written, why, recipe in zip(*(lost[c].tolist() for c in columns), strict=True)
    ]
