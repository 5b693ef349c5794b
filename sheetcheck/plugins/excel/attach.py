"""Finds the workbook that is open in Excel, and bounds how long Excel may keep us waiting."""

from __future__ import annotations

import subprocess
import sys
import time
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import xlwings as xw

from sheetcheck.plugins.errors import NoOpenBookError, NoProgramError, ProgramBusyError
from sheetcheck.words import later, tr

WAIT_SECONDS = 15.0
_PAUSE_SECONDS = 0.25
_ATTEMPTS = 200  # of one call during the work; xlwings' own default is to try for ever

_CALL_REJECTED = -2147418111  # RPC_E_CALL_REJECTED: Excel is in the middle of something (winerror.h)
_TIMED_OUT, _GONE = -1712, -609  # errAETimeout, connectionInvalid (MacErrors.h)
_NOT_PERMITTED = -1743  # errAEEventNotPermitted: automation is switched off for this program


def open_book(name: str | None = None) -> xw.Book:
    """Return the workbook of this name that is open in Excel, the active one without a name.

    Raises
    ------
    NoProgramError
        Excel does not run, or may not be driven.
    NoOpenBookError
        No workbook, or none of this name, is open in it.
    ProgramBusyError
        Excel does not answer.
    """
    if "excel" not in {engine.name for engine in xw.engines} and xw.engines.active is None:
        raise NoProgramError(
            tr("Excel can be driven on Windows and macOS only. Here, check the file: sheetcheck audit BOOK")
        )
    with bounded():
        _wait_until_ready()
        app = xw.apps.active if len(xw.apps) else None
        if app is None:
            raise NoProgramError(tr("Excel is not running. Open your recipe workbook in it and try again."))
        books = [book for one in xw.apps for book in one.books]
        if not books:
            raise NoOpenBookError(tr("No workbook is open in Excel. Open your recipe workbook and try again."))
        if name is None:
            return app.books.active
        for book in books:
            if name.lower() in (book.name.lower(), Path(book.name).stem.lower()):
                return book
        names = ", ".join(book.name for book in books)
        raise NoOpenBookError(tr("No workbook “{name}” is open in Excel. Open there: {names}.", name=name, names=names))


def calling_book() -> xw.Book:
    """Return the workbook that the button was pressed in: one by its name where that is told, else the one in front."""
    if hasattr(xw.Book, "_mock_caller"):
        return xw.Book.caller()
    name, window = _told("--wb="), _told("--hwnd=")
    if name is None:
        return open_book()
    with bounded():
        found = [book for app in xw.apps for book in app.books if _folded(book.name) == _folded(name)]
        if found:
            return found[0]
        in_front = [app for app in xw.apps if window is not None and len(app.books) and str(app.hwnd) == window]
        if in_front:  # of two Excels that in whose window the button was pressed
            return in_front[0].books.active
    return open_book()


def _told(option: str) -> str | None:
    """Return what the macro says; xlwings itself cuts a name off at a second "="."""
    return next((a.removeprefix(option) for a in sys.argv if a.startswith(option) and a != option), None)


def _folded(name: str) -> str:
    """Return a name as it is compared: macOS takes accents apart."""
    return unicodedata.normalize("NFC", name).casefold()


def local_path(book: xw.Book) -> Path | None:
    """Return where a workbook lies on this machine, None for one never saved or on a cloud address."""
    try:
        full_name = book.fullname
    except (xw.XlwingsError, OSError):
        return None
    if not full_name or "://" in full_name:
        return None
    path = Path(full_name)
    return path if path.is_absolute() and path.is_file() else None


@contextmanager
def bounded() -> Iterator[None]:
    """Bound the wait for Excel within the block, and turn a rejected call into one clear sentence.

    Raises
    ------
    ProgramBusyError, NoProgramError
    """
    engine = sys.modules.get("xlwings._xlwindows")
    before = getattr(engine, "N_COM_ATTEMPTS", None)
    if before is not None:
        setattr(engine, "N_COM_ATTEMPTS", _ATTEMPTS)  # noqa: B010 - a module known by its name only
    try:
        yield
    except Exception as error:
        if is_busy(error):
            raise ProgramBusyError("Excel") from error
        if _error_number(error) == _NOT_PERMITTED:
            raise NoProgramError(tr(AUTOMATION)) from error
        raise
    finally:
        if before is not None:
            setattr(engine, "N_COM_ATTEMPTS", before)  # noqa: B010 - as above


AUTOMATION = later(
    "This program may not drive Excel. Allow it under System Settings, Privacy & Security, Automation "
    "(for Terminal, and for Microsoft Excel where the button is used), and try again."
)


def is_busy(error: BaseException) -> bool:
    """Whether an error says that Excel does not answer at the moment."""
    return (
        type(error).__name__ == "ExcelBusyError"
        or getattr(error, "hresult", None) == _CALL_REJECTED
        or _error_number(error) in (_TIMED_OUT, _GONE)
        or isinstance(error, subprocess.TimeoutExpired)
    )


def _error_number(error: BaseException) -> int | None:
    number = getattr(error, "errornumber", None)
    return number if isinstance(number, int) else None


def _wait_until_ready() -> None:
    """Ask a small question until it is answered, for `WAIT_SECONDS` at most."""
    give_up = time.monotonic() + WAIT_SECONDS
    while True:
        try:
            for app in xw.apps:
                len(app.books)
        except Exception as error:
            if not is_busy(error) or time.monotonic() > give_up:
                raise
            time.sleep(_PAUSE_SECONDS)
        else:
            return
