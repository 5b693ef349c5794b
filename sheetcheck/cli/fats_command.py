"""`sheetcheck fats`."""

from __future__ import annotations

import math

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from sheetcheck.errors import SettingError
from sheetcheck.reference import Substance, sources, substances

UNIT = "mg KOH per g"


def run(name: str | None) -> None:
    """Print the values of one substance, or the table of fats."""
    console = Console()
    if name is None:
        _table(console)
        return
    from sheetcheck.reading.names import identify

    found = identify(name)
    if found.substance is None:
        ask = f"it could be {' or '.join(found.candidates)}" if found.candidates else "`sheetcheck fats` lists them"
        raise SettingError(f"NAME {name}", f"is not known for certain; {ask}")
    _one(console, substances()[found.substance], name, found.certainty)


def _table(console: Console) -> None:
    table = Table(title=f"Saponification values, {UNIT}", title_justify="left", box=None, padding=(0, 2, 0, 0))
    table.add_column("fat")
    for heading in ("low", "typical", "high"):
        table.add_column(heading, justify="right")
    table.add_column("source")
    for s in substances().values():
        if s.kind == "fat":
            source = sources()[s.source]
            table.add_row(
                escape(s.names["en"][0]),
                f"{s.sap_low:.1f}",
                f"{s.sap_typical:.1f}",
                f"{s.sap_high:.1f}",
                escape(str(source)),
            )
    console.print(table)


def _one(console: Console, s: Substance, asked: str, certainty: str) -> None:
    if certainty != "exact":
        console.print(f"{escape(asked)} is {certainty} {escape(s.names['en'][0])}.")
    console.print(f"[bold]{escape(s.names['en'][0])}[/bold] ({s.kind})")
    lines = [
        ("saponification value", _range(s), UNIT),
        ("density near 20 °C", _figure(s.density), "g/mL"),
        ("water", _figure(100 * s.water), "%"),
        ("fat", _figure(100 * s.fat) if s.kind != "fat" else "", "%"),
        ("sugar", _figure(100 * s.sugar), "%"),
        ("NaOH taken up", _figure(s.naoh_per_g), "g per g"),
        ("weight of a US cup", _figure(s.g_per_cup), "g"),
    ]
    for what, figure, unit in lines:
        if figure:
            console.print(f"  {what}: {figure} {unit}", highlight=False)
    others = sorted({n for language, names in s.names.items() for n in names if language == "en"} - {s.names["en"][0]})
    if others:
        console.print(f"  also written: {escape(', '.join(others))}", highlight=False)
    if s.similar:
        console.print(f"  easily confused with: {escape(', '.join(s.similar))}", highlight=False)
    if s.note:
        console.print(f"  {escape(s.note)}", highlight=False)
    console.print(f"  source: {escape(str(sources()[s.source]))}", highlight=False)


def _range(s: Substance) -> str:
    if math.isnan(s.sap_typical):
        return ""
    return f"{s.sap_typical:.1f} (from {s.sap_low:.1f} to {s.sap_high:.1f})"


def _figure(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.4g}"
