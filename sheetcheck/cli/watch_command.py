"""`sheetcheck watch`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import typer

from sheetcheck.cli.options import settings_from
from sheetcheck.errors import BookNotFoundError
from sheetcheck.words import tr


def run(folder: Path, settings: Path | None, unit: str | None) -> None:
    """Audit each workbook of a folder when it is saved, until interrupted."""
    from sheetcheck.plugins.watch import Watcher

    if not folder.is_dir():
        raise BookNotFoundError(folder, tr("it is not a folder"))
    watcher = Watcher(folder.resolve(), replace(settings_from(settings, unit=unit), for_many_books=True), typer.echo)
    typer.echo(tr("Watching {folder}. Save a workbook there and it is checked. Press Ctrl+C to stop.", folder=folder))
    watcher.run()
