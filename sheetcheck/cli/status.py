"""Exit statuses, and how an error becomes one clear sentence."""

from __future__ import annotations

import sys
import traceback
from enum import IntEnum

import typer

from sheetcheck.errors import SheetcheckError


class Status(IntEnum):
    """Exit statuses of the commands."""

    FINE = 0  # nothing at or above --fail-on, and every recipe checked
    FINDINGS = 1  # something to look at
    FAILED = 2  # the book could not be audited, or the command was wrong; nothing was written
    NOT_EDITABLE = 3  # audited; the findings stand in a workbook of their own, since the book cannot be edited safely
    INTERRUPTED = 130


def run(app: typer.Typer) -> None:
    """Run the command line and end the process with its status."""
    try:
        app()
    except SheetcheckError as error:
        print(f"sheetcheck: {error}", file=sys.stderr)  # noqa: T201 - the one place where an error is told
        sys.exit(Status.FAILED)
    except Exception:  # noqa: BLE001 - a fault of ours must not end with the status that means "findings"
        traceback.print_exc()
        print("sheetcheck: this is a fault of sheetcheck itself; please report it.", file=sys.stderr)  # noqa: T201 - as above
        sys.exit(Status.FAILED)
    except KeyboardInterrupt:
        print("sheetcheck: interrupted; nothing was written.", file=sys.stderr)  # noqa: T201 - as above
        sys.exit(Status.INTERRUPTED)
