"""`sheetcheck audit`."""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

from sheetcheck.cli import debug
from sheetcheck.cli.console import Console
from sheetcheck.cli.options import meanings_from, settings_from
from sheetcheck.cli.progress import progress_on_terminal
from sheetcheck.cli.status import Status
from sheetcheck.errors import SettingError
from sheetcheck.model import Audit, CopyReport, Signal
from sheetcheck.settings import Settings
from sheetcheck.words import speaking, tr


@dataclass(frozen=True, kw_only=True)
class Request:
    """What was asked for."""

    book: Path
    out: Path | None
    report: str | None
    sheets: tuple[str, ...]
    answers: tuple[str, ...]
    settings: Path | None
    unit: str | None
    fail_on: Signal
    paper: str | None
    overwrite: bool
    quiet: bool
    jobs: int


def run(request: Request) -> Status:
    """Audit, write the copy and the report, show what was found; return the exit status."""
    from sheetcheck.pipeline import check

    settings = settings_from(request.settings, request.sheets, request.unit, request.paper)
    meanings = meanings_from(request.answers)
    if request.book.is_dir():
        return _folder(request, replace(settings, names={**settings.names, **meanings}))
    with progress_on_terminal(shown=not request.quiet) as progress:
        done = check(
            request.book,
            request.out,
            settings,
            meanings=meanings,
            overwrite=request.overwrite,
            progress=progress,
            report=request.report,
        )
    debug.tell_faults(done.audit.faults)
    if not request.quiet:
        # A report on standard output must stand there alone.
        _show(done.audit, done.copy, done.copy_report, to_stderr=request.report == "-")
    if not done.editable:
        return Status.NOT_EDITABLE
    return status_of(done.audit, request.fail_on)


def _folder(request: Request, settings: Settings) -> Status:
    from sheetcheck.cli import folder_command

    if request.report is not None:
        raise SettingError("--report", tr("is for one book; a folder gets a summary workbook"))
    return folder_command.run(
        request.book,
        request.out,
        settings,
        fail_on=request.fail_on,
        overwrite=request.overwrite,
        quiet=request.quiet,
        jobs=request.jobs,
    )


def status_of(audit: Audit, fail_on: Signal) -> Status:
    """Return 0 where nothing is at or above `fail_on`, every recipe was checked and nothing is missing, else 1."""
    reached = any(f.signal.rank >= fail_on.rank for f in audit.findings)
    unchecked = bool((audit.recipes["verdict"] == "not checked").any())
    return Status.FINDINGS if reached or unchecked or audit.missing else Status.FINE


def _show(audit: Audit, copy: Path, copied: CopyReport, *, to_stderr: bool) -> None:
    from sheetcheck.report.terminal import show

    console = Console(stderr=to_stderr, soft_wrap=not sys.stdout.isatty())
    show(audit, console)
    console.print()
    with speaking(audit.book.manner.voice()):
        last = tr("Checked copy: {copy}", copy=copy)
    for sentence in (*audit.book.notices, *copied.warnings, last):
        console.print(sentence, highlight=False, markup=False)
