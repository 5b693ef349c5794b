"""`sheetcheck ingredients`."""

from __future__ import annotations

from rich.markup import escape
from rich.table import Table

from sheetcheck.chemistry.recognised import Recognised, what_is_recognised
from sheetcheck.chemistry.superfat import PHRASES
from sheetcheck.cli import fats_command
from sheetcheck.cli.console import Console
from sheetcheck.errors import SettingError
from sheetcheck.words import later, tr

HEADINGS = {
    "fat": later("Fats, oils, waxes, fatty acids"),
    "alkali": later("Alkalis"),
    "liquid": later("Liquids"),
    "acid": later("Acids"),
    "additive": later("Other things"),
}
SUPERFAT = "superfat"


def run(name: str | None, kind: str | None) -> None:
    """Print one substance, one kind of them, or all, each with what an audit does with it and its source."""
    console = Console()
    if name is not None:
        fats_command.run(name)
        return
    if kind is not None and kind not in (*HEADINGS, SUPERFAT):
        kinds = ", ".join((*HEADINGS, SUPERFAT))
        raise SettingError(f"--kind {kind}", tr("should be one of {kinds}", kinds=kinds))
    for role, heading in HEADINGS.items():
        if kind in (None, role):
            console.print(_table(tr(heading), what_is_recognised(role)))
            console.print()
    if kind in (None, SUPERFAT):
        console.print(_phrases())


def _table(title: str, listed: tuple[Recognised, ...]) -> Table:
    table = Table(title=title, title_justify="left", box=None, padding=(0, 2, 0, 0))
    for heading in (tr("name"), tr("what is done with it"), tr("source")):
        table.add_column(heading, overflow="fold")
    for found in listed:
        table.add_row(*map(escape, (found.name, _done(found), tr(found.source))))
    return table


def _done(found: Recognised) -> str:
    """Say what is done with it; of what is refused, why as well."""
    return found.done if found.computed else f"{found.done}. {tr(found.note)}"


def _phrases() -> Table:
    table = Table(title=tr("Superfat in words"), title_justify="left", box=None, padding=(0, 2, 0, 0))
    for heading in (tr("a book says"), tr("it means")):
        table.add_column(heading)
    for phrase in PHRASES:
        table.add_row(escape(phrase.phrase), escape(tr(phrase.meaning)))
    return table
