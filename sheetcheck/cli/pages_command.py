"""`sheetcheck pages`."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import typer

from sheetcheck.cli.options import meanings_from, settings_from
from sheetcheck.cli.progress import progress_on_terminal
from sheetcheck.cli.status import Status
from sheetcheck.words import speaking, tr_count


@dataclass(frozen=True, kw_only=True)
class Request:
    """What was asked for."""

    book: Path
    out: Path | None
    recipes: tuple[str, ...]
    sheets: tuple[str, ...]
    answers: tuple[str, ...]
    settings: Path | None
    unit: str | None
    overwrite: bool
    quiet: bool


def run(request: Request) -> Status:
    """Write a page for each recipe; return 1 where one of them is not to be weighed from."""
    from sheetcheck.pipeline import recipe_pages

    out = request.out or request.book.with_name(f"{request.book.stem}.pages.html")
    settings = settings_from(request.settings, request.sheets, request.unit)
    with progress_on_terminal(shown=not request.quiet) as progress:
        audit = recipe_pages(
            request.book,
            out,
            settings,
            meanings=meanings_from(request.answers),
            only=request.recipes,
            overwrite=request.overwrite,
            progress=progress,
        )
    wanted = {name.casefold() for name in request.recipes}
    shown = audit.recipes[[not wanted or str(name).casefold() in wanted for name in audit.recipes["name"]]]
    amiss = (shown["verdict"] == "not checked") | shown["signal"].isin(("DANGER", "WARNING"))
    if not request.quiet:
        with speaking(audit.book.manner.voice()):
            typer.echo(tr_count("{count} page: {place}", "{count} pages: {place}", len(shown), place=out))
            if amiss.any():
                many = int(amiss.sum())
                typer.echo(
                    tr_count(
                        "{count} of them is not to be weighed from.",
                        "{count} of them are not to be weighed from.",
                        many,
                    )
                )
    return Status.FINDINGS if amiss.any() else Status.FINE
