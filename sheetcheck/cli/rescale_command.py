"""`sheetcheck rescale`."""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rich.markup import escape
from rich.table import Table

from sheetcheck.cli.console import Console
from sheetcheck.cli.options import settings_from
from sheetcheck.cli.progress import progress_on_terminal
from sheetcheck.cli.status import Status
from sheetcheck.errors import SettingError
from sheetcheck.report.words import recipes
from sheetcheck.words import number, tr

if TYPE_CHECKING:
    from sheetcheck.rescaling.scaling import Rescaled

_REASONS_SHOWN = 12


@dataclass(frozen=True, kw_only=True)
class Request:
    """What was asked for."""

    book: Path
    to: tuple[str, ...]
    out: Path | None
    moulds: Path | None
    recipes: tuple[str, ...]
    also: tuple[str, ...]
    keep_lye: bool
    bench: Mapping[str, str | None]
    date: str | None
    paper: str | None
    sheets: tuple[str, ...]
    settings: Path | None
    unit: str | None
    overwrite: bool
    quiet: bool


def run(request: Request) -> Status:
    """Rescale, write the workbook, show what was left out; return the exit status."""
    from sheetcheck.pipeline import rescale
    from sheetcheck.rescaling.drift import too_coarse
    from sheetcheck.rescaling.not_taken_over import not_read
    from sheetcheck.rescaling.rows import job_rows

    date = _date(request.date)
    with progress_on_terminal(shown=not request.quiet) as progress:
        rescaled, written = rescale(
            request.book,
            request.to,
            request.out,
            settings_from(request.settings, request.sheets, request.unit, request.paper),
            bench={key: said for key, said in request.bench.items() if said is not None},
            moulds=request.moulds,
            also=request.also,
            only=request.recipes,
            keep_lye=request.keep_lye,
            date=date,
            overwrite=request.overwrite,
            progress=progress,
        )
    coarse = [(job.name, said) for job in job_rows(rescaled.jobs) if (said := too_coarse(job, rescaled))]
    if not request.quiet:
        _show(rescaled, written, coarse)
    amiss = rescaled.left_out or coarse or not_read(rescaled, among_recipes=True)
    return Status.FINDINGS if amiss else Status.FINE


def _date(text: str | None) -> dt.date | None:
    if text is None:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise SettingError(f"--date {text}", tr("should be a date such as 2026-05-01")) from None


def _show(rescaled: Rescaled, written: Path, coarse: Sequence[tuple[str, str]]) -> None:
    from sheetcheck.rescaling.in_a_sentence import summary_sentence
    from sheetcheck.rescaling.not_taken_over import in_another_shape, not_read

    console = Console(soft_wrap=not sys.stdout.isatty())
    counts = Counter(rescaled.jobs["label"])
    for target in rescaled.targets:
        console.print(f"{target.label}: {recipes(counts[target.label])}", highlight=False, markup=False)
    _list(console, tr("Scale too coarse"), coarse)
    left_out = [
        (f"{left.sheet}: {left.name}" + (f" ({left.target})" if left.target else ""), left.why)
        for left in rescaled.left_out
    ]
    _list(console, tr("Not rescaled"), left_out)
    unread = not_read(rescaled, among_recipes=True)
    _list(console, tr("Not read in your book"), unread)
    _list(console, tr("In another shape than in your book"), in_another_shape(rescaled))
    console.print()
    console.print(summary_sentence(rescaled, len(coarse), len(unread)), highlight=False, markup=False)
    console.print(tr("Rescaled book: {book}", book=written), highlight=False, markup=False)


def _list(console: Console, title: str, told: Sequence[tuple[str, str]]) -> None:
    """Print names, each with its sentence, as many as a screen bears."""
    if not told:
        return
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    for name, sentence in told[:_REASONS_SHOWN]:
        table.add_row(escape(name), escape(sentence))
    console.print(escape("\n" + title), highlight=False)
    console.print(table)
    if len(told) > _REASONS_SHOWN:
        more = number(len(told) - _REASONS_SHOWN, 0)
        console.print(escape(tr("… and {more} more, on the sheet “Please note”", more=more)), highlight=False)
