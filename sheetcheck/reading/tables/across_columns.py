"""Several columns under one recipe's name, where recipes run across: its amounts, the same in another unit, shares.

Which column is read is settled first (`recipe_columns`); what stands beside it is added to the recipe when it has been
read (`add_beside`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from sheetcheck.reading.amounts.texts import is_amount
from sheetcheck.reading.assemble import Draft, Statement, stored_as
from sheetcheck.reading.entries import Ingredient, component, is_blank_amount, read_entry
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, TOTALS, percentage, statement, superfat_stated
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import dimension, read_unit, split_heading_unit
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Kind

BesideKind: TypeAlias = Literal["share of fats", "same amount", "ounces", "units", "aside"]

_SAY_SOMETHING_ELSE = frozenset({"unit", "notes", "ignore"})
_LABELS = _SAY_SOMETHING_ELSE | {"amount", "share"}  # roles of headings below a recipe's name
_WHOLE = (95.0, 101.0)  # per cent that are meant to be all of it, roundings included
_PROPORTIONAL = 0.03
_SEVERAL = 2


@dataclass(frozen=True, slots=True)
class Beside:
    """A column that says more about the amounts of a recipe: their shares, the same again, the ounces to its pounds."""

    column: int
    kind: BesideKind
    unit: str | None


@dataclass(slots=True)
class RecipeColumns:
    """The columns of one recipe: where its name stands, which one is read, and what stands beside that."""

    name: Cell
    title: str
    main: int
    beside: list[Beside] = field(default_factory=list)


@dataclass(slots=True)
class _Column:
    index: int
    unit: str | None = None
    role: str | None = None

    @property
    def is_share(self) -> bool:
        return self.role == "share" or self.unit == "%"


def recipe_columns(sheet: Sheet, heading_row: int, last_row: int, first_column: int) -> list[RecipeColumns]:
    """Return the recipes of a block that have more than one column, left to right."""
    below = _row_of_labels(sheet, heading_row + 1, first_column)
    inside = (sheet.grid.row > heading_row) & (sheet.grid.row <= last_row) & (sheet.grid.column >= first_column)
    used = set(sheet.grid.column[inside].tolist())
    groups = _groups(sheet, heading_row, below, first_column, used)
    found = [_sorted_out(sheet, name, columns, heading_row, last_row) for name, columns in groups]
    return [each for each in found if each.beside or each.main != each.name.column]


def units_in_names(sheet: Sheet, heading_row: int, first_column: int) -> dict[int, str]:
    """Return the unit that each recipe's name carries (`Plain (oz)`) by column; nothing where one carries none."""
    names = [c for c in sheet.grid.row_cells(heading_row) if c.column >= first_column]
    said = {c.column: split_heading_unit(c.text)[1] for c in names if c.kind is Kind.TEXT}
    units = {column: unit for column, unit in said.items() if unit and dimension(unit) == "mass"}
    return units if len(units) == len(names) else {}


def corner_of_labels(sheet: Sheet, heading_row: int, first_column: int) -> set[tuple[int, int]]:
    """Return the cell left of a row of labels below the names: `Ingredient` over nothing but ingredients."""
    return {(heading_row + 1, first_column - 1)} if _row_of_labels(sheet, heading_row + 1, first_column) else set()


def _row_of_labels(sheet: Sheet, row: int, first_column: int) -> Mapping[int, Cell]:
    """Return the labels by column where a row holds nothing but units and words such as `amount`, else nothing."""
    cells = [c for c in sheet.grid.row_cells(row) if c.column >= first_column]
    known = [c for c in cells if _label(sheet, c) is not None]
    only_words = all(c.kind is Kind.TEXT and not is_amount(c) for c in cells)
    return {c.column: c for c in cells} if only_words and _SEVERAL <= len(known) >= len(cells) / 2 else {}


def _label(sheet: Sheet, cell: Cell) -> _Column | None:
    """Return what a label says of its column, None where it is a name."""
    if cell.kind is not Kind.TEXT:
        return None
    unit, heading = read_unit(cell.text), sheet.words.heading(cell.text)
    if unit is None and heading.role not in _LABELS:
        return None
    return _Column(cell.column, unit or heading.unit, heading.role)


def _groups(
    sheet: Sheet, heading_row: int, below: Mapping[int, Cell], first_column: int, used: set[int]
) -> Iterator[tuple[Cell, list[_Column]]]:
    """Yield each recipe's name with its columns: those under it and, where they are labelled, those beside it."""
    names: list[Cell] = []
    columns: list[list[_Column]] = []
    waiting: list[_Column] = []
    leads = False  # labels stand before the names: `% | Plain | % | Second`
    cells = {c.column: c for c in sheet.grid.row_cells(heading_row) if c.column >= first_column}
    for index in sorted(cells.keys() | used):
        cell = cells.get(index)
        label = _label(sheet, cell) if cell is not None else None
        if cell is not None and label is None:
            column = _labelled(sheet, below, index, cell)
            if names and _same_recipe(names[-1], cell):
                columns[-1].append(column)
                continue
            names.append(cell)
            columns.append([*waiting, column])
            leads, waiting = leads or bool(waiting), []
            continue
        column = label or _labelled(sheet, below, index)
        if (names and not leads) or (cell is None and names):
            columns[-1].append(column)
        elif column.is_share:
            waiting.append(column)
    yield from zip(names, columns, strict=True)


def _labelled(sheet: Sheet, below: Mapping[int, Cell], index: int, name: Cell | None = None) -> _Column:
    if index in below:
        return _label(sheet, below[index]) or _Column(index, role="ignore")
    return _Column(index, split_heading_unit(name.text)[1] if name is not None and name.kind is Kind.TEXT else None)


def _same_recipe(before: Cell, cell: Cell) -> bool:
    """Tell whether two names beside each other differ in nothing but their units: `Plain g | Plain oz`."""
    if before.kind is not Kind.TEXT or cell.kind is not Kind.TEXT:
        return False
    (one, unit), (other, again) = split_heading_unit(before.text), split_heading_unit(cell.text)
    return bool(one) and fold(one) == fold(other) and again is not None and unit != again


# --------------------------------------------------------------------------- which column is read


def _sorted_out(sheet: Sheet, name: Cell, columns: Sequence[_Column], heading_row: int, last_row: int) -> RecipeColumns:
    weighed = [c for c in columns if not c.is_share and c.role not in _SAY_SOMETHING_ELSE]
    main = weighed[0] if weighed else None
    title = clean(name.text) or f"{name.number:g}"
    made = RecipeColumns(name, title, main.index if main else name.column)
    if main is None:
        return made
    if any(_same_recipe(name, other) for c in columns if (other := sheet.cell(heading_row, c.index))):
        made.title = split_heading_unit(title)[0]
    for column in (c for c in columns if c is not main):
        kind = _kind(main, column)
        if column in weighed and kind is None and _is_share_of(sheet, main, column, heading_row, last_row):
            kind = "share of fats"
        if kind in (None, "aside") and _holds_units(sheet, column.index, heading_row, last_row):
            kind = "units"
        if kind is not None:
            made.beside.append(Beside(column.index, kind, column.unit))
    return made


def _kind(main: _Column, column: _Column) -> BesideKind | None:
    """Return what a column says of the one that is read, None where its label does not tell."""
    if column.is_share:
        return "share of fats"
    if column.role in ("notes", "ignore"):
        return "aside"
    if (main.unit, column.unit, column.index) == ("lb", "oz", main.index + 1):
        return "ounces"
    weighed = column.unit is not None and column.unit != main.unit and dimension(column.unit) == "mass"
    return "same amount" if weighed else None


def _holds_units(sheet: Sheet, column: int, heading_row: int, last_row: int) -> bool:
    """Tell whether a column holds nothing but units."""
    cells = [c for row in range(heading_row + 1, last_row + 1) if (c := sheet.cell(row, column)) is not None]
    texts = [c.text for c in cells if sheet.words.heading(c.text).role != "unit"]
    return bool(texts) and all(c.kind is Kind.TEXT for c in cells) and all(map(read_unit, texts))


def _is_share_of(sheet: Sheet, main: _Column, column: _Column, heading_row: int, last_row: int) -> bool:
    """Tell whether an unlabelled column says of the amounts beside it how many per cent of 100 each is."""
    pairs = []
    for row in (r for r in sheet.grid.rows() if heading_row < r <= last_row):
        amount, share = sheet.cell(row, main.index), sheet.cell(row, column.index)
        if amount is not None and share is not None and is_amount(amount) and share.kind is Kind.NUMBER:
            pairs.append((amount.number, share.number))
    if pairs and all(share <= 1 for _, share in pairs):
        pairs = [(amount, 100 * share) for amount, share in pairs]  # shown as per cent, or a plain fraction
    whole = sum(share for _, share in pairs)
    total = sum(amount for amount, _ in pairs)
    if len(pairs) < _SEVERAL or not total > 0 or not _WHOLE[0] <= whole <= _WHOLE[1]:
        return False
    return all(abs(amount / total - share / whole) <= _PROPORTIONAL for amount, share in pairs)


# --------------------------------------------------------------------------- what stands beside


@dataclass(frozen=True, slots=True)
class _Recipe:
    """A recipe that has been read, and the column that is read for it."""

    sheet: Sheet
    number: int
    draft: Draft
    main: int


def units_beside(sheet: Sheet, several: Iterable[RecipeColumns]) -> dict[tuple[int, int], str]:
    """Return the units that stand in columns of their own, by the cells of the amounts that they are of."""
    return {
        (row, each.main): unit
        for each in several
        for b in each.beside
        if b.kind == "units"
        for row in sheet.grid.rows()
        if (cell := sheet.cell(row, b.column)) is not None and (unit := read_unit(cell.text))
    }


def nothing_but_ounces(sheet: Sheet, several: Iterable[RecipeColumns]) -> set[tuple[int, int]]:
    """Return the cells that say `0 lb` beside ounces: the amount is what the ounces are."""
    return {
        (row, each.main)
        for each in several
        if any(b.kind == "ounces" for b in each.beside)
        for row in sheet.grid.rows()
        if (cell := sheet.cell(row, each.main)) is not None and cell.kind is Kind.NUMBER and cell.number == 0
    }


def add_beside(sheet: Sheet, several: Iterable[RecipeColumns], lines: Sequence[Column], first: int) -> None:
    """Add to each recipe what the columns beside its amounts say; `lines` are the rows of the sheet, as understood.

    The recipes are the drafts from number `first` on.
    """
    drafts = sheet.found.drafts
    by_column = {drafts[number].column: number for number in range(first, len(drafts))}
    for each in several:
        number = by_column.get(each.main)
        if number is None:
            continue
        draft = drafts[number]
        draft.name, draft.row, draft.column = each.title, each.name.row, each.name.column
        recipe = _Recipe(sheet, number, draft, each.main)
        for beside in (b for b in each.beside if b.kind != "units"):
            draft.cover(draft.row, beside.column)
            for line in lines:
                cell = sheet.cell(line.index, beside.column)
                if cell is not None and not is_blank_amount(cell):
                    _add_cell(recipe, beside, line, cell)


def _add_cell(recipe: _Recipe, beside: Beside, line: Column, cell: Cell) -> None:
    weighed = line.role in INGREDIENT_ROLES or line.role in ("additive", "unknown")
    if weighed and beside.kind == "share of fats":
        if line.role == "fat":
            recipe.sheet.found.statements.append(_share(recipe, line, cell))
        elif line.role != "additive":
            what = f"{clean(line.text)}: {cell.text or f'{cell.number:g}'}"
            why = tr("a percentage beside an amount: only those of fats are compared with their amounts")
            recipe.sheet.not_understood(cell.row, cell.column, what, why)
    elif weighed and beside.kind == "same amount":
        recipe.sheet.found.statements.append(_same(recipe, beside, line, cell))
    elif weighed and beside.kind == "ounces":
        _add_ounces(recipe, beside, line, cell)
    elif line.role in KIND_OF_ROLE and KIND_OF_ROLE[line.role] not in TOTALS:
        _add_statement(recipe, line, cell)
    elif cell.kind is Kind.TEXT and line.role not in ("recipe", "unit", "number", "date", "ignore"):
        _add_remark(recipe, line, cell)


def _share(recipe: _Recipe, line: Column, cell: Cell) -> Statement:
    comma = recipe.sheet.decimal_comma(cell.column)
    made = _statement(recipe, "share of fats", line, cell)
    made.value, made.other_value = percentage(cell, decimal_comma=comma, in_percent=True)
    return made


def _same(recipe: _Recipe, beside: Beside, line: Column, cell: Cell) -> Statement:
    said = (("unit column", beside.unit),) if beside.unit else ()
    entry = read_entry(cell, said, decimal_comma=recipe.sheet.decimal_comma(cell.column))
    made = _statement(recipe, "same amount", line, cell)
    made.value, made.unit = entry.grams, entry.unit
    return made


def _statement(recipe: _Recipe, kind: str, line: Column, cell: Cell) -> Statement:
    made = Statement(recipe.number, recipe.sheet.name, cell.row, cell.column, kind, line.index, recipe.main)
    made.written, made.stored, made.place = cell.text or None, stored_as(cell), "column"
    return made


def _add_ounces(recipe: _Recipe, beside: Beside, line: Column, cell: Cell) -> None:
    """Add the ounces of an amount in pounds and ounces as a line of their own."""
    entry = read_entry(cell, (("unit column", "oz"),), decimal_comma=recipe.sheet.decimal_comma(beside.column))
    role, name = line.role or "unknown", clean(line.heading.text or line.text)
    of = Ingredient(name, role, line.substance, line.certainty, line.index, line.row, line.strength)
    recipe.sheet.found.components.append(component(recipe.number, recipe.sheet.name, cell, entry, of))


def _add_statement(recipe: _Recipe, line: Column, cell: Cell) -> None:
    if is_blank_amount(recipe.sheet.cell(line.index, recipe.main)):
        made = statement(recipe.sheet, cell, KIND_OF_ROLE[line.role or ""], in_percent="%" in line.text)
        made.recipe, made.place = recipe.number, "column"
        recipe.sheet.found.statements.append(made)


def _add_remark(recipe: _Recipe, line: Column, cell: Cell) -> None:
    stated = superfat_stated(recipe.number, recipe.sheet, cell, "remark")
    if stated is not None:
        recipe.sheet.found.statements.append(stated)
    if stated is not None or line.role == "notes":
        recipe.draft.remark(cell.row, cell.column, clean(cell.text))
