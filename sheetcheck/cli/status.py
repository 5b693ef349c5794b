"""Exit statuses, and how an error becomes one clear sentence."""

from __future__ import annotations

import gc
import signal
import sys
from enum import IntEnum

import typer

from sheetcheck.cli import debug
from sheetcheck.cli.console import visible
from sheetcheck.cli.spoken import speak_as_the_system_does, spoken
from sheetcheck.errors import SheetcheckError
from sheetcheck.faults import place_of
from sheetcheck.words import tr

_SELDOM = 10_000  # new objects between looks for unreachable ones: a command makes many, and few go in circles


class Status(IntEnum):
    """Exit statuses of the commands."""

    FINE = 0  # nothing at or above --fail-on, and every recipe checked
    FINDINGS = 1  # something to look at
    FAILED = 2  # the book could not be audited, or the command was wrong; nothing was written
    NOT_EDITABLE = 3  # audited; the findings stand in a workbook of their own, since the book cannot be edited safely
    INTERRUPTED = 130


def run(app: typer.Typer) -> None:
    """Run the command line and end the process with its status."""
    gc.set_threshold(_SELDOM)
    debug.keep_warnings_quiet()
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # whoever ends it finds no half-written file either
    speak_as_the_system_does()
    try:
        spoken(app)()
    except SheetcheckError as error:
        _tell(str(error))
        sys.exit(Status.FAILED)
    except MemoryError:
        _tell(tr("the memory of this machine is used up; nothing was written."))
        sys.exit(Status.FAILED)
    except Exception as error:  # noqa: BLE001 - a fault of ours must not end with the status that means "findings"
        debug.tell_whole(error)
        _tell(tr("a fault of sheetcheck itself, in {place}; please report it.", place=place_of(error)))
        sys.exit(Status.FAILED)
    except KeyboardInterrupt:
        _tell(tr("interrupted; nothing was written."))
        sys.exit(Status.INTERRUPTED)


def _tell(sentence: str) -> None:
    print(visible(f"sheetcheck: {sentence}"), file=sys.stderr)  # noqa: T201 - the one place where an error is told
