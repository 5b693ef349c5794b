"""What of her book does not stand in the rescaled one as it does in hers: places not read, recipes in another shape."""

from __future__ import annotations

from sheetcheck.reading.layouts.one_sheet_per_recipe import LAYOUT as SHEET_EACH
from sheetcheck.reading.layouts.recipe_in_a_cell import LAYOUT as ONE_CELL
from sheetcheck.reading.text import clean
from sheetcheck.rescaling.rows import job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rules.support.wording import listed
from sheetcheck.words import tr

Told = list[tuple[str, str]]


def not_read(rescaled: Rescaled, *, among_recipes: bool = False) -> Told:
    """List what was not read and belongs to no recipe that is told of: its cell, what stands there and why.

    With `among_recipes` only what stands on a sheet that has recipes: it may be one.
    """
    book = rescaled.audit.book
    with_recipes = set(book.recipes["sheet"])
    found: dict[str, list[str]] = {}
    for left in book.not_understood:
        if left.recipe is None and (left.sheet in with_recipes or not among_recipes):
            found.setdefault(f"{left.sheet}!{left.cell}", [clean(left.what)]).append(left.why)
    return [
        (cell, tr("“{text}”: {why}", text=what, why="; ".join(dict.fromkeys(whys))))
        for cell, (what, *whys) in found.items()
    ]


def in_another_shape(rescaled: Rescaled) -> Told:
    """Say of which sheets the recipes do not stand as they do in her book: those that have a cell, or a sheet, each."""
    jobs = rescaled.jobs
    one_cell = dict.fromkeys(jobs.loc[jobs["layout"] == ONE_CELL, "sheet"])
    told = [(str(sheet), tr("each recipe has one cell in your book, and is a card here")) for sheet in one_cell]
    own_sheet = dict.fromkeys(jobs.loc[jobs["layout"] == SHEET_EACH, "sheet"])
    if own_sheet:
        said = tr("each recipe has a sheet of its own in your book; here they are cards on one sheet")
        told.append((listed([str(sheet) for sheet in own_sheet]), said))
    return told


def as_written(rescaled: Rescaled) -> Told:
    """Return recipes that have one cell in her book, as she wrote them: words that are no amount are kept there."""
    cells = rescaled.audit.book.cells
    told = {}
    for job in job_rows(rescaled.jobs[rescaled.jobs["layout"] == ONE_CELL]):
        line = rescaled.lines[rescaled.lines["recipe"] == job.Index].iloc[0]
        held = cells[job.sheet].held.get((int(line["row"]), int(line["column"]))) if job.sheet in cells else None
        if isinstance(held, str):
            told[job.own_name] = clean(held)
    return list(told.items())
