"""Made books through the tool, in this process and without a copy written."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from sheetcheck import pipeline
from sheetcheck.errors import SheetcheckError
from sheetcheck.model import Audit
from sheetcheck.report.json_report import build
from tests.benchmarks.unlike_books.model import Made

Reader = Callable[[Path], Audit]


def reader(*, weighing: bool) -> Reader:
    """The reader to measure: with the weighing of whole readings, or the one that an audit has today."""
    return partial(pipeline.audit, weighed=weighing)


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
