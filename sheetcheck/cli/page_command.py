"""`sheetcheck page`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import typer

from sheetcheck.cli.options import settings_from
from sheetcheck.words import tr


def run(settings: Path | None, *, browser: bool) -> None:
    """Serve the page until it is closed."""
    from sheetcheck.page.server import Server, open_browser

    def began(address: str) -> None:
        typer.echo(tr("The page is at {address}", address=address))
        typer.echo(tr("It is closed by its own button, with its last tab, or here with Ctrl+C."))
        if browser:
            open_browser(address)

    Server(replace(settings_from(settings), for_many_books=True)).run(began)
    typer.echo(tr("Closed. Nothing of your workbooks was kept."))
