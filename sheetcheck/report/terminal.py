"""What the terminal shows: the verdict first, then counts, then the worst findings in the words of the sheet."""

from __future__ import annotations

import textwrap

from rich.console import Console
from rich.markup import escape

from sheetcheck.model import Audit, Finding, Signal
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import REMINDER, most_likely, verdict_sentence

COLOURS = {
    Signal.DANGER: "bold white on red",
    Signal.WARNING: "black on dark_orange",
    Signal.CAUTION: "black on yellow",
    Signal.NOTICE: "white on blue",
}
WORST_SHOWN = 12


def show(audit: Audit, console: Console, *, at_most: int = WORST_SHOWN) -> None:
    """Print the verdict, the counts and the worst findings."""
    counts = summary(audit)
    console.print(f"[bold]{escape(verdict_sentence(counts, in_danger(audit)))}[/bold]")
    console.print(
        "  ".join(f"[{COLOURS[s]}] {s} [/] {counts[s]}" for s in Signal)
        + f"   amounts read: {counts['amount_cells_read']} of {counts['amount_cells']}"
    )
    worst = sorted(
        (f for f in audit.findings if f.signal is not Signal.NOTICE),
        key=lambda f: (-f.signal.rank, f.recipe or 0),
    )
    for finding in worst[:at_most]:
        _show_finding(finding, audit, console)
    if len(worst) > at_most:
        console.print(f"… and {len(worst) - at_most} more; the copy lists them all.")
    _show_not_checked(audit, console, at_most)
    console.print(f"\n{escape(REMINDER)}", highlight=False)


def _show_finding(finding: Finding, audit: Audit, console: Console) -> None:
    names = [str(audit.recipes.at[r, "name"]) for r in finding.about()]
    who = names[0] if len(names) == 1 else f"{len(names)} recipes"
    console.print()
    console.print(
        f"[{COLOURS[finding.signal]}] {finding.signal} [/] [bold]{escape(who)}[/bold]"
        f"  {escape(finding.sheet)}!{finding.cell}",
        highlight=False,
    )
    for line in (finding.message, most_likely(finding)):
        if line:
            console.print(escape(_indented(line, console)), highlight=False)


def _indented(text: str, console: Console) -> str:
    """Indent a paragraph; on a terminal, wrap it to the width."""
    if not console.is_terminal:
        return f"    {text}"
    return textwrap.fill(text, max(console.width, 40), initial_indent="    ", subsequent_indent="    ")


def _show_not_checked(audit: Audit, console: Console, at_most: int) -> None:
    unchecked = audit.recipes[audit.recipes["verdict"] == "not checked"]
    if unchecked.empty:
        return
    console.print()
    console.print("[bold]Not checked[/bold]")
    for r in unchecked.head(at_most).to_dict("records"):
        line = f"{r['name']}, {r['sheet']}: {r['why_not_checked']}"
        console.print(escape(_indented(line, console)), highlight=False)
    if len(unchecked) > at_most:
        console.print(f"… and {len(unchecked) - at_most} more.")
