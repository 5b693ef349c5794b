"""Lanes: columns in which ingredients stand below each other, with their amounts beside them or in the same cell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sheetcheck.reading.amounts.texts import amount_only, is_amount, split_name_and_amount
from sheetcheck.reading.cards.one_cell import is_group_label, is_step, lye_beside_title, weighed_in
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.tables.table import INGREDIENT_ROLES
from sheetcheck.reading.units.units import read_unit
from sheetcheck.workbook.grid import Cell, Kind

_LONGEST_NAME = 50
_ENOUGH_LINES = 2
_MORE_NUMBERS = 4  # times the names: a column holds amounts, and a soap called like an ingredient stands over them
_FAR_FEWER = 15  # times fewer names than the longest lane has
_LONG, _SAMPLE = 3000, 500
_CROWD, _LEAST_KNOWN = 30, 0.1  # of the names in a list longer than this, so many are ingredients

Rows = Mapping[int, Sequence[Cell]]


@dataclass(frozen=True, slots=True)
class Lane:
    """A column of ingredient names and the columns that go with it."""

    name_column: int
    first_column: int
    last_column: int
    first_row: int
    last_row: int
    ingredients: int  # how many names in it are known


def is_ingredient(sheet: Sheet, cell: Cell) -> bool:
    """Tell whether a text names a fat, alkali, liquid or acid."""
    if cell.kind is not Kind.TEXT or len(cell.text) > _LONGEST_NAME or amount_only(cell.text) or read_unit(cell.text):
        return False
    if cell.text.startswith("(") and cell.text.endswith(")"):
        return False  # a remark: `(water : lye)`
    name = sheet.words.name(cell.text)
    if name.kind in INGREDIENT_ROLES and name.certainty in ("exact", "read as"):
        return True
    return sheet.words.heading(cell.text).role in ("alkali", "liquid", "fat")  # `Water g`, `Lye (NaOH), oz`


def find_lanes(sheet: Sheet, rows: Rows) -> list[Lane]:
    """Find the lanes of a sheet, left to right."""
    if len(rows) > _LONG and not any(is_ingredient(sheet, c) for r in list(rows)[:_SAMPLE] for c in rows[r]):
        return []  # a long list of something else
    named: dict[int, list[int]] = {}
    sides: dict[int, Counter[str]] = {}
    for row, cells in rows.items():
        for column, side in _weighed(sheet, cells):
            named.setdefault(column, []).append(row)
            sides.setdefault(column, Counter())[side] += 1
    numbers = Counter(c.column for cells in rows.values() for c in cells if c.kind is Kind.NUMBER)
    few = max(map(len, named.values()), default=0) / _FAR_FEWER  # what is weighed in remarks beside a list
    columns = {
        c
        for c, found in named.items()
        if len(found) >= max(_ENOUGH_LINES, few, numbers[c] / _MORE_NUMBERS) and not _is_of_else(rows, c, len(found))
    }
    for column, found in _blank_forms(sheet, rows).items():
        if columns and column not in columns:
            named[column], sides[column] = found, Counter(right=1)
            columns.add(column)
    in_order = sorted(columns)
    return _with_bounds(rows, in_order, named, {c: sides[c].most_common(1)[0][0] for c in in_order})


def _is_of_else(rows: Rows, column: int, known: int) -> bool:
    """Tell whether the ingredients of a long list drown in other names with numbers: a list of substances, of towns."""
    named = [
        cells
        for cells in rows.values()
        if len(cells) > 1 and any(c.column == column and c.kind is Kind.TEXT for c in cells)
    ]
    if len(named) <= max(_CROWD, known / _LEAST_KNOWN):
        return False
    return sum(any(is_amount(c) for c in cells if c.column != column) for cells in named) > known / _LEAST_KNOWN


def _weighed(sheet: Sheet, cells: Sequence[Cell]) -> Iterator[tuple[int, str]]:
    """Yield each ingredient of a row that has an amount: its column, and on which side of it the amount stands.

    What is named behind a label (`Fats: | olive 500 g, coconut 300 g`) stands in the label's column, its amount right.
    """
    step = len(cells) == 2 and is_step(cells[0])
    alone = step or len(cells) == 1
    if len(cells) <= 2 and cells[-1].kind is Kind.TEXT and (parts := weighed_in(cells[-1].text, alone=alone)):
        labelled = step or (len(cells) == 2 and is_group_label(cells[0]))
        if labelled or len(cells) == 1:
            yield from [(cells[0].column, "right" if labelled else "same")] * len(parts)
            return
    if lye_beside_title(cells):
        return
    for i, cell in enumerate(cells):
        if i and _says_it_again(sheet, cells[i - 1], cell):
            continue  # `Olive oil | Olea europaea | 500`: a second name for what the first one names
        if is_ingredient(sheet, cell) and (side := _side_of_amount(sheet, cells, i)):
            labelled = side == "same" and i == 1 and len(cells) == 2 and is_group_label(cells[0])
            yield (cells[0].column, "right") if labelled else (cell.column, side)


def _says_it_again(sheet: Sheet, before: Cell, cell: Cell) -> bool:
    """Tell whether a text names what the text left of it names already."""
    if before.kind is not Kind.TEXT or cell.kind is not Kind.TEXT or not is_ingredient(sheet, before):
        return False
    one, other = sheet.words.name(before.text), sheet.words.name(cell.text)
    return one.substance is not None and one.substance == other.substance


def _blank_forms(sheet: Sheet, rows: Rows) -> dict[int, list[int]]:
    """Return columns in which names of ingredients, lye among them, wait for amounts: cards still to be filled in."""
    named: dict[int, list[int]] = {}
    alkali: set[int] = set()
    for row, cells in rows.items():
        last = next((i for i in range(len(cells) - 1, -1, -1) if is_amount(cells[i])), 0)
        for cell in cells[last:]:
            if is_ingredient(sheet, cell):
                named.setdefault(cell.column, []).append(row)
                if sheet.words.name(cell.text).kind == "alkali":
                    alkali.add(cell.column)
    return {c: found for c, found in named.items() if c in alkali and len(found) >= _ENOUGH_LINES}


def _side_of_amount(sheet: Sheet, cells: Sequence[Cell], place: int) -> str | None:
    """Tell on which side of a name its amount stands; an amount between two names belongs to the first."""
    if split_name_and_amount(cells[place].text):
        return None if _names_what_is_weighed_beside(sheet, cells, place) else "same"
    before = _amount_before(cells, place)
    after = next((i for i in range(place + 1, min(place + 3, len(cells))) if _may_weigh(cells[i])), None)
    if after is not None and any(is_ingredient(sheet, c) for c in cells[place + 1 : after]):
        after = None
    if before is not None and (after is None or _amounts_lead(sheet, cells)):
        claimed = before > 0 and is_ingredient(sheet, cells[before - 1]) and not _amounts_lead(sheet, cells)
        return None if claimed else "left"
    return "right" if after is not None else None


def _may_weigh(cell: Cell) -> bool:
    return cell.kind is not Kind.DATE and is_amount(cell)


def _names_what_is_weighed_beside(sheet: Sheet, cells: Sequence[Cell], place: int) -> bool:
    """Tell whether a text like `Castile 12` names the recipe of an ingredient that stands beside it with its amount."""
    beside = [i for i in range(place + 1, len(cells) - 1) if is_ingredient(sheet, cells[i])]
    return any(is_amount(cells[i + 1]) and not split_name_and_amount(cells[i].text) for i in beside)


def _amount_before(cells: Sequence[Cell], place: int) -> int | None:
    """Return the place of the amount right before a name, or before the unit that stands between."""
    for i in (place - 1, place - 2):
        if i >= 0 and _may_weigh(cells[i]):
            return i
        if i < 0 or read_unit(cells[i].text) is None:
            break
    return None


def _amounts_lead(sheet: Sheet, cells: Sequence[Cell]) -> bool:
    """Tell whether every name of a row has its amount before it (`24 | Olive | 16 | Tallow`)."""
    names = [i for i, c in enumerate(cells) if is_ingredient(sheet, c)]
    return all(_amount_before(cells, i) is not None for i in names)


def _with_bounds(
    rows: Rows, columns: Sequence[int], named: Mapping[int, Sequence[int]], side: Mapping[int, str]
) -> list[Lane]:
    used = {c.column for cells in rows.values() for c in cells}
    lanes: list[Lane] = []
    for i, column in enumerate(columns):
        following = columns[i + 1] if i + 1 < len(columns) else max(used) + 1
        start = column if side[column] != "left" else (lanes[-1].last_column if lanes else 0) + 1
        if side[column] != "left" and not lanes:
            start = _start_of_titles(rows, column)
        if side[column] == "left":
            start = max(start, _start_of_amounts(rows, named[column], column, start))
        end = following - 1
        if i + 1 < len(columns) and side[following] == "left":
            end = min(end, _start_of_amounts(rows, named[following], following, column + 1) - 1)
        lanes.append(Lane(column, start, end, min(named[column]), max(named[column]), len(named[column])))
    return lanes


def _start_of_titles(rows: Rows, column: int) -> int:
    """Return the first column left of the names from which on nothing stands but titles: texts alone in their rows."""
    lone = {cells[0].column for cells in rows.values() if len(cells) == 1 and cells[0].kind is Kind.TEXT}
    others = {c.column for cells in rows.values() if len(cells) > 1 for c in cells}
    start = column
    while start > 1 and start - 1 not in others and (start - 1 in lone or start - 2 in lone):
        start -= 1
    return start if start in lone else column


def _start_of_amounts(rows: Rows, lines: Sequence[int], column: int, least: int) -> int:
    """Return the first column of the amounts that stand left of a column of names."""
    starts: Counter[int] = Counter()
    for row in lines:
        left = [c.column for c in rows[row] if least <= c.column < column and is_amount(c)]
        if left:
            starts[max(left)] += 1
    return starts.most_common(1)[0][0] if starts else least
