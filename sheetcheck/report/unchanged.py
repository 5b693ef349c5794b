"""When a verdict still holds: the cells around a recipe's amounts are what they were in this check.

Amounts and names are compared one by one (`amounts.py`); here it is what the recipe states, the cells that were blank
beside its amounts, and for a card or a list how many cells are filled. A cell that was not there counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sheetcheck.model import Audit, SheetCells, address, range_address
from sheetcheck.report.amounts import BESIDE_THE_TABLE, LONGEST_TEXT, in_quotes
from sheetcheck.report.arithmetic import constant
from sheetcheck.report.tables import Tables
from sheetcheck.workbook.ranges import quoted

Place = tuple[int, int]
_NOTHING = SheetCells({}, {})


@dataclass(frozen=True)
class Unchanged:
    """The conditions under which the verdicts of a book hold, beyond amounts and names."""

    audit: Audit
    tables: Tables

    def conditions(self, number: int, r: Mapping[Any, Any], home: str) -> list[str]:
        """Return the conditions for one recipe, as formulas on the sheet `home` write them."""
        where = "" if r["sheet"] == home else f"{quoted(r['sheet'])}!"
        found = [*self.tables.conditions(number), *self._stated(number, home)]
        if r["layout"] == BESIDE_THE_TABLE:
            found += self._beside(number, r, where)
        elif r["sheet"] in self.audit.book.cells:
            found.append(self._as_many(r, where))
        return found

    # ------------------------------------------------------------------ what is stated

    @cached_property
    def _statements(self) -> Mapping[int, Sequence[tuple[str, Place]]]:
        found: dict[int, dict[tuple[str, Place], None]] = defaultdict(dict)
        s = self.audit.book.statements
        for recipe, sheet, row, column in zip(s["recipe"], s["sheet"], s["row"], s["column"], strict=True):
            found[int(recipe)][str(sheet), (int(row), int(column))] = None
        return {recipe: tuple(places) for recipe, places in found.items()}

    def _stated(self, number: int, home: str) -> Iterator[str]:
        for sheet, place in self._statements.get(number, ()):
            held = self.audit.book.cells.get(sheet, _NOTHING).held.get(place)
            condition = _same(held, address(*place) if sheet == home else f"{quoted(sheet)}!{address(*place)}")
            if condition:
                yield condition

    # ------------------------------------------------------------------ cells beside the amounts

    def _beside(self, number: int, r: Mapping[Any, Any], where: str) -> Iterator[str]:
        """Yield that the cells without an amount in columns of amounts are as they were."""
        row, cells = int(r["row"]), self.audit.book.cells.get(r["sheet"])
        without = self.tables.without_amount(number)
        if cells is None:  # a very large book: at the least no number was put there
            if without:
                yield f"COUNT({','.join(f'{where}{address(row, column)}' for column in without)})=0"
            return
        blank = [column for column in without if cells.held.get((row, column), "") == ""]
        if blank:
            yield f'{"&".join(f"{where}{address(row, column)}" for column in blank)}=""'
        for column in without:
            condition = (
                "" if column in blank else _same(cells.held.get((row, column)), f"{where}{address(row, column)}")
            )
            if condition:
                yield condition

    def _as_many(self, r: Mapping[Any, Any], where: str) -> str:
        """Return that as many cells are filled as were; a blank row below counts, where a line may be added."""
        held = self.audit.book.cells[r["sheet"]].held
        top, left, bottom, right = (int(r[c]) for c in ("first_row", "first_column", "last_row", "last_column"))
        columns = range(left, right + 1)
        if not any(held.get((bottom + 1, column), "") != "" for column in columns):
            bottom += 1
        area = [held[row, column] for row in range(top, bottom + 1) for column in columns if (row, column) in held]
        range_ = f"{where}{range_address(top, left, bottom, right)}"
        if any(isinstance(value, str) and value.startswith("#") for value in area):  # an error has no length
            return f"SUMPRODUCT(1-ISBLANK({range_}))={len(area)}"
        return f"SUMPRODUCT(--(LEN({range_})>0))={sum(value != '' for value in area)}"


def _same(held: str | float | None, where: str) -> str:
    """Return the condition that a cell holds what it held; "" where that cannot be compared."""
    if held is None or (isinstance(held, str) and (held.startswith("#") or len(held) > LONGEST_TEXT)):
        return ""
    return f"{where}={in_quotes(held)}" if isinstance(held, str) else f"{where}={constant(held).text}"
