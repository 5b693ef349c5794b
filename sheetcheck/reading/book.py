"""A workbook understood: every sheet given to the layouts, and what they found made into frames."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sheetcheck import faults
from sheetcheck.model import Book, NotUnderstood, SheetReading, ShortForm, address
from sheetcheck.reading import own_values, said_elsewhere, settings_sheet
from sheetcheck.reading.assemble import (
    Findings,
    components_frame,
    recipes_frame,
    statements_frame,
    without_bulk,
)
from sheetcheck.reading.layouts import (
    cards,
    ingredients_down,
    not_recipes,
    one_ingredient_per_row,
    one_per_row,
    one_sheet_per_recipe,
    recipe_in_a_cell,
)
from sheetcheck.reading.names.legends import find_legend
from sheetcheck.reading.passed_over import list_passed_over
from sheetcheck.reading.sheet import Sheet, Words, decimal_style, name_unit
from sheetcheck.reading.stated_again import keep_second_readings
from sheetcheck.reading.tables import percent_recipes
from sheetcheck.reading.units.evidence import Guess, fill_in
from sheetcheck.settings import Settings
from sheetcheck.words import Sentence, tr
from sheetcheck.work import SHEET, work
from sheetcheck.workbook.grid import Workbook

if TYPE_CHECKING:
    import pandas as pd

LAYOUTS: tuple[Callable[[Sheet], None], ...] = (
    own_values.read,
    one_per_row.read,
    ingredients_down.read,
    recipe_in_a_cell.read,
    one_ingredient_per_row.read,
    cards.read,
    one_sheet_per_recipe.read,
    not_recipes.read,
)


def read_book(workbook: Workbook, settings: Settings) -> Book:
    """Understand a workbook: recipes, their amounts, what the sheets say of them, and what was not understood."""
    return gather(workbook, settings).book()


@dataclass(frozen=True)
class Gathered:
    """All that was found in a workbook, which is no longer needed: of a large one only this stays in memory."""

    name: str
    sha256: str
    notices: tuple[str, ...]
    settings: Settings
    found: Findings
    said_unit: Guess | None
    short_forms: tuple[ShortForm, ...]

    def book(self) -> Book:
        """Make frames of what was found; it can be done once."""
        found = self.found
        numbers = found.reading_order()
        components, statements = components_frame(found, numbers), statements_frame(found, numbers)
        unit_groups, unit = found.unit_group_of(numbers), self.settings.default_unit
        guesses = fill_in(components, statements, unit_groups, unit, self.said_unit)
        statements = percent_recipes.fill_in(components, statements)
        keep_second_readings(components, statements)
        return Book(
            name=self.name,
            sha256=self.sha256,
            components=without_bulk(components),
            recipes=recipes_frame(found, numbers, components, statements),
            statements=without_bulk(statements),
            sheets=tuple(_with_guess(reading, guesses) for reading in found.sheets),
            not_understood=(*found.not_understood, *_unread(components)),
            own_values=tuple(found.own_values),
            short_forms=self.short_forms,
            notices=(*(n.said() if isinstance(n, Sentence) else n for n in self.notices), *found.notices),
        )


def gather(workbook: Workbook, settings: Settings) -> Gathered:
    """Go through all sheets of a workbook."""
    of_settings = settings_sheet.find(workbook)
    grids = [g for g in workbook.grids if g is not of_settings]
    found = Findings([g.name for g in grids])
    legend = find_legend(grids)
    words = Words(legend.names | dict(settings.names))
    decimals = decimal_style(grids)
    for number, grid in enumerate(grids):
        sheet = Sheet(grid, number, settings, words, decimals, found)
        sheet.notes.title = name_unit(grid.name) or said_elsewhere.unit_in_notes(grid)
        for row, column in legend.cells.get(grid.name, ()):
            sheet.take(row, column, row, column)
        if _wanted(grid.name, settings):
            _read_or_pass_over(sheet)
        else:
            sheet.report("no recipe", (tr("left out in the settings"),))
        found.sheets.extend(sheet.readings)
    said_elsewhere.settle(grids, found)
    said = said_elsewhere.unit_for_the_book(grids, found)
    return Gathered(workbook.name, workbook.sha256, workbook.notices, settings, found, said, legend.forms)


def _wanted(name: str, settings: Settings) -> bool:
    return name not in settings.leave_out_sheets and (not settings.only_sheets or name in settings.only_sheets)


def _read_or_pass_over(sheet: Sheet) -> None:
    """Read a sheet while there is work left for it; one that fails costs itself."""
    first = len(sheet.found.drafts)
    said = tr("“{sheet}” is not read: there was no work left for it.", sheet=sheet.name)
    if work().afford(SHEET):
        said = tr("“{sheet}” is not read, because of a fault of sheetcheck itself.", sheet=sheet.name)
        with faults.part(f"sheet {sheet.number + 1}", said):
            _read_sheet(sheet)
            list_passed_over(sheet, first)
            return
        del sheet.found.drafts[first:]
        sheet.readings.clear()
    else:
        work().leave_undone(said)
    sheet.report("no recipe", (said,))


def _read_sheet(sheet: Sheet) -> None:
    for layout in LAYOUTS:
        layout(sheet)


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
