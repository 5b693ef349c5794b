"""What can go wrong with a file, a setting or a command. Faults inside a recipe are findings, not exceptions.

::

    SheetcheckError
    ├── BookError                  the workbook cannot be audited at all
    │   ├── BookNotFoundError      no such file, or a folder
    │   ├── BookLockedError        no permission, or held by another program
    │   ├── NotAWorkbookError      some other kind of file
    │   ├── EncryptedBookError     protected by a password
    │   ├── DamagedBookError       a workbook once; its inside is broken
    │   ├── HostileBookError       past a limit of size or count; would exhaust the machine
    │   │   └── UnsafeBookError    written as no spreadsheet program writes, and as attacks are
    │   └── NoRecipeError          readable, and there is no recipe in it
    ├── CopyError                  the annotated copy cannot be written
    │   ├── CopyIsBookError        its path is the book's own
    │   ├── CopyNotWritableError   folder missing, no permission, disk full
    │   ├── StandsThereError       a file that is not ours stands there
    │   ├── UneditableBookError    can be read, cannot be edited without loss
    │   └── NoMarksError           marks are to be taken off, and there are none
    ├── BrowserError               no browser prints the recipe pages
    └── SettingError               a setting that is unknown or wrong
"""

from pathlib import Path

from sheetcheck.words import later, tr


class SheetcheckError(Exception):
    """Root of all errors of this package; its text says where, what, and what to do."""


class BrowserError(SheetcheckError):
    """The recipe pages cannot be printed; the text says why and what to do."""


class BookError(SheetcheckError):
    """The workbook cannot be audited."""

    meaning = later("cannot be checked")
    remedy = later("Check the file and try again.")

    def __init__(self, path: str | Path, detail: str = "") -> None:
        super().__init__(path, detail)
        self.path = Path(path)
        self.detail = detail

    def __str__(self) -> str:
        return _sentence(self.path.name, self.meaning, self.detail, self.remedy)


class BookNotFoundError(BookError):
    """No file stands at this path."""

    meaning = later("there is no such file")
    remedy = later("Check the name and the folder.")


class BookLockedError(BookError):
    """The file is there and cannot be opened."""

    meaning = later("cannot be opened")
    remedy = later("Close it in the spreadsheet program, or check that you may read it, and try again.")


class NotAWorkbookError(BookError):
    """The file is of some other kind."""

    meaning = later("is not a workbook that can be read")
    remedy = later("Save it as .xlsx from the spreadsheet program and check that.")


class EncryptedBookError(BookError):
    """The file is protected by a password."""

    meaning = later("is protected by a password")
    remedy = later("Open it in the spreadsheet program, save it without the password, and check that.")


class DamagedBookError(BookError):
    """The file was a workbook once; its inside is broken."""

    meaning = later("is damaged")
    remedy = later("Open it in the spreadsheet program, let it repair the file, save it, and check that.")


class HostileBookError(BookError):
    """The file goes past a limit of size or count."""

    meaning = later("is larger inside than a recipe book can be")
    remedy = later("Copy the recipes into a new workbook and check that, or raise the limit in the settings.")


class UnsafeBookError(HostileBookError):
    """A part is written in a way that no spreadsheet program writes and that has been used for attacks."""

    meaning = later("is not written as a spreadsheet program writes a workbook")
    remedy = later(
        "If you trust where it comes from, open it in the spreadsheet program, save it anew, and check that."
    )


class NoRecipeError(BookError):
    """The workbook can be read, and no recipe was found in it."""

    meaning = later("no recipe was found")
    remedy = later("`sheetcheck read` shows how each sheet was understood and how to name its columns yourself.")


class CopyError(SheetcheckError):
    """The annotated copy cannot be written."""

    meaning = later("cannot be written")
    remedy = later("Choose another place with --out.")

    def __init__(self, path: str | Path, detail: str = "") -> None:
        super().__init__(path, detail)
        self.path = Path(path)
        self.detail = detail

    def __str__(self) -> str:
        return _sentence(self.path.name, self.meaning, self.detail, self.remedy)


class CopyIsBookError(CopyError):
    """The copy would overwrite the book."""

    meaning = later("is the book itself, which is never written to")


class CopyNotWritableError(CopyError):
    """The folder is missing or cannot be written to."""


class StandsThereError(CopyError):
    """A file stands there that this package did not make, or that was changed since."""

    meaning = later("is left as it is: sheetcheck did not make it, or it was changed since")
    remedy = later("Choose another place, or replace it with --overwrite.")


class UneditableBookError(CopyError):
    """The book can be read but not edited without losing something."""

    meaning = later("the book can be read, but not edited without losing something of it")
    remedy = later("The findings are written to a workbook of their own instead.")


class NoMarksError(CopyError):
    """There are no marks of ours in the workbook, or no record of them."""

    meaning = later("holds no record of marks that could be taken off")
    remedy = later(
        "Use a copy that `sheetcheck` has made; where a program dropped its hidden record sheet, keep to your own book."
    )


class SettingError(SheetcheckError):
    """A setting that is unknown or has a wrong value.

    Parameters
    ----------
    where
        The file and key, the sheet and cell, or the option.
    problem
        What is wrong with it, and what would be right.
    """

    def __init__(self, where: str, problem: str) -> None:
        super().__init__(where, problem)
        self.where = where
        self.problem = problem

    def __str__(self) -> str:
        return tr("Setting {where}: {problem}", where=self.where, problem=self.problem)


def _sentence(name: str, meaning: str, detail: str, remedy: str) -> str:
    said = {"name": name, "meaning": tr(meaning), "detail": detail, "remedy": tr(remedy)}
    if detail:
        return tr("{name}: {meaning} ({detail}). {remedy}", **said)
    return tr("{name}: {meaning}. {remedy}", **said)
