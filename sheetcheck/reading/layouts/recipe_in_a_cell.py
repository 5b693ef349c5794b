"""A whole recipe in one cell, listed or told: its name stands in the cell to the left or in its first line.

Or in one row, each cell an ingredient with its amount: the name is the cell without one. Evidence: a text, or the texts
of a row, that name a fat, a liquid and an alkali with amounts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sheetcheck.model import ColumnReading, column_letters
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.amounts.texts import is_amount, split_name_and_amount
from sheetcheck.reading.candidates import candidates
from sheetcheck.reading.cards.lines import Line, read_line
from sheetcheck.reading.cards.one_cell import several, told
from sheetcheck.reading.cards.recipe_lines import RecipeLines
from sheetcheck.reading.names.forms import BRACKET
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import words
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

LAYOUT = "a recipe in one cell"
_WHOLE, _FATS = frozenset({"fat", "alkali", "liquid"}), frozenset({"fat"})
_WORDS_OF_A_NAME = 5
_AMONG = 2  # recipes of a column among which another text with fats is one


@dataclass(frozen=True, slots=True)
class _Recipe:
    """One recipe: the cell that names it, the cell that holds it, its lines, what else stands in its row."""

    title: Cell
    cell: Cell
    lines: list[Line]
    beside: list[Cell]
    is_row: bool = False


def read(sheet: Sheet) -> None:
    """Read the cells of a sheet that hold a recipe each."""
    rows = list(sheet.free_rows().values())
    found = [made for cells in rows for place in range(len(cells)) if (made := _recipe(sheet, cells, place, _WHOLE))]
    columns_of = Counter(made.cell.column for made in found)
    held = {made.cell.row for made in found}
    of_rows = [made for cells in rows if cells[0].row not in held and (made := _of_a_row(sheet, cells, _WHOLE))]
    if len(of_rows) >= _AMONG:
        whole = {made.cell.row for made in of_rows}
        rest = [cells for cells in rows if cells[0].row not in held | whole]
        found += of_rows + [made for cells in rest if (made := _of_a_row(sheet, cells, _FATS))]
        held = {made.cell.row for made in found}
    for cells in rows:  # what stands among recipes and has fats is one too, though its lye cannot be read
        for place, cell in enumerate(cells):
            among = columns_of[cell.column] >= _AMONG and cell.row not in held
            if among and (made := _recipe(sheet, cells, place, _FATS)):
                found.append(made)
    found.sort(key=lambda made: (made.cell.row, made.cell.column))
    if not found:
        return
    group = sheet.found.new_unit_group()
    for made in found:
        _keep(sheet, made, group)
    columns = sorted({made.cell.column for made in found})
    in_cells = sorted({made.cell.column for made in found if not made.is_row})
    evidence = [tr("column {column} holds whole recipes", column=column_letters(c)) for c in in_cells]
    if any(made.is_row for made in found):
        evidence.append(tr("a row is a recipe, each cell an ingredient with its amount"))
    readings = [ColumnReading(column_letters(c), "", "ingredient") for c in columns]
    first = min(made.title.column for made in found)
    sheet.report(
        LAYOUT,
        evidence,
        columns=readings,
        recipes=len(found),
        where=(found[0].cell.row, first, found[-1].cell.row, columns[-1]),
    )


def _recipe(sheet: Sheet, cells: Sequence[Cell], place: int, needed: frozenset[str]) -> _Recipe | None:
    """Return the recipe that a cell holds, where it weighs what is needed, one fat at least by its name."""
    cell = cells[place]
    if cell.kind is not Kind.TEXT:
        return None
    own_names = tuple(sorted(sheet.words.own_names.items()))
    for parts in (several(cell.text), told(cell.text, own_names)):
        lines = [_line(sheet, cell, part) for part in parts]
        weighed = [line for line in lines if line.kind == "ingredient" and line.amount is not None]
        fats = [line.name for line in weighed if line.role == "fat"]
        if _roles(weighed) >= needed and any(name and name.substance for name in fats):
            break
    else:
        return None
    left = next((c for c in reversed(cells[:place]) if c.kind is Kind.TEXT and not is_amount(c)), None)
    left = None if left is not None and several(left.text) else left
    head, colon, _ = cell.text.partition(":")
    name_first = bool(colon) and "\n" not in head and len(head.split()) <= _WORDS_OF_A_NAME
    if left is None and name_first and not _weighs(BRACKET.sub("", head)):
        left = replace(cell, text=head)  # `Plover: melt 20 oz lard …`
    elif left is None and split_name_and_amount(parts[0]) is None:
        left, lines = replace(cell, text=parts[0]), lines[1:]
    beside = [c for c in cells[place + 1 :] if not several(c.text)]
    return None if left is None else _Recipe(left, cell, lines, beside)


def _line(sheet: Sheet, cell: Cell, part: str) -> Line:
    """Read one line of a cell; a number behind a word that nothing knows is an amount here: `Sdm: 77`."""
    line = read_line(sheet, cell.row, [replace(cell, text=part)], {})
    split = split_name_and_amount(part) if line.kind == "text" else None
    if split is None:
        return line
    return read_line(sheet, cell.row, [replace(cell, text=split[0]), replace(cell, text=split[1])], {})


def _weighs(text: str) -> bool:
    split = split_name_and_amount(text)
    return split is not None and read_amount(split[1]).readings[0].unit is not None


def _roles(lines: Sequence[Line]) -> set[str]:
    """Return what some lines may be; what stands for lye or a liquid is weighed later: `soda`, `watee`."""
    roles = {line.role for line in lines}
    for line in lines:
        if fold(line.name_text) in words("lye word"):
            roles.add("alkali")
        elif line.role == "unknown":
            roles |= {meaning.role for meaning in candidates(line.name_text)[:_PERHAPS] if meaning.spelled}
    left = sum(line.role == "unknown" for line in lines)
    return roles | ({"liquid"} if left and {"fat", "alkali"} <= roles else set())


_PERHAPS = 3  # meanings of a word that are looked at


def _of_a_row(sheet: Sheet, cells: Sequence[Cell], needed: frozenset[str]) -> _Recipe | None:
    """Return the recipe whose ingredients stand in a row, one a cell with its amount; None where they are not all."""
    named = [c for c in cells if c.kind is Kind.TEXT and split_name_and_amount(c.text) is not None]
    title = next((c for c in cells if c.kind is Kind.TEXT and c not in named), None)
    if title is None and len(named) > _AMONG and named[0] is cells[0] and _is_no_ingredient(named[0].text):
        title, named = named[0], named[1:]  # `market 2kg`
    if title is None or len(named) <= _AMONG:
        return None
    lines = [read_line(sheet, c.row, [c], {}) for c in named]
    roles = _roles([line for line in lines if line.kind == "ingredient" and line.amount is not None])
    beside = [c for c in cells if c is not title and c not in named]
    return _Recipe(title, cells[-1], lines, beside, is_row=True) if roles >= needed else None


def _is_no_ingredient(text: str) -> bool:
    split = split_name_and_amount(text)
    likeliest = candidates(split[0])[0] if split is not None else None
    return likeliest is None or not likeliest.spelled


def _keep(sheet: Sheet, made: _Recipe, group: int) -> None:
    draft = sheet.draft(LAYOUT, clean(made.title.text), made.title.row, made.title.column)
    draft.unit_group = group
    reader = RecipeLines(sheet, draft, made.title, None)
    for line in made.lines:
        reader.add(line)
    for cell in made.beside:
        if cell.kind is Kind.TEXT:
            reader.remark(cell)
    reader.finish()
    sheet.take(
        made.cell.row, made.title.column, made.cell.row, max([made.cell.column, *(c.column for c in made.beside)])
    )
