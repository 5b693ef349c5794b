"""Result columns as cells of a sheet, or a sheet of their own where there is no place for them.

In a formula `{{2}}` stands for the cell of the second result column in the same row, wherever the columns stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from sheetcheck.model import (
    CellContent,
    Formula,
    Link,
    NewSheet,
    Numbers,
    ResultColumns,
    ResultRows,
    Styled,
    address,
)
from sheetcheck.words import tr
from sheetcheck.workbook.ranges import on_sheet, quoted, renamed

_OWN_COLUMN = re.compile(r"\{\{(\d+)\}\}")
_NARROWEST, _WIDEST = 9, 44
_ROWS_MEASURED = 1_000  # for the width of a column
HEADING = "heading"


@dataclass(frozen=True, slots=True)
class PlacedColumns:
    """A block of results with its first column on the sheet."""

    block: ResultColumns
    first_column: int

    @property
    def rows(self) -> set[int]:
        """Numbers of the rows that get a cell."""
        return {self.block.heading_row, *self.block.values}

    def contents(self) -> Iterator[CellContent]:
        """Yield the content of every cell, of cells that are alike perhaps only one."""
        yield from (Styled(heading, HEADING) for heading in self.block.headings)
        values = self.block.values
        if isinstance(values, ResultRows):
            for column in values.columns:
                yield from (Styled(0.0, column.style),) if isinstance(column, Numbers) else _different(column)
        else:
            for contents in values.values():
                yield from contents

    def links(self) -> Iterator[tuple[int, int, Link]]:
        """Yield row, column and target of each cell that leads somewhere."""
        for row, column, content in self._that_may_lead_somewhere():
            link = link_of(content)
            if link is not None:
                yield row, column, link

    def _that_may_lead_somewhere(self) -> Iterator[tuple[int, int, CellContent]]:
        values = self.block.values
        if isinstance(values, ResultRows):
            columns = {self.first_column + at: c for at, c in enumerate(values.columns) if _leads_somewhere(c)}
            for at, row in enumerate(values.rows if columns else ()):
                for number, column in columns.items():
                    yield row, number, column[at]
        else:
            for row, contents in values.items():
                for number, content in enumerate(contents, self.first_column):
                    yield row, number, content

    def cells(self, row: int) -> Iterator[tuple[int, CellContent]]:
        """Yield column and content of each cell of a row."""
        if row == self.block.heading_row:
            for offset, heading in enumerate(self.block.headings):
                yield self.first_column + offset, Styled(heading, HEADING)
        for offset, content in enumerate(self.block.values.get(row, ())):
            if content is not None:
                yield self.first_column + offset, with_own_columns(content, row, self.first_column)

    def columns_in(self, row: int) -> Iterable[int]:
        """Return the columns of a row that may get a cell."""
        has_any = row == self.block.heading_row or row in self.block.values
        return range(self.first_column, self.first_column + width_of(self.block)) if has_any else ()

    def widths(self) -> dict[int, float]:
        """Return the width of each column in characters."""
        return {self.first_column + i: width for i, width in enumerate(widths_of(self.block))}

    def columns(self) -> Iterator[tuple[int, int, int]]:
        """Yield column, first and last row of each result column."""
        rows = [self.block.heading_row, *self.block.values]
        for offset in range(width_of(self.block)):
            yield self.first_column + offset, min(rows), max(rows)


def width_of(block: ResultColumns) -> int:
    """Return how many columns a block has."""
    values = block.values
    if isinstance(values, ResultRows):
        return max(len(block.headings), len(values.columns))
    return max(len(block.headings), *map(len, values.values()), 0)


def link_of(content: CellContent) -> Link | None:
    """Return where a click on a cell leads."""
    value = content.value if isinstance(content, Styled) else content
    if isinstance(value, Formula):
        return value.link
    return value if isinstance(value, Link) else None


def _different(column: Iterable[CellContent]) -> Iterable[CellContent]:
    """Return each object of a column once."""
    return {id(content): content for content in column}.values()


def _leads_somewhere(column: Sequence[CellContent]) -> bool:
    return not isinstance(column, Numbers) and any(link_of(content) is not None for content in _different(column))


def widths_of(block: ResultColumns) -> list[float]:
    """Return the widths that were asked for, and for other columns what their texts need."""
    found: list[float] = []
    for index in range(width_of(block)):
        heading = block.headings[index] if index < len(block.headings) else ""
        if index < len(block.widths):
            found.append(block.widths[index])
            continue
        shown = (len(_shown(v[index])) for v in islice(block.values.values(), _ROWS_MEASURED) if index < len(v))
        longest = max(shown, default=0)
        found.append(min(max(longest, len(heading) / 2, _NARROWEST) + 2, _WIDEST))
    return found


def _shown(content: CellContent) -> str:
    value = content.value if isinstance(content, Styled) else content
    if isinstance(value, Formula):
        value = value.value
    if isinstance(value, Link):
        value = value.text
    return f"{value:.2f}" if isinstance(value, float) else "" if value is None else str(value)


def with_own_columns(content: CellContent, row: int, first_column: int) -> CellContent:
    """Return content whose formula names its own result columns by address."""
    value = content.value if isinstance(content, Styled) else content
    if not isinstance(value, Formula) or "{{" not in value.text:
        return content
    text = _OWN_COLUMN.sub(lambda m: address(row, first_column + int(m.group(1)) - 1), value.text)
    return _with_formula(content, replace(value, text=text))


def with_names(content: CellContent, names: Mapping[str, str]) -> CellContent:
    """Return content that refers to sheets by the names they got."""
    value = content.value if isinstance(content, Styled) else content
    if isinstance(value, Link) and value.sheet in names:
        link = Link(names[value.sheet], value.cell, value.text)
        return Styled(link, content.style) if isinstance(content, Styled) else link
    if isinstance(value, Formula) and names:
        leads = value.link and replace(value.link, sheet=names.get(value.link.sheet, value.link.sheet))
        return _with_formula(content, replace(value, text=renamed(value.text, names), link=leads))
    return content


def _with_formula(content: CellContent, formula: Formula) -> CellContent:
    return Styled(formula, content.style) if isinstance(content, Styled) else formula


def own_sheet(name: str, sheet: str, blocks: Sequence[ResultColumns]) -> NewSheet:
    """Return a sheet with the results of blocks that found no place on theirs, each row linked to its row there."""
    rows: list[list[CellContent]] = []
    for block in blocks:
        if rows:
            rows.append([])
        rows.append([Styled(tr("Row in {sheet}", sheet=sheet), HEADING), *(Styled(h, HEADING) for h in block.headings)])
        for row, contents in block.values.items():
            here = len(rows) + 1
            link = Styled(Link(sheet, address(row, 1), str(row)), "link")
            rows.append([link, *(_moved(c, here, sheet) for c in contents)])
    widest = max((widths_of(block) for block in blocks), key=len, default=[])
    return NewSheet(name, rows, widths=(16, *widest), freeze="B2", landscape=True)


def _moved(content: CellContent, row: int, sheet: str) -> CellContent:
    value = content.value if isinstance(content, Styled) else content
    if not isinstance(value, Formula):
        return content
    marked = _OWN_COLUMN.sub(lambda m: f"_own_column_{m.group(1)}", value.text)
    text = re.sub(r"_own_column_(\d+)", lambda m: address(row, int(m.group(1)) + 1), _qualified(marked, sheet))
    return _with_formula(content, replace(value, text=text))


def _qualified(formula: str, sheet: str) -> str:
    """Own columns look like names to the parser of formulas and must not be qualified."""
    return on_sheet(formula, sheet).replace(f"{quoted(sheet)}!_own_column_", "_own_column_")
