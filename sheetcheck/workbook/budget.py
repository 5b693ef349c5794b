"""What may still be read of a file, counted down over all of its sheets."""

from __future__ import annotations

from pathlib import Path

from sheetcheck.errors import HostileBookError
from sheetcheck.words import number, tr
from sheetcheck.work import work
from sheetcheck.workbook.cell_xml import MOST_CHARACTERS
from sheetcheck.workbook.limits import Limits


class Budget:
    """Cells and characters that are left to read."""

    def __init__(self, path: Path, limits: Limits) -> None:
        self._path = path
        self._limits = limits
        self._cells = limits.cells
        self._characters = limits.text_characters

    def spend_cells(self, count: int) -> None:
        """Count cells that hold something.

        Raises
        ------
        HostileBookError
            Past the limit.
        """
        self.require_cells(count)
        self._cells -= count

    def require_cells(self, count: int) -> None:
        """Ask whether so many cells may still be read.

        Raises
        ------
        HostileBookError
            Past the limit.
        """
        if count > self._cells:
            raise HostileBookError(self._path, tr("more than {count} cells", count=number(self._limits.cells, 0)))

    def spend_text(self, count: int) -> None:
        """Count characters of texts and formulas.

        Raises
        ------
        HostileBookError
            Past the limit.
        """
        self._characters -= count
        if self._characters < 0:
            most = number(self._limits.text_characters, 0)
            raise HostileBookError(self._path, tr("more than {count} characters of text", count=most))

    def text(self, text: str) -> str:
        """Count the text of a cell, and return as much of it as is read.

        Raises
        ------
        HostileBookError
            Past the limit.
        """
        self.spend_text(len(text))
        return as_read(text)

    def left(self) -> tuple[int, int]:
        """Return what is left, to be handed to `restore` where a sheet is read again from its start."""
        return self._cells, self._characters

    def restore(self, left: tuple[int, int]) -> None:
        """Go back to what was left."""
        self._cells, self._characters = left


def as_read(text: str) -> str:
    """Return as much of a text as a cell of a spreadsheet program can hold; say where there is more."""
    if len(text) <= MOST_CHARACTERS:
        return text
    most = number(MOST_CHARACTERS, 0)
    work().leave_undone(
        tr("Of a text that is longer than a cell can hold, only the first {most} characters are read.", most=most)
    )
    return text[:MOST_CHARACTERS]
