"""`sheetcheck calc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sheetcheck.cli.console import Console
from sheetcheck.cli.status import Status
from sheetcheck.words import later, tr

app = typer.Typer(help=later("The menu in LibreOffice Calc."), no_args_is_help=True)

Profile = Annotated[
    Path | None,
    typer.Option("--profile", help=later("A folder of LibreOffice's settings, where it is not the usual one.")),
]


@app.command()
def install(profile: Profile = None) -> None:
    """Put a menu into LibreOffice Calc that checks the open workbook."""
    from sheetcheck.plugins.calc.install import install as put_in

    put_in(profile)
    typer.echo(tr("Installed. Start LibreOffice Calc again: the menu “Sheetcheck” is there."))


@app.command()
def uninstall(profile: Profile = None) -> None:
    """Take the menu out of LibreOffice Calc."""
    from sheetcheck.plugins.calc.install import uninstall as take_out

    typer.echo(tr("Removed.") if take_out(profile) else tr("The menu was not installed."))


@app.command()
def doctor(profile: Profile = None) -> None:
    """Say what the menu needs, what is missing, and what to do about it."""
    from sheetcheck.plugins.calc.doctor import examine
    from sheetcheck.plugins.checks import show

    well = show(examine(profile), Console(soft_wrap=True))
    raise typer.Exit(Status.FINE if well else Status.FINDINGS)
