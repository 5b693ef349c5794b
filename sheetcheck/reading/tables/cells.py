"""The cells of a table with one recipe per row, column by column: plain numbers as arrays, the rest cell by cell."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.cards.extras import extras
from sheetcheck.reading.entries import Ingredient, component, is_blank_amount, read_entry, unit_shown
from sheetcheck.reading.names.in_cells import named_amounts
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, WEIGHTS, is_weight, percentages, statement
from sheetcheck.reading.tables.table import INGREDIENT_ROLES, Column, Table
from sheetcheck.reading.text import clean
from sheetcheck.reading.units.evidence import Said, resolve
from sheetcheck.reading.units.units import dimension, read_unit, split_heading_unit, to_grams
from sheetcheck.reading.yields import YIELD
from sheetcheck.reference import substances
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Kind

_WEIGHED = INGREDIENT_ROLES | {"additive", "unknown"}
_DECIMALS = 6

Places = NDArray[np.int64]  # positions in the grid's arrays


def read_cells(sheet: Sheet, table: Table, ids: NDArray[np.int32]) -> None:
    """Read all amounts and statements of a table; `ids` is the draft's number by row, -1 where no recipe."""
    reader = _Reader(sheet, table, ids, [c.index for c in table.of_role("unit")])
    for column in table.columns:
        if column.role in _WEIGHED:
            reader.amounts(column)
        elif column.role == "ingredient":
            reader.names(column)
        elif column.role in KIND_OF_ROLE:
            reader.statements(column)


@dataclass(frozen=True)
class _Reader:
    """Reads one table into the findings of the book."""

    sheet: Sheet
    table: Table
    ids: NDArray[np.int32]
    unit_columns: list[int]

    def amounts(self, column: Column) -> None:
        """Read a column of amounts."""
        grid, of = self.sheet.grid, _ingredient(column)
        for part, outer in self._regimes(column):
            plain = (grid.kind[part] == Kind.NUMBER) & (not self.unit_columns)
            numbers = part[plain]
            keep = (grid.number[numbers] != 0) | self._only_alkali(column, grid.row[numbers])
            for style in _distinct(grid.style[numbers]):
                self._number_block(numbers[keep & (grid.style[numbers] == style)], outer, of)
            for index in self._worth_a_look(part[~plain], of).tolist():
                self._odd_cell(index, outer, of)

    def _only_alkali(self, column: Column, rows: NDArray[np.int32]) -> NDArray[np.bool_]:
        """Tell in which rows a column holds the only alkali: there a zero says that there is none."""
        if column.role != "alkali":
            return np.zeros(len(rows), dtype=bool)
        grid, others = self.sheet.grid, [c.index for c in self.table.of_role("alkali") if c is not column]
        something = np.isin(grid.column, others) & ~((grid.kind == Kind.NUMBER) & (grid.number == 0))
        return ~np.isin(rows, grid.row[something])

    def names(self, column: Column) -> None:
        """Read a column whose cells name ingredients."""
        for part, note in self._regimes(replace(column, unit=None)):
            for index in part.tolist():
                cell = self.sheet.grid.at(index)
                for made in named_amounts(self.sheet, self.table, column, cell, note):
                    made.recipe = int(self.ids[cell.row])
                    self.sheet.found.components.append(made)

    def statements(self, column: Column) -> None:
        """Read a column that states something of each recipe."""
        grid, kind = self.sheet.grid, KIND_OF_ROLE[column.role or ""]
        about = column.about or (_about(self.table, column) if kind == "share of fats" else 0)
        in_percent = "%" in column.text or column.unit == "%"
        for part, outer in self._regimes(column):
            plain = grid.kind[part] == Kind.NUMBER
            for style in _distinct(grid.style[part[plain]]):
                cells = part[plain & (grid.style[part] == style)]
                if kind == "superfat" and self._is_oil(cells, outer, in_percent=in_percent):
                    self._number_block(cells[grid.number[cells] != 0], outer, _added_oil(column))
                    continue
                block = self._place(cells) | self._stated(cells, kind, outer, in_percent=in_percent)
                block |= {"about_row": block["row"] if about else 0, "about_column": about}
                self.sheet.found.statement_blocks.append(block)
            for index in part[~plain].tolist():
                if kind == "superfat" and is_weight(grid.text[index]):
                    self._odd_cell(index, outer, _added_oil(column))
                    continue
                self._odd_statement(index, kind, outer, about, in_percent=in_percent)

    def _is_oil(self, cells: Places, outer: Said, *, in_percent: bool) -> bool:
        """Tell whether numbers that stand for the superfat are shown as weights of oil: `0.0 "oz"`."""
        shown = self._shown(cells)
        said_percent = in_percent or any(unit == "%" for _, unit in outer)
        return shown is not None and not said_percent and dimension(shown) == "mass"

    # ----------------------------------------------------------------- which cells, and what is said of their unit

    def _cells_of(self, column: Column) -> Places:
        """Return the positions of a column's cells that lie in rows with a recipe."""
        grid = self.sheet.grid
        start = int(np.searchsorted(grid.row, self.table.last_heading_row, "right"))
        end = int(np.searchsorted(grid.row, self.table.last_row, "right"))
        here = start + np.flatnonzero(grid.column[start:end] == column.index)
        return here[self.ids[grid.row[here]] >= 0]

    def _regimes(self, column: Column) -> Iterator[tuple[Places, Said]]:
        """Split a column's cells by the note that governs them."""
        cells = self._cells_of(column)
        if not len(cells):
            return
        place = np.searchsorted(self.sheet.notes.rows, self.sheet.grid.row[cells], side="right")
        for regime in _distinct(place):
            part = cells[place == regime]
            yield part, self._outer(column, int(self.sheet.grid.row[part[0]]))

    def _outer(self, column: Column, row: int) -> Said:
        """Return what the heading and the notes on the sheet say of an amount's unit."""
        newer = self.sheet.notes.below(self.table.last_heading_row, row)
        if newer:
            return (("sheet note", newer),)
        note = self.sheet.notes.at(row)
        heading = (("heading", column.unit),) if column.unit else ()
        return (*heading, ("sheet note", note)) if note and column.unit != "%" else heading

    def _unit_beside(self, row: int, column: int) -> str | None:
        """Return the unit beside an amount: in the next column, else in the row's only unit column."""
        if not self.unit_columns:
            return None
        index = column + 1 if column + 1 in self.unit_columns else self.unit_columns[0]
        if index != column + 1 and len(self.unit_columns) > 1:
            return None
        cell = self.sheet.cell(row, index)
        return read_unit(cell.text) if cell is not None and cell.text else None

    # ----------------------------------------------------------------- plain numbers

    def _place(self, cells: Places) -> dict[str, Any]:
        """Return what every line of a block has: its recipe, its cell, how that holds it."""
        grid = self.sheet.grid
        rows = grid.row[cells]
        place = {"recipe": self.ids[rows], "sheet": self.sheet.name, "row": rows, "column": grid.column[cells]}
        return place | {"written": None, "stored": self._stored(cells)}

    def _stored(self, cells: Places) -> NDArray[np.object_] | str:
        if not self.sheet.grid.formulas or not self.sheet.is_formula[cells].any():
            return "number"
        stored = np.full(len(cells), "number", dtype=object)
        stored[self.sheet.is_formula[cells]] = "formula"
        return stored

    def _shown(self, cells: Places) -> str | None:
        grid = self.sheet.grid
        return unit_shown(grid.styles[int(grid.style[cells[0]])].number_format)

    def _number_block(self, cells: Places, outer: Said, of: Ingredient) -> None:
        """Add plain numbers that share column, unit and format as one block."""
        if not len(cells):
            return
        shown = self._shown(cells)
        unit, unit_from, contrary = resolve((("number format", shown), *outer) if shown else outer)
        value = self.sheet.grid.number[cells] * (100.0 if shown == "%" else 1.0)
        factor, by_volume = _grams_of_one(unit, of)
        no_weight = by_volume and np.isnan(factor) and of.role != "additive"
        self.sheet.found.component_blocks.append(
            self._place(cells)
            | {
                "name_row": of.row,
                "name_column": of.column,
                "name": of.text,
                "role": of.role,
                "substance": of.substance,
                "name_certainty": of.certainty,
                "value": value,
                "unit": unit,
                "unit_from": unit_from,
                "units_said": contrary,
                "grams": value * factor,
                "other_grams": np.nan,
                "by_volume": by_volume,
                "strength": of.strength,
                "decimals": _decimals(value),
                "bears": of.role != "additive",
                "problem": tr("no weight is known for a {unit} of it: weigh it", unit=unit) if no_weight else None,
            }
        )

    def _stated(self, cells: Places, kind: str, outer: Said, *, in_percent: bool) -> dict[str, Any]:
        """Return the values of plain numbers that state something."""
        shown, value = self._shown(cells), self.sheet.grid.number[cells]
        unit, other = None, np.full(len(cells), np.nan)
        if kind in WEIGHTS:
            if kind == YIELD:  # a number of bars has no unit, whatever the sheet says of its amounts
                outer = tuple(said for said in outer if said[0] != "sheet note")
            unit, _, _ = resolve((("number format", shown), *outer) if shown else outer)
            value = value * (to_grams(1.0, unit) if unit and unit != "%" else 1.0)
        elif kind != "liquid to lye":
            value, other = percentages(value, shown_in_percent=shown == "%", in_percent=in_percent, kind=kind)
        return {"kind": kind, "value": value, "other_value": other, "unit": unit, "place": "column"}

    # ----------------------------------------------------------------- all other cells

    def _worth_a_look(self, cells: Places, of: Ingredient) -> Places:
        """Leave out the texts without a number in a column of additions: most books have a scent in every row."""
        if of.role != "additive" or of.substance is not None:
            return cells
        grid = self.sheet.grid
        texts = grid.text[cells].tolist()
        with_number = {text for text in set(texts) if any(map(str.isnumeric, text))}
        says_how_much = np.array([text in with_number for text in texts], dtype=bool)
        return np.asarray(cells[says_how_much | (grid.kind[cells] != Kind.TEXT)])

    def _odd_cell(self, index: int, outer: Said, of: Ingredient) -> None:
        """Add one cell that is no plain number, or has its unit beside it."""
        sheet, cell = self.sheet, self.sheet.grid.at(index)
        recipe = int(self.ids[cell.row])
        if is_blank_amount(cell) and not (of.role == "alkali" and cell.kind is Kind.NUMBER):
            return
        if of.role == "additive" and of.substance is None and cell.kind is Kind.TEXT:
            sheet.found.components.extend(extras(sheet, cell, recipe))
            return
        beside = self._unit_beside(cell.row, cell.column)
        said = (("unit column", beside), *outer) if beside else outer
        entry = read_entry(cell, said, decimal_comma=sheet.decimal_comma(cell.column))
        sheet.found.components.append(component(recipe, sheet.name, cell, entry, of))

    def _odd_statement(self, index: int, kind: str, outer: Said, about: int, *, in_percent: bool) -> None:
        cell = self.sheet.grid.at(index)
        if is_blank_amount(cell):
            return
        made = statement(self.sheet, cell, kind, outer, in_percent=in_percent)
        made.recipe, made.place = int(self.ids[cell.row]), "column"
        if about:
            made.about_row, made.about_column = cell.row, about
        self.sheet.found.statements.append(made)


def _distinct(numbers: NDArray[Any]) -> NDArray[np.int64]:
    """Return the different numbers among small ones, ascending."""
    return np.flatnonzero(np.bincount(numbers))


def _ingredient(column: Column) -> Ingredient:
    name = split_heading_unit(column.heading.text or column.text)[0] or column.text
    role, certainty = column.role or "unknown", column.certainty
    return Ingredient(clean(name), role, column.substance, certainty, column.row, column.index, column.strength)


def _added_oil(column: Column) -> Ingredient:
    """Return the oil that is added for the superfat, where its column gives weights: which oil, nothing says."""
    return replace(_ingredient(column), role="fat", substance=None, certainty="unknown")


def _grams_of_one(unit: str | None, of: Ingredient) -> tuple[float, bool]:
    """Return the grams of one unit of an ingredient, NaN where unknown, and whether the unit measures by volume."""
    if not unit or unit == "%":
        return np.nan, False
    mass = to_grams(1.0, unit)
    if np.isfinite(mass):
        return mass, False
    known = of.substance or ("water" if of.role == "liquid" else "")
    return to_grams(1.0, unit, substances().get(known)), True


def _decimals(value: NDArray[np.float64]) -> NDArray[np.int8]:
    """Return the decimals of each number as typed, at most 6."""
    places = np.full(len(value), _DECIMALS, dtype=np.int8)
    for count in reversed(range(_DECIMALS)):
        close = np.abs(value - np.round(value, count)) <= 1e-9 * np.maximum(1.0, np.abs(value))
        places[close] = count
    return places


def _about(table: Table, column: Column) -> int:
    """Return the column of the amounts that a column of percentages belongs to."""
    weighed = [c for c in table.of_role("fat") if c.unit != "%"]
    same = [c for c in weighed if column.substance and c.substance == column.substance]
    left = [c for c in weighed if c.index < column.index]
    return same[0].index if same else left[-1].index if left else 0
