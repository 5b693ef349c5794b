"""`sheetcheck fats`."""

from __future__ import annotations

import math

from rich.markup import escape
from rich.table import Table

from sheetcheck.cli.console import Console
from sheetcheck.errors import SettingError
from sheetcheck.reference import Substance, sources, substances
from sheetcheck.words import later, number, tr

UNIT = later("mg KOH per g")


def run(name: str | None) -> None:
    """Print the values of one substance, or the table of fats."""
    console = Console()
    if name is None:
        _table(console)
        return
    from sheetcheck.reading.names.identify import identify

    found = identify(name)
    if found.substance is None:
        unknown = tr("is not known for certain; `sheetcheck fats` lists them")
        could_be = ", ".join(found.candidates)
        why = tr("is not known for certain; it could be one of: {names}", names=could_be) if could_be else unknown
        raise SettingError(f"NAME {name}", why)
    _one(console, substances()[found.substance], name, found.certainty)


def _table(console: Console) -> None:
    title = tr("Saponification values, {unit}", unit=tr(UNIT))
    table = Table(title=title, title_justify="left", box=None, padding=(0, 2, 0, 0))
    table.add_column(tr("fat"))
    for heading in (tr("low"), tr("typical"), tr("high")):
        table.add_column(heading, justify="right")
    table.add_column(tr("source"))
    for s in substances().values():
        if s.kind == "fat":
            source = sources()[s.source]
            table.add_row(
                escape(s.names["en"][0]),
                *(number(value, 1) for value in (s.sap_low, s.sap_typical, s.sap_high)),
                escape(tr(str(source))),
            )
    console.print(table)


def _one(console: Console, s: Substance, asked: str, certainty: str) -> None:
    if certainty != "exact":
        console.print(escape(tr("{asked} is read as {name}.", asked=asked, name=s.names["en"][0])))
    console.print(f"[bold]{escape(s.names['en'][0])}[/bold] ({tr(s.kind)})")
    lines = [
        (tr("saponification value"), _range(s), tr(UNIT)),
        (tr("density near 20 °C"), _figure(s.density), "g/mL"),
        (tr("water"), _figure(100 * s.water), "%"),
        (tr("fat"), _figure(100 * s.fat) if s.kind != "fat" else "", "%"),
        (tr("sugar"), _figure(100 * s.sugar), "%"),
        (tr("NaOH taken up"), _figure(s.naoh_per_g), tr("g per g")),
        (tr("weight of a US cup"), _figure(s.g_per_cup), "g"),
    ]
    for what, figure, unit in lines:
        if figure:
            console.print(f"  {what}: {figure} {unit}", highlight=False)
    others = sorted({n for language, names in s.names.items() for n in names if language == "en"} - {s.names["en"][0]})
    if others:
        console.print(f"  {escape(tr('also written: {names}', names=', '.join(others)))}", highlight=False)
    if s.similar:
        console.print(f"  {escape(tr('easily confused with: {names}', names=', '.join(s.similar)))}", highlight=False)
    if s.note:
        console.print(f"  {escape(tr(s.note))}", highlight=False)
    console.print(f"  {escape(tr('source: {source}', source=tr(str(sources()[s.source]))))}", highlight=False)


def _range(s: Substance) -> str:
    if math.isnan(s.sap_typical):
        return ""
    typical, low, high = (number(value, 1) for value in (s.sap_typical, s.sap_low, s.sap_high))
    return tr("{typical} (from {low} to {high})", typical=typical, low=low, high=high)


def _figure(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.4g}"
