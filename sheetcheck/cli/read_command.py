"""`sheetcheck read`."""

from __future__ import annotations

from pathlib import Path

from rich.markup import escape
from rich.table import Table

from sheetcheck.cli.console import Console
from sheetcheck.cli.options import settings_from
from sheetcheck.errors import SettingError
from sheetcheck.model import Book, SheetReading
from sheetcheck.report.settings_file import settings_to_start_from
from sheetcheck.report.words import PASSED_OVER, READ_AS, recipes
from sheetcheck.words import speaking, tr


def run(
    path: Path, sheets: tuple[str, ...], settings: Path | None, unit: str | None, write_settings: Path | None
) -> None:
    """Print how each sheet is understood."""
    from sheetcheck.pipeline import understand

    book = understand(path, settings_from(settings, sheets, unit))
    with speaking(book.manner.voice()):
        _show(book, write_settings)


def _show(book: Book, write_settings: Path | None) -> None:
    console = Console()
    for sheet in book.sheets:
        _show_sheet(sheet, console)
    for notice in book.notices:
        console.print(escape(notice), highlight=False)
    _show_not_understood(book, console)
    if write_settings is not None:
        _write(book, write_settings)
        console.print(tr("Settings to start from: {place}", place=write_settings), highlight=False, markup=False)


def _show_sheet(sheet: SheetReading, console: Console) -> None:
    layout = tr(sheet.layout)
    said = ", ".join([layout, recipes(sheet.recipes)]) if sheet.recipes else layout
    console.print(f"[bold]{escape(sheet.sheet)}[/bold]: {escape(said)}", highlight=False)
    for line in sheet.evidence:
        console.print(f"  {escape(line)}", highlight=False)
    if sheet.columns:
        table = Table(box=None, padding=(0, 2, 0, 0))
        for heading in ("", tr("heading"), tr("read as"), tr("unit"), tr("unit from")):
            table.add_column(heading)
        for c in sheet.columns:
            role = tr(PASSED_OVER.get(c.role, c.role))
            said = tr(READ_AS, role=role, substance=tr(c.substance)) if c.substance else role
            table.add_row(escape(c.place), escape(c.heading), escape(said), c.unit or "", tr(c.unit_from or ""))
        console.print(table)
    console.print()


def _show_not_understood(book: Book, console: Console) -> None:
    if not book.not_understood:
        console.print(escape(tr("Everything on the recipe sheets was read.")))
        return
    console.print(f"[bold]{escape(tr('Not read'))}[/bold]")
    for n in book.not_understood:
        console.print(f"  {escape(n.sheet)}!{n.cell}: {escape(n.what)} – {escape(n.why)}", highlight=False)


def _write(book: Book, target: Path) -> None:
    if target.exists():
        raise SettingError(str(target), tr("stands there already; name another file"))
    try:
        target.write_text(settings_to_start_from(book), encoding="utf-8")
    except OSError as error:
        raise SettingError(str(target), tr("cannot be written: {reason}", reason=error.strerror)) from error
