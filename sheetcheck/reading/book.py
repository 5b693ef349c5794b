"""A workbook understood: every sheet given to the layouts, and what they found made into frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sheetcheck import faults
from sheetcheck.model import Book, NotUnderstood, SheetReading, ShortForm, address
from sheetcheck.reading import beyond_weighing, no_totals, purity_said, said_elsewhere, settings_sheet
from sheetcheck.reading.acids_said import count_acids_said
from sheetcheck.reading.arrangements import Opened, Way, read_sheet
from sheetcheck.reading.assemble import (
    Findings,
    components_frame,
    recipes_frame,
    statements_frame,
    without_bulk,
)
from sheetcheck.reading.names.legends import find_legend
from sheetcheck.reading.passed_over import list_passed_over
from sheetcheck.reading.recipe_names import settle_names
from sheetcheck.reading.sheet import Sheet, Words, decimal_style, name_unit
from sheetcheck.reading.stated_again import keep_second_readings, take_shares_of_liquid
from sheetcheck.reading.tables import percent_recipes
from sheetcheck.reading.units.evidence import Guess, fill_in
from sheetcheck.reading.units.own_measures import with_own_measures
from sheetcheck.reading.weighing.alone import settle_alone
from sheetcheck.reading.weighing.settle import Settled, settle
from sheetcheck.reading.yields import without_counts
from sheetcheck.settings import Settings
from sheetcheck.words import Sentence, tr
from sheetcheck.work import SHEET, work
from sheetcheck.workbook.grid import Grid, Kind, Workbook

if TYPE_CHECKING:
    import pandas as pd


def read_book(workbook: Workbook, settings: Settings, *, weighed: bool = True) -> Book:
    """Understand a workbook: recipes, their amounts, what the sheets say of them, and what was not understood."""
    return gather(workbook, settings, weighed=weighed).book()


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
    weighed: bool = True
    texts: frozenset[str] = frozenset()  # of its cells, so many

    def book(self) -> Book:
        """Make frames of what was found; it can be done once."""
        found = self.found
        numbers = found.reading_order()
        components, statements = components_frame(found, numbers), statements_frame(found, numbers)
        unit_groups, unit = found.unit_group_of(numbers), self.settings.default_unit
        guesses = fill_in(components, statements, unit_groups, unit, self.said_unit)
        statements = percent_recipes.fill_in(components, statements)
        components, statements = take_shares_of_liquid(components, statements)
        beyond_weighing.take_out(components, statements)
        keep_second_readings(components, statements)
        without_counts(statements)
        explained = {form.short: form.meaning for form in self.short_forms} | dict(self.settings.names)
        settled = (
            settle(components, statements, explained, self.texts) if self.weighed else Settled(components, statements)
        )
        alone = settle_alone(settled.components, settled.statements, explained)
        components = alone.components
        statements, no_sums = no_totals.leave_out(components, settled.statements)
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
            assumed=(*settled.assumed, *alone.assumed),
            questions=(*settled.questions, *alone.questions),
            account=tuple(found.accounts),
            notices=(*(n.said() if isinstance(n, Sentence) else n for n in self.notices), *found.notices, *no_sums),
        )


_TELLING = 2000  # texts of a sheet that tell the languages of its maker


def gather(workbook: Workbook, settings: Settings, *, weighed: bool = True) -> Gathered:
    """Go through all sheets of a workbook; `weighed` tries all ways of reading and settles doubtful words."""
    of_settings = settings_sheet.find(workbook)
    workbook = with_own_measures(workbook, settings.units)
    grids = [g for g in workbook.grids if of_settings is None or g.name != of_settings.name]
    found = Findings([g.name for g in grids])
    legend = find_legend(grids)
    own_names = legend.names | dict(settings.names)
    words = {loose: Words(own_names, loose) for loose in (False, True)}
    decimals = decimal_style(grids)
    for number, grid in enumerate(grids):

        def opened(apart: Findings, part: Grid, way: Way, number: int = number) -> Sheet:
            sheet = Sheet(part, number, settings, words[way.loose], decimals, apart, bold=way.bold)
            sheet.notes.title = name_unit(part.name) or said_elsewhere.unit_in_notes(part)
            for row, column in legend.cells.get(part.name, ()):
                sheet.take(row, column, row, column)
            return sheet

        first = len(found.drafts)
        if _wanted(grid.name, settings):
            sheet, why_not = _read_or_pass_over(opened, grid, found, weighed=weighed)
            if sheet is not None:
                count_acids_said(sheet, first)
                list_passed_over(sheet, first)
        else:
            sheet, why_not = None, tr("left out in the settings")
        if sheet is None:
            sheet = Sheet(grid, number, settings, words[False], decimals, found)
            sheet.report("no recipe", (why_not,))
        found.sheets.extend(sheet.readings)
    if weighed:
        settle_names(grids, found)
    said_elsewhere.settle(grids, found)
    purity_said.settle(grids, found)
    said = said_elsewhere.unit_for_the_book(grids, found)
    texts = frozenset(text for grid in grids for text in set(grid.text[grid.kind == Kind.TEXT][:_TELLING].tolist()))
    notices = workbook.notices
    return Gathered(workbook.name, workbook.sha256, notices, settings, found, said, legend.forms, weighed, texts)


def _wanted(name: str, settings: Settings) -> bool:
    return name not in settings.leave_out_sheets and (not settings.only_sheets or name in settings.only_sheets)


def _read_or_pass_over(opened: Opened, grid: Grid, found: Findings, *, weighed: bool) -> tuple[Sheet | None, str]:
    """Read a sheet while there is work left for it; one that fails costs itself. Else say why it was not read."""
    if not work().afford(SHEET):
        said = tr("“{sheet}” is not read: there was no work left for it.", sheet=grid.name)
        work().leave_undone(said)
        return None, said
    said = tr("“{sheet}” is not read, because of a fault of sheetcheck itself.", sheet=grid.name)
    with faults.part("reading of one sheet", said):
        return read_sheet(opened, grid, found, weighed=weighed), ""
    return None, said


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
