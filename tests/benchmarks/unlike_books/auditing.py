"""Made books through the tool, in this process and without a copy written."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sheetcheck import pipeline
from sheetcheck.errors import SheetcheckError
from sheetcheck.model import Audit
from sheetcheck.report.json_report import build
from tests.benchmarks.unlike_books.model import Made

Reader = Callable[[Path], Audit]

# The one place where a reader without the weighing of readings is plugged in, to measure what the weighing brings:
# a function that audits a workbook as `pipeline.audit` does. None: there is none yet.
WITHOUT_WEIGHING: Reader | None = None


def reader(*, weighing: bool) -> Reader:
    """The reader to measure.

    Raises
    ------
    RuntimeError
        Where the one without weighing is asked for and none is plugged in.
    """
    if weighing:
        return pipeline.audit
    if WITHOUT_WEIGHING is None:
        raise RuntimeError(f"no reader without weighing is plugged in: see WITHOUT_WEIGHING in {__name__}")
    return WITHOUT_WEIGHING


def report_of(made: Made, read: Reader) -> tuple[dict[str, Any] | None, str]:
    """The report on a made book, or None and why the book could not be audited."""
    with tempfile.TemporaryDirectory() as folder:
        path = made.write(Path(folder) / "book.xlsx")
        try:
            return build(read(path)), ""
        except SheetcheckError as error:
            return None, f"{type(error).__name__}: {error}"
        except Exception as error:  # noqa: BLE001 - a crash costs one book of a long run, and is told
            return None, f"CRASH {type(error).__name__}: {error}"
