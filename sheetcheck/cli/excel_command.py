"""`sheetcheck excel`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from sheetcheck.cli.audit_command import status_of
from sheetcheck.cli.console import Console
from sheetcheck.cli.options import settings_from
from sheetcheck.cli.status import Status
from sheetcheck.model import Signal
from sheetcheck.plugins.errors import NoProgramError
from sheetcheck.words import later, tr, tr_count

app = typer.Typer(help=later("The workbook that is open in Excel (Windows and macOS)."), no_args_is_help=True)

OpenBook = Annotated[str | None, typer.Option("--book", help=later("Its name, where several are open."))]
SettingsFile = Annotated[Path | None, typer.Option("--settings", help=later("A settings file in TOML."))]
Unit = Annotated[str | None, typer.Option("--unit", help=later("Unit of amounts where the book says none."))]
Copy = Annotated[bool, typer.Option("--copy", help=later("Write the checked copy and open it."))]


@app.command()
def audit(
    book: OpenBook = None,
    *,
    copy: Copy = False,
    settings: SettingsFile = None,
    unit: Unit = None,
) -> None:
    """Check the open workbook, unsaved edits included; it is neither changed nor saved."""
    with _excel():
        from sheetcheck.plugins.excel.attach import open_book
        from sheetcheck.plugins.excel.auditing import audited
        from sheetcheck.report.terminal import show

        console = Console(soft_wrap=True)
        with audited(open_book(book), settings_from(settings, unit=unit)) as done:
            show(done.audit, console)
            if copy:
                copied = done.write_copy()
                for sentence in (*done.audit.book.notices, *copied.copy_report.warnings):
                    console.print(sentence, highlight=False, markup=False)
                console.print(tr("Checked copy: {copy}", copy=copied.copy), highlight=False, markup=False)
        raise typer.Exit(status_of(done.audit, Signal.WARNING))


@app.command()
def mark(
    book: OpenBook = None,
    settings: SettingsFile = None,
    unit: Unit = None,
) -> None:
    """Put notes and colours into the open workbook itself; `unmark` takes them off again."""
    with _excel():
        from sheetcheck.plugins.excel.attach import open_book
        from sheetcheck.plugins.excel.auditing import audited
        from sheetcheck.plugins.excel.marking import mark as put_marks
        from sheetcheck.report.marks import plan

        opened = open_book(book)
        with audited(opened, settings_from(settings, unit=unit)) as done:
            marked = put_marks(opened, plan(done.audit))
        typer.echo(
            tr_count(
                "{book}: {count} cell marked. Take the marks off with: sheetcheck excel unmark",
                "{book}: {count} cells marked. Take the marks off with: sheetcheck excel unmark",
                marked.cells,
                book=opened.name,
            )
        )
        if marked.without_note:
            cells = _list(marked.without_note)
            typer.echo(tr("Without a note, for there was one already or the cell takes none: {cells}", cells=cells))


@app.command()
def unmark(
    book: OpenBook = None,
) -> None:
    """Take the marks off the open workbook; what you changed in them since is left."""
    with _excel():
        from sheetcheck.plugins.excel.attach import open_book
        from sheetcheck.plugins.excel.marking import unmark as take_off

        opened = open_book(book)
        taken = take_off(opened)
        typer.echo(
            tr_count(
                "{book}: marks taken off {count} cell.",
                "{book}: marks taken off {count} cells.",
                taken.cells,
                book=opened.name,
            )
        )
        if taken.left:
            typer.echo(tr("Left, because you changed them: {cells}", cells=_list(taken.left)))


@app.command()
def install() -> None:
    """Put a button into Excel that checks the open workbook."""
    with _excel():
        from sheetcheck.plugins.excel import addin

        typer.echo(tr("Installed: {place}", place=addin.install()))
        typer.echo(tr("Quit Excel and start it again: there is a tab “Sheetcheck” with the button."))


@app.command()
def uninstall() -> None:
    """Take the button out of Excel."""
    with _excel():
        from sheetcheck.plugins.excel import addin

        removed = addin.uninstall()
        typer.echo(tr("Removed: {place}", place=removed) if removed else tr("There was no button installed."))


@app.command()
def doctor() -> None:
    """Say what the button needs, what is missing, and what to do about it."""
    with _excel():
        from sheetcheck.plugins.checks import show
        from sheetcheck.plugins.excel.doctor import examine

        well = show(examine(), Console(soft_wrap=True))
    raise typer.Exit(Status.FINE if well else Status.FINDINGS)


@contextmanager
def _excel() -> Iterator[None]:
    """Say in one sentence that xlwings is not there, which is installed on Windows and macOS only."""
    try:
        yield
    except ModuleNotFoundError as error:
        if error.name != "xlwings":
            raise
        raise NoProgramError(
            tr(
                "Excel can be driven on Windows and macOS only. Here, check the file (sheetcheck audit BOOK), "
                "or use LibreOffice (sheetcheck calc install)."
            )
        ) from error


def _list(cells: tuple[str, ...]) -> str:
    return ", ".join(cells)
