"""`sheetcheck explain`."""

from __future__ import annotations

import difflib

from rich.markup import escape
from rich.table import Table

from sheetcheck.cli.console import Console
from sheetcheck.errors import SettingError
from sheetcheck.words import tr


def run(name: str | None) -> None:
    """Print the manual of one rule, or the list of all."""
    from sheetcheck.rules import all_rules

    console = Console()
    rules = {rule.name: rule for rule in all_rules()}
    if name is None:
        table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
        for rule in rules.values():
            table.add_row(f"[bold]{rule.name}[/bold]", escape(tr(rule.manual.problem)))
        console.print(table)
        console.print(escape("\n" + tr("`sheetcheck explain RULE` prints the whole of one.")))
        return
    if name not in rules:
        near = difflib.get_close_matches(name, rules, n=1)
        unknown = tr("there is no such rule; `sheetcheck explain` lists them")
        why = tr("there is no such rule; did you mean {rule}?", rule=near[0]) if near else unknown
        raise SettingError(f"RULE {name}", why)
    manual = rules[name].manual
    console.print(f"[bold]{name}[/bold]\n\n{escape(tr(manual.problem))}", highlight=False)
    for heading, text in manual.sections():
        console.print(f"\n[bold]{escape(tr(heading))}[/bold]\n{escape(tr(text))}", highlight=False)
