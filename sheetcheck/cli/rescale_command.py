"""`sheetcheck rescale`."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping
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
from sheetcheck.rescaling.look import PAPERS
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
    paper: str
    sheets: tuple[str, ...]
    settings: Path | None
    unit: str | None
    overwrite: bool
    quiet: bool


def run(request: Request) -> Status:
    """Rescale, write the workbook, show what was left out; return the exit status."""
    from sheetcheck.pipeline import rescale

    if request.paper not in PAPERS:
        raise SettingError(f"--paper {request.paper}", tr("should be one of: {choices}", choices=", ".join(PAPERS)))
    with progress_on_terminal(shown=not request.quiet) as progress:
        rescaled, written = rescale(
            request.book,
            request.to,
            request.out,
            settings_from(request.settings, request.sheets, request.unit),
            bench={key: said for key, said in request.bench.items() if said is not None},
            moulds=request.moulds,
            also=request.also,
            only=request.recipes,
            keep_lye=request.keep_lye,
            paper=request.paper,
            overwrite=request.overwrite,
            progress=progress,
        )
    if not request.quiet:
        _show(rescaled, written)
    return Status.FINDINGS if rescaled.left_out else Status.FINE


def _show(rescaled: Rescaled, written: Path) -> None:
    console = Console(soft_wrap=not sys.stdout.isatty())
    counts = Counter(rescaled.jobs["label"])
    for target in rescaled.targets:
        console.print(f"{target.label}: {recipes(counts[target.label])}", highlight=False, markup=False)
    if rescaled.left_out:
        table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
        for left in rescaled.left_out[:_REASONS_SHOWN]:
            of = f" ({left.target})" if left.target else ""
            table.add_row(escape(f"{left.sheet}: {left.name}{of}"), escape(left.why))
        more = len(rescaled.left_out) - _REASONS_SHOWN
        console.print(escape("\n" + tr("Not rescaled")), highlight=False)
        console.print(table)
        if more > 0:
            said = tr("… and {more} more, on the overview of the workbook", more=number(more, 0))
            console.print(escape(said), highlight=False)
    console.print()
    console.print(tr("Rescaled book: {book}", book=written), highlight=False, markup=False)
