"""Results of many rows kept as columns: as a cell object each they would fill the memory."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, overload

from sheetcheck.model.marks import CellContent, Styled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Numbers(Sequence[CellContent]):
    """A column of numbers that all look the same, rounded as they are asked for; nothing where one is NaN."""

    numbers: NDArray[np.float64]
    style: str
    digits: int

    def __len__(self) -> int:
        return len(self.numbers)

    @overload
    def __getitem__(self, index: int) -> CellContent: ...
    @overload
    def __getitem__(self, index: slice) -> Numbers: ...
    def __getitem__(self, index: int | slice) -> CellContent | Numbers:
        if isinstance(index, slice):
            return Numbers(self.numbers[index], self.style, self.digits)
        number = round(float(self.numbers[index]), self.digits)
        return None if isnan(number) else Styled(number, self.style)


class ResultRows(Mapping[int, list[CellContent]]):
    """The results of each row, by its number: made of the columns as they are asked for.

    Parameters
    ----------
    rows
        Numbers of the rows, ascending.
    columns
        Their results, each as long as `rows`. What repeats should be one object: it is then written only once.
    """

    def __init__(self, rows: Sequence[int], columns: Sequence[Sequence[CellContent]]) -> None:
        self.rows = rows
        self.columns = columns

    def place(self, row: int) -> int | None:
        """Return the position of a row in the columns, None where it has no results."""
        at = bisect_left(self.rows, row)
        return at if at < len(self.rows) and self.rows[at] == row else None

    def __getitem__(self, row: int) -> list[CellContent]:
        at = self.place(row)
        if at is None:
            raise KeyError(row)
        return [column[at] for column in self.columns]

    def __contains__(self, row: object) -> bool:
        return isinstance(row, int) and self.place(row) is not None

    def __iter__(self) -> Iterator[int]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)
