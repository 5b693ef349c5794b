"""What can go wrong between sheetcheck and a spreadsheet program.

::

    SheetcheckError
    └── ProgramError              something between sheetcheck and the spreadsheet program
        ├── NoProgramError        it is not there, or may not be driven
        ├── NoOpenBookError       it runs, and the workbook is not open in it
        ├── ProgramBusyError      it does not answer: somebody is typing in a cell, or a box is open
        ├── SheetTooLargeError    a sheet says that it is used far beyond what a recipe book can be
        ├── NoJournalError        there are no marks of ours to take off
        └── InstallError          an add-in or extension could not be installed or removed
"""

from sheetcheck.errors import SheetcheckError
from sheetcheck.words import number, tr


class ProgramError(SheetcheckError):
    """Something between sheetcheck and a spreadsheet program; the text says what it is and what to do."""


class NoProgramError(ProgramError):
    """The spreadsheet program is not there, or may not be driven."""


class NoOpenBookError(ProgramError):
    """The workbook is not open."""


class ProgramBusyError(ProgramError):
    """The spreadsheet program does not answer."""

    def __init__(self, program: str) -> None:
        super().__init__(program)
        self.program = program

    def __str__(self) -> str:
        return tr(
            "{program} does not answer. Somebody may be typing in a cell, or a box may be open: "
            "press Enter or Escape there, close the box, and try again. Nothing was changed.",
            program=self.program,
        )


class SheetTooLargeError(ProgramError):
    """A sheet is used far beyond what a recipe book can be."""

    def __init__(self, sheet: str, rows: int, columns: int) -> None:
        super().__init__(sheet, rows, columns)
        self.sheet, self.rows, self.columns = sheet, rows, columns

    def __str__(self) -> str:
        return tr(
            "The sheet “{sheet}” holds cells over {rows} rows and {columns} columns, more than can be read from an "
            "open workbook. Save it, close it, and check the file instead.",
            sheet=self.sheet,
            rows=number(self.rows, 0),
            columns=number(self.columns, 0),
        )


class NoJournalError(ProgramError):
    """There are no marks of ours in an open workbook."""


class InstallError(ProgramError):
    """An add-in or an extension could not be installed or removed."""
