"""What the rest of a row asks for, as a range in the maker's own unit: the second line of an explanation."""

from __future__ import annotations

import numpy as np

from sheetcheck.repairs.entries import ALKALI, DEMAND, FAT, LIQUID
from sheetcheck.repairs.row import Cell, Row
from sheetcheck.repairs.row_search import Reading
from sheetcheck.rules.support.wording import mass
from sheetcheck.words import tr

_SPREADS = 2.0
_OFTEN = 0.08  # share of the rows from which what they aim at is in the range
_USUAL = 2.0  # standard deviations about the sizes of batches that are called usual


def needs(row: Row, reading: Reading) -> str:
    """Say what the cells that a reading changes ought to hold, by all that it leaves alone."""
    cells = [row.cells[edit.entry] for edit in reading.slip.edits]
    lye = [cell for cell in cells if cell.role == ALKALI]
    fats = [cell for cell in cells if cell.role == FAT]
    if reading.slip.kind == "missing" or (fats and reading.slip.kind == "twice"):
        return _of_fats(row)
    if lye and fats:
        return _of_batch(row, reading)
    if lye:
        return _of_lye(row, lye)
    if len(fats) == 1 and reading.slip.edits[0].substance is None:
        return _range(_fat(row, fats[0]), fats[0].unit)
    if fats:
        return _of_fats(row)
    return _range(_liquid(row, cells[0]), cells[0].unit) if cells and cells[0].role == LIQUID else ""


def _range(span: tuple[float, float] | None, unit: str) -> str:
    if span is None or not 0 < span[0] < span[1]:
        return ""
    return tr("The rest of the row asks for {least} to {most}.", least=mass(span[0], unit), most=mass(span[1], unit))


def aims(row: Row) -> tuple[float, float] | None:
    """Return the least and most that lye over demand probably aims at, as logarithms."""
    found = _usual(row.lye_aims())
    if not found:
        return None
    width = _SPREADS * float(np.hypot(row.habits.spread, row.context.lye_rounding)) + 0.01
    return min(found) - width, max(found) + width


def _usual(aims: list[tuple[float, float]]) -> list[float]:
    """Return the aims that many rows share, or else the commonest."""
    return [aim for aim, share in aims if share >= _OFTEN] or [aim for aim, _ in aims[:1]]


def _of_lye(row: Row, lye: list[Cell]) -> str:
    """Say how much lye the fats ask for; pounds and ounces in two cells are one amount."""
    span = aims(row)
    if span is None or not (row.demand > 0 and row.pure > 0):
        return ""
    grams = sum(cell.grams for cell in lye)
    pure = sum(cell.grams * float(row.per_gram[cell.entry, 1]) for cell in lye)
    rest = row.pure - pure
    each = grams / pure
    low, high = (max(row.demand * float(np.exp(aim)) - rest, 0.0) * each for aim in span)
    unit = "lb oz" if len({cell.unit for cell in lye}) > 1 else lye[0].unit
    return _range((low, high), unit)


def _fat(row: Row, fat: Cell) -> tuple[float, float] | None:
    span, each = aims(row), float(row.per_gram[fat.entry, DEMAND])
    if span is None or not (each > 0 and row.pure > 0):
        return None
    low, high = (row.pure / float(np.exp(aim)) - row.demand for aim in (span[1], span[0]))
    return max(fat.grams + low / each, 0.01 * fat.grams), fat.grams + high / each


def _liquid(row: Row, wet: Cell) -> tuple[float, float] | None:
    wanted = _usual(row.water_aims())
    rest = row.wet - wet.grams
    return (min(wanted) * 0.97 - rest, max(wanted) * 1.03 - rest) if wanted else None


def _of_fats(row: Row) -> str:
    """Say which demand the lye was made for: for more fats than one, or another fat."""
    span = aims(row)
    if span is None or not row.pure > 0:
        return ""
    unit = row.lye[0].unit if row.lye else row.cells[0].unit
    low, high = (row.pure / float(np.exp(aim)) for aim in (span[1], span[0]))
    return tr(
        "The lye is right for fats that take up {least} to {most} of sodium hydroxide; "
        "as written they take up {demand}.",
        least=mass(low, unit),
        most=mass(high, unit),
        demand=mass(row.demand, unit),
    )


def _of_batch(row: Row, reading: Reading) -> str:
    """Say what size of batch is usual, where fats and lye change together."""
    sizes = [size for size, _ in row.habits.batch.modes(4, 0.04)]
    if not sizes:
        return ""
    unit = reading.slip.edits[0].unit
    width = _USUAL * row.habits.batch.width
    return tr(
        "The batches of this book are of {least} to {most} of fats; as written it would be {here}.",
        least=mass(float(np.exp(min(sizes) - width)), unit),
        most=mass(float(np.exp(max(sizes) + width)), unit),
        here=mass(row.fat, unit),
    )
