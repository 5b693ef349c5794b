"""Progress of a command, on a terminal only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console

from sheetcheck.words import tr


@contextmanager
def progress_on_terminal(*, shown: bool) -> Iterator[Callable[[str], None]]:
    """Show the stage that is running; give back the function that names it."""
    console = Console(stderr=True)
    if not shown or not console.is_terminal:
        yield lambda _stage: None
        return
    with console.status(tr("starting")) as status:
        yield lambda stage: status.update(tr(stage))
