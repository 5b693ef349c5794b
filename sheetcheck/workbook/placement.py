"""Where result columns go: right of all that stands in their rows, and out of the way of everything else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sheetcheck.model import ResultColumns
from sheetcheck.workbook.ranges import LAST_COLUMN, Area
from sheetcheck.workbook.results import width_of
from sheetcheck.workbook.sheet_facts import SheetFacts

_SHARED_SHIFT = 8  # columns that a table's results may stand further right to line up with those of the others


@dataclass(frozen=True, slots=True)
class Place:
    """Rows and number of columns that one block of results takes up."""

    first_row: int
    last_row: int
    width: int


def place_of(block: ResultColumns) -> Place:
    """Return what a block takes up."""
    rows = [block.heading_row, *block.values]
    return Place(min(rows), max(rows), max(width_of(block), 1))


def first_columns(facts: SheetFacts, blocks: Sequence[ResultColumns], summed: Iterable[Area] = ()) -> list[int | None]:
    """Return the first column of each block of one sheet, None where there is no place for it.

    Parameters
    ----------
    facts
        What is known of the sheet.
    blocks
        The results that go there.
    summed
        Ranges that formulas of other sheets take in.
    """
    places = [place_of(block) for block in blocks]
    areas = [*facts.summed, *summed]
    shared = _shared(facts, places, areas)
    if shared is not None:
        return [shared] * len(places)
    found: list[int | None] = []
    taken: list[Area] = []
    for place in places:
        column = _first_column(facts, [place], areas, taken)
        found.append(column)
        if column is not None:
            taken.append(Area(place.first_row, column, place.last_row, column + place.width - 1))
    return found


def _shared(facts: SheetFacts, places: Sequence[Place], summed: Sequence[Area]) -> int | None:
    in_order = sorted(places, key=lambda p: p.first_row)
    if any(above.last_row >= below.first_row for above, below in pairwise(in_order)):
        return None
    alone = [_first_column(facts, [place], summed, ()) for place in places]
    together = _first_column(facts, places, summed, ())
    if together is None or any(column is None or together - column > _SHARED_SHIFT for column in alone):
        return None
    return together


def _first_column(
    facts: SheetFacts, places: Sequence[Place], summed: Sequence[Area], taken: Sequence[Area]
) -> int | None:
    width = max(place.width for place in places)
    used = max(facts.last_used(place.first_row, place.last_row) for place in places)
    column = used + 2
    blocked = sorted(_blocked(facts, places, [*summed], taken))
    moved = True
    while moved:
        moved = False
        for first, last in blocked:
            if first < column + width and column <= last:
                column, moved = last + 1, True
    return column if column + width - 1 <= LAST_COLUMN else None


def _blocked(
    facts: SheetFacts, places: Sequence[Place], summed: Sequence[Area], taken: Sequence[Area]
) -> Iterator[tuple[int, int]]:
    """First and last columns that may not be touched in the rows of the places."""

    def concerned(areas: Iterable[Area]) -> Iterator[Area]:
        return (a for a in areas if any(a.meets_rows(p.first_row, p.last_row) for p in places))

    for area in concerned((*facts.tables, *taken)):
        yield area.first_column - 1, area.last_column + 1
    for area in concerned((*facts.merges, *facts.drawings, *summed)):
        yield area.first_column, area.last_column
    for span in facts.columns:
        if span.hidden:
            yield span.first, span.last
