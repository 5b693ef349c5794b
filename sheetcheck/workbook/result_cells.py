"""Our cells of a sheet as XML, a row at a time and only while it is written: there may be a million of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import count
from math import isfinite, isnan

from sheetcheck.model import CellContent, Formula, Link, Numbers, ResultRows, Styled
from sheetcheck.workbook.cell_xml import cell_xml
from sheetcheck.workbook.new_sheets import StyleKey, style_key
from sheetcheck.workbook.ranges import renamed
from sheetcheck.workbook.results import PlacedColumns
from sheetcheck.workbook.sheet_rows import column_name

_MOST_KEPT = 10_000  # cells that are kept as bytes because others are likely to be the same

Cells = dict[int, bytes]  # whole elements by column
_Ending = Callable[[int], bytes]  # of a position in a column: what of the element stands after its reference


class ResultCells:
    """What gives the cells of a row.

    Parameters
    ----------
    placed
        The blocks of results that have a cell in a row.
    formats
        The format of each style in this workbook.
    names
        The names that our sheets got.
    prefix
        Of the elements of the sheet.
    """

    def __init__(
        self,
        placed: Callable[[int], Sequence[PlacedColumns]],
        formats: Mapping[StyleKey, int],
        names: Mapping[str, str],
        prefix: bytes,
    ) -> None:
        self._placed = placed
        self._formats = formats
        self._names = names
        self._prefix = prefix
        self._ready: dict[int, list[tuple[int, bytes, _Ending]] | None] = {}

    def __call__(self, row: int) -> Cells:
        """Return the cells to add to a row, in the order of columns."""
        blocks = self._placed(row)
        found: Cells = {}
        for placed in blocks:
            columns, at = self._columns(placed), _position(placed, row)
            if columns is None or at is None:
                for column, content in placed.cells(row):
                    found[column] = self._cell(column_name(column) + b"%d" % row, content)
                continue
            number = b"%d" % row
            for column, start, ending in columns:
                end = ending(at)
                if end:
                    found[column] = start + number + end
        return found if len(blocks) < 2 else dict(sorted(found.items()))

    def _cell(self, reference: bytes, content: CellContent) -> bytes:
        value = content.value if isinstance(content, Styled) else content
        if isinstance(value, Link):
            value = value.text
        elif isinstance(value, Formula) and self._names:
            value = Formula(renamed(value.text, self._names), value.value)
        return cell_xml(self._prefix, reference, value, self._formats[style_key(content)])

    # ------------------------------------------------------------------ columns of many rows

    def _columns(self, placed: PlacedColumns) -> list[tuple[int, bytes, _Ending]] | None:
        """Return, of each column: its number, how its cells start, what gives the rest; None for a block of rows."""
        if id(placed) not in self._ready:
            values = placed.block.values
            by_column = isinstance(values, ResultRows) and not any(map(_is_formula, placed.contents()))
            self._ready[id(placed)] = (
                [
                    (number, b'<%sc r="%s' % (self._prefix, column_name(number)), self._ending(column))
                    for number, column in zip(count(placed.first_column), values.columns)
                ]
                if isinstance(values, ResultRows) and by_column
                else None
            )
        return self._ready[id(placed)]

    def _ending(self, column: Sequence[CellContent]) -> _Ending:
        return self._of_numbers(column) if isinstance(column, Numbers) else self._of_contents(column)

    def _of_numbers(self, column: Numbers) -> _Ending:
        style = column.style
        start, end = _after_reference(self._cell(b"", Styled(0.0, style))).split(b">0<")
        numbers, digits = column.numbers, column.digits

        def ending(at: int) -> bytes:
            number = round(float(numbers[at]), digits)
            if isfinite(number):
                return b"%s>%s<%s" % (start, repr(number).removesuffix(".0").encode(), end)
            return b"" if isnan(number) else _after_reference(self._cell(b"", Styled(number, style)))

        return ending

    def _of_contents(self, column: Sequence[CellContent]) -> _Ending:
        made: dict[int, bytes] = {}  # by the object, which the column keeps alive

        def ending(at: int) -> bytes:
            content = column[at]
            key = id(content)
            if key not in made:
                if len(made) > _MOST_KEPT:
                    made.clear()
                made[key] = b"" if content is None else _after_reference(self._cell(b"", content))
            return made[key]

        return ending


def _after_reference(cell: bytes) -> bytes:
    """Return what follows the reference in an element that has an empty one."""
    return cell[cell.index(b'"') + 1 :]


def _position(placed: PlacedColumns, row: int) -> int | None:
    """Return where a row stands in the columns of a block; None for the row with the headings."""
    values = placed.block.values
    return values.place(row) if isinstance(values, ResultRows) and row != placed.block.heading_row else None


def _is_formula(content: CellContent) -> bool:
    return isinstance(content.value if isinstance(content, Styled) else content, Formula)
