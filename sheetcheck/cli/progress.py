"""Progress of a command, on a terminal only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.markup import escape
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

from sheetcheck.cli.console import Console
from sheetcheck.words import tr


@contextmanager
def progress_on_terminal(*, shown: bool) -> Iterator[Callable[[str], None]]:
    """Show the stage that is running; give back the function that names it."""
    console = Console(stderr=True)
    if not shown or not console.is_terminal:
        yield lambda _stage: None
        return
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task(tr("starting"), total=None)
        yield lambda stage: progress.update(task, description=escape(tr(stage)))
