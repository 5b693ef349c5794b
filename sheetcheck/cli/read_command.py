"""`sheetcheck read`."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from sheetcheck.cli.options import settings_from
from sheetcheck.errors import SettingError
from sheetcheck.model import Book, SheetReading
from sheetcheck.report.settings_file import settings_to_start_from


def run(
    path: Path, sheets: tuple[str, ...], settings: Path | None, unit: str | None, write_settings: Path | None
) -> None:
    """Print how each sheet is understood."""
    from sheetcheck.pipeline import understand

    book = understand(path, settings_from(settings, sheets, unit))
    console = Console()
    for sheet in book.sheets:
        _show_sheet(sheet, console)
    _show_not_understood(book, console)
    if write_settings is not None:
        _write(book, write_settings)
        console.print(f"Settings to start from: {write_settings}", highlight=False, markup=False)


def _show_sheet(sheet: SheetReading, console: Console) -> None:
    recipes = f", {sheet.recipes} recipe{'s' if sheet.recipes != 1 else ''}" if sheet.recipes else ""
    console.print(f"[bold]{escape(sheet.sheet)}[/bold]: {escape(sheet.layout)}{recipes}", highlight=False)
    for line in sheet.evidence:
        console.print(f"  {escape(line)}", highlight=False)
    if sheet.columns:
        table = Table(box=None, padding=(0, 2, 0, 0))
        for heading in ("", "heading", "read as", "unit", "unit from"):
            table.add_column(heading)
        for c in sheet.columns:
            role = f"{c.role}: {c.substance}" if c.substance else c.role
            table.add_row(escape(c.place), escape(c.heading), escape(role), c.unit or "", c.unit_from or "")
        console.print(table)
    console.print()


def _show_not_understood(book: Book, console: Console) -> None:
    if not book.not_understood:
        console.print("Everything on the recipe sheets was read.")
        return
    console.print("[bold]Not read[/bold]")
    for n in book.not_understood:
        console.print(f"  {escape(n.sheet)}!{n.cell}: {escape(n.what)} – {escape(n.why)}", highlight=False)


def _write(book: Book, target: Path) -> None:
    if target.exists():
        raise SettingError(str(target), "stands there already; name another file")
    try:
        target.write_text(settings_to_start_from(book), encoding="utf-8")
    except OSError as error:
        raise SettingError(str(target), f"cannot be written: {error.strerror}") from error
