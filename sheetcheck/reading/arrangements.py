"""How a sheet may be laid out: every way of reading proposes recipes; the one that makes most sense as soap is taken.

A way is a sequence of layouts, the first of which sees the whole sheet and the later ones what it left; with the
words as the tables have them, or with doubtful words taken for what they most likely are; of the sheet as one, or of
each band of columns between blank ones by itself; with the sheet's own word on what it holds, or against it. Each is
tried on findings of its own, so that none keeps cells from another. What decides is `reading/weighing`: the nats of
the whole.

A new layout is one file in `layouts/` and one line of `LAYOUTS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sheetcheck.reading import own_values
from sheetcheck.reading.assemble import Findings
from sheetcheck.reading.layouts import (
    cards,
    ingredients_down,
    not_recipes,
    one_ingredient_per_row,
    one_per_row,
    one_sheet_per_recipe,
    recipe_in_a_cell,
)
from sheetcheck.reading.layouts.not_recipes import LAYOUT as NO_RECIPE
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.weighing.worth import Worth, worth_of
from sheetcheck.words import later, number, tr
from sheetcheck.work import FREE_CELL, work
from sheetcheck.workbook.grid import Grid, Kind

Layout = Callable[[Sheet], None]

LAYOUTS: tuple[Layout, ...] = (
    one_per_row.read,
    ingredients_down.read,
    recipe_in_a_cell.read,
    one_ingredient_per_row.read,
    cards.read,
    one_sheet_per_recipe.read,
)
_LARGE = 20_000  # cells from which a sheet is read in the first way alone: a page that a hand keeps has fewer
_CLEARLY = 3.0  # nats by which a way of reading must be better than an earlier one
_AGAINST_ITS_WORD = 4.0  # … and than nothing, where the sheet says that it holds no recipes
_GOODS = later("fats and lye without a liquid, in amounts that make no soap: it is taken for a list of goods")


@dataclass(frozen=True, slots=True)
class Way:
    """One way of reading a sheet."""

    layouts: Sequence[Layout]
    loose: bool = False
    bold: bool = False
    banded: bool = False


Opened = Callable[[Findings, Grid, Way], Sheet]


def ways() -> Iterator[Way]:
    """Yield the ways of reading a sheet, the plainest first."""
    for bold in (False, True):
        for loose in (False, True):
            for banded in (False, True):
                yield Way(LAYOUTS, loose, bold, banded)
            for first in LAYOUTS[1:]:
                yield Way((first, *(other for other in LAYOUTS if other is not first)), loose, bold)


def read_sheet(opened: Opened, grid: Grid, whole: Findings, *, weighed: bool) -> Sheet:
    """Read a sheet in the way that makes most sense, and add what was found to that of the book.

    Parameters
    ----------
    opened
        Makes a sheet of a grid, with its legend taken, for one way of reading.
    weighed
        Whether all ways are tried; else the first one is taken.
    """
    only_first = not weighed or len(grid.row) > _LARGE
    best: tuple[Worth, Sheet, Findings] | None = None
    seen: set[int] = set()
    kept_back = False
    for way in ways():
        if way.bold and not kept_back:
            break  # no word on the sheet was against it
        read = _read(opened, grid, way, whole)
        if read is None:
            continue
        sheet, found = read
        kept_back = kept_back or sheet.kept_back
        if only_first:
            best = Worth(), sheet, found
            break
        if (what := _fingerprint(found)) in seen:
            continue  # another way to the same recipes
        seen.add(what)
        worth = worth_of(found, sheet)
        if way.bold and worth.whole * 2 < worth.recipes:
            continue  # fats and lye without water: a list of prices or stock, as it says
        if best is None or worth.better_than(best[0], _CLEARLY + (_AGAINST_ITS_WORD if way.bold else 0.0)):
            best = worth, sheet, found
        if best[0].nothing_left or not (worth.may_be_better or way.bold or not way.loose):
            break
    assert best is not None  # noqa: S101 - there is a first way
    worth, sheet, found = best
    if worth.like_goods:
        found = Findings(whole.sheet_names)
        sheet = opened(found, grid, Way(()))
        not_recipes.leave(sheet, grid.at(0), tr(_GOODS), (int(grid.row[0]), 1, grid.last_row, int(grid.column.max())))
    sheet.found = whole
    whole.take_in(found)
    return sheet


def _headed_by_names(grid: Grid, sheet: Sheet) -> list[int]:
    """Return the columns with a heading for the names of recipes, a column of lye left of each and one right of it.

    With each of them a table of its own begins.
    """
    if len(grid.row) > _LARGE:
        return []
    at = np.flatnonzero(grid.kind == Kind.TEXT).tolist()
    said = {(int(grid.column[i]), sheet.words.heading(str(grid.text[i])).role) for i in at}
    lye = [column for column, role in said if role == "alkali"]
    starts: list[int] = []
    for column in sorted(column for column, role in said if role == "recipe"):
        before = starts[-1] if starts else 0
        if any(before <= c < column for c in lye) and max(lye) > column:
            starts.append(column)
    return starts


def _fingerprint(found: Findings) -> int:
    """Return a number that tells what was found: two ways that find the same recipes have the same."""
    amounts = tuple((c.recipe, c.row, c.column, c.name, c.role, c.substance, c.unit) for c in found.components)
    blocks = tuple(
        (b["row"].tobytes(), b["column"].tobytes(), b["recipe"].tobytes(), str(b.get("substance")), str(b.get("role")))
        for b in found.component_blocks
    )
    stated = tuple((s.recipe, s.row, s.column, s.kind) for s in found.statements)
    return hash((tuple((d.name, d.row, d.column) for d in found.drafts), amounts, blocks, stated))


def _read(opened: Opened, grid: Grid, way: Way, whole: Findings) -> tuple[Sheet, Findings] | None:
    """Read a sheet in one way, into findings of its own; None where that is a way tried before."""
    found = Findings(whole.sheet_names)
    sheet = opened(found, grid, way)
    parts = list(_bands(grid, sheet)) if way.banded else []
    if way.banded and len(parts) < 2:
        return None  # the sheet as one
    own_values.read(sheet)
    for part in parts:
        band, inside = opened(found, part, way), np.isin(grid.column, np.unique(part.column))
        band.taken[:] = sheet.taken[inside]
        for layout in way.layouts:
            layout(band)
        sheet.readings += band.readings
        sheet.explained += band.explained
        sheet.kept_back = sheet.kept_back or band.kept_back
        sheet.taken[inside] |= band.taken
    for place, layout in enumerate(way.layouts):
        if place and not _worth_looking_through(sheet):
            break
        layout(sheet)
        if not place and layout is not LAYOUTS[0] and not found.drafts:
            return None  # it would come first and finds nothing: the others, in their order
    not_recipes.read(sheet)
    if any(reading.layout != NO_RECIPE for reading in sheet.readings) and parts:
        sheet.says_what_it_is = False
    return sheet, found


def _worth_looking_through(sheet: Sheet) -> bool:
    """Tell whether there is work for what the first layout has left; say so where there is not."""
    left = int(np.count_nonzero(~sheet.taken))
    if left <= _LARGE or work().may_ever(FREE_CELL * left):
        return True
    work().leave_undone(
        tr(
            "On “{sheet}” {cells} cells stand outside of tables; so many are not looked through.",
            sheet=sheet.name,
            cells=number(left, 0),
        )
    )
    return False


def _bands(grid: Grid, sheet: Sheet) -> Iterator[Grid]:
    """Yield the columns of a grid that stand together: up to a blank one, or to one that is headed by names again."""
    used = np.unique(grid.column)
    if not len(used):
        return
    starts = np.isin(used, _headed_by_names(grid, sheet)) | np.append(False, np.diff(used) > 1)
    for columns in np.split(used, np.flatnonzero(starts[1:]) + 1):
        at = np.flatnonzero(np.isin(grid.column, columns))
        first, last = int(columns[0]), int(columns[-1])
        yield replace(
            grid,
            row=grid.row[at],
            column=grid.column[at],
            kind=grid.kind[at],
            number=grid.number[at],
            text=grid.text[at],
            style=grid.style[at],
            formulas={place: f for place, f in grid.formulas.items() if first <= place[1] <= last},
            merges=tuple(m for m in grid.merges if first <= m[1] <= last),
        )
