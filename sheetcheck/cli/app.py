"""The commands."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sheetcheck import __version__
from sheetcheck.cli import calc_command, debug, excel_command
from sheetcheck.cli.console import visible
from sheetcheck.cli.status import Status
from sheetcheck.model import Signal
from sheetcheck.words import later, tr

app = typer.Typer(
    help=later(
        "Check a soap maker's own recipe workbook: recompute lye and liquid, find the cell that is probably wrong."
    ),
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
app.add_typer(excel_command.app, name="excel")
app.add_typer(calc_command.app, name="calc")

Book = Annotated[
    Path, typer.Argument(help=later("The workbook: .xlsx, .xlsm, .xltx, .xls, .ods, .csv or .tsv."), show_default=False)
]
Sheets = Annotated[
    list[str] | None, typer.Option("--sheet", help=later("Only this sheet; can be given more than once."))
]
Answers = Annotated[
    list[str] | None,
    typer.Option("--answer", help=later("What a word of yours means, “OO=olive oil”; can be given more than once.")),
]
SettingsFile = Annotated[Path | None, typer.Option("--settings", help=later("A settings file in TOML."))]
Unit = Annotated[
    str | None, typer.Option("--unit", help=later("Unit of amounts where the book says none: g, kg, oz or lb."))
]

Paper = Annotated[
    str | None,
    typer.Option(
        "--paper",
        help=later("Paper of the sheets that are made: a4 or letter; your own sheets keep theirs."),
        show_default=later("letter for a book in ounces or pounds, else a4"),
    ),
]


def _version(wanted: bool) -> None:  # noqa: FBT001 - typer calls it with the flag
    if wanted:
        typer.echo(f"sheetcheck {__version__}")
        raise typer.Exit


def _debug(wanted: bool) -> None:  # noqa: FBT001 - typer calls it with the flag
    if wanted:
        debug.want()


Debug = Annotated[
    bool,
    typer.Option("--debug", callback=_debug, is_eager=True, help=later("Show where a fault of the program came from.")),
]


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help=later("Show the version."))
    ] = False,
) -> None:
    """Check a soap maker's own recipe workbook."""


@app.command()
def audit(
    book: Book,
    out: Annotated[
        Path | None,
        typer.Option("--out", help=later("Where the checked copy goes."), show_default=later("beside the book")),
    ] = None,
    report: Annotated[
        str | None,
        typer.Option("--report", help=later("Write the report for other programs here; - for standard output.")),
    ] = None,
    sheet: Sheets = None,
    answer: Answers = None,
    settings: SettingsFile = None,
    unit: Unit = None,
    fail_on: Annotated[
        Signal,
        typer.Option(
            "--fail-on", case_sensitive=False, help=later("For scripts: from which word up the check counts as failed.")
        ),
    ] = Signal.WARNING,
    paper: Paper = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help=later("Replace what stands at the copy's or the report's place."))
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help=later("Print nothing but errors."))] = False,
    jobs: Annotated[
        int,
        typer.Option(
            "--jobs", help=later("How many books of a folder to check at a time (-1: as many as the computer can).")
        ),
    ] = -1,
    debug_wanted: Debug = False,  # noqa: ARG001 - its callback has seen to it
) -> None:
    """Check a recipe book, or every one of a folder, and write checked copies; the books are never written to."""
    from sheetcheck.cli import audit_command

    status = audit_command.run(
        audit_command.Request(
            book=book,
            out=out,
            report=report,
            sheets=tuple(sheet or ()),
            answers=tuple(answer or ()),
            settings=settings,
            unit=unit,
            fail_on=fail_on,
            paper=paper,
            overwrite=overwrite,
            quiet=quiet,
            jobs=jobs,
        )
    )
    raise typer.Exit(status)


@app.command()
def pages(
    book: Book,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            help=later("Where the pages go: a file that ends in .html or .pdf."),
            show_default=later("beside the book"),
        ),
    ] = None,
    recipe: Annotated[
        list[str] | None, typer.Option("--recipe", help=later("Only this recipe; can be given more than once."))
    ] = None,
    sheet: Sheets = None,
    answer: Answers = None,
    settings: SettingsFile = None,
    unit: Unit = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help=later("Replace what stands at that place."))] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help=later("Print nothing but errors."))] = False,
) -> None:
    """Check a recipe book and write a page for each recipe, to print or to read on a phone at the bench."""
    from sheetcheck.cli import pages_command

    status = pages_command.run(
        pages_command.Request(
            book=book,
            out=out,
            recipes=tuple(recipe or ()),
            sheets=tuple(sheet or ()),
            answers=tuple(answer or ()),
            settings=settings,
            unit=unit,
            overwrite=overwrite,
            quiet=quiet,
        )
    )
    raise typer.Exit(status)


@app.command()
def read(
    book: Book,
    sheet: Sheets = None,
    settings: SettingsFile = None,
    unit: Unit = None,
    write_settings: Annotated[
        Path | None, typer.Option("--write-settings", help=later("Write a settings file to start from."))
    ] = None,
) -> None:
    """Show how each sheet would be read; nothing is judged or written."""
    from sheetcheck.cli import read_command

    read_command.run(book, tuple(sheet or ()), settings, unit, write_settings)


@app.command()
def explain(
    rule: Annotated[
        str | None, typer.Argument(help=later("Name of a rule; without it, all are listed."), show_default=False)
    ] = None,
) -> None:
    """Explain a rule: the problem, why it matters, an example, what to do, where it comes from."""
    from sheetcheck.cli import explain_command

    explain_command.run(rule)


@app.command()
def fats(
    name: Annotated[
        str | None,
        typer.Argument(help=later("A fat, liquid or other substance, as you would write it."), show_default=False),
    ] = None,
) -> None:
    """Show the values of a fat (range, typical, sources), or of all of them."""
    from sheetcheck.cli import fats_command

    fats_command.run(name)


@app.command()
def ingredients(
    name: Annotated[
        str | None,
        typer.Argument(help=later("One of them, as you would write it; without it, all."), show_default=False),
    ] = None,
    kind: Annotated[
        str | None,
        typer.Option(
            "--kind",
            help=later("Only fat, alkali, liquid, acid or additive; superfat for how superfat may be said."),
            show_default=False,
        ),
    ] = None,
) -> None:
    """List what is recognised in a recipe, what a check does with it, and where the figures come from."""
    from sheetcheck.cli import ingredients_command

    ingredients_command.run(name, kind)


@app.command()
def start(
    shape: Annotated[
        str,
        typer.Argument(
            help=later(
                "rows, list or cards: a blank book; moulds: a list of yours; launcher: a file to drop books on."
            ),
            show_default=False,
        ),
    ],
    new: Annotated[
        Path | None,
        typer.Argument(
            help=later("The new file."), show_default=later("recipes-SHAPE.xlsx; for a launcher, the desktop")
        ),
    ] = None,
    unit: Annotated[str, typer.Option("--unit", help=later("Unit in the headings: oz or g."))] = "oz",
) -> None:
    """Make a blank recipe book with units in its headings, drop-downs, a values sheet and the cautions."""
    from sheetcheck.cli import start_command

    start_command.run(shape, new, unit)


@app.command()
def unmark(
    copy: Annotated[Path, typer.Argument(help=later("A checked copy."), show_default=False)],
    out: Annotated[Path, typer.Argument(help=later("Where your workbook without the marks goes."), show_default=False)],
    overwrite: Annotated[bool, typer.Option("--overwrite", help=later("Replace what stands at that place."))] = False,
) -> None:
    """Take the marks off a checked copy and keep the corrections made in it."""
    from sheetcheck.workbook import remove_marks

    remove_marks(copy, out, overwrite=overwrite)
    typer.echo(visible(tr("Marks taken off: {book}", book=out)))
    raise typer.Exit(Status.FINE)


@app.command()
def rescale(
    book: Book,
    to: Annotated[
        list[str],
        typer.Option(
            "--to",
            help=later(
                "A size: x2, fats=5kg, batch=9lb, bars=40x110g, moulds=NAME (of your list of moulds, or all), "
                '"mould=2 box 24 x 8 x 7 cm", "mould=1.5 L", "mould=holds 60 oz of fats"; can be given more than once.'
            ),
            show_default=False,
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", help=later("Where the rescaled book goes."), show_default=later("beside the book")),
    ] = None,
    moulds: Annotated[
        Path | None, typer.Option("--moulds", help=later("A workbook with your list of moulds, if the book has none."))
    ] = None,
    recipe: Annotated[
        list[str] | None, typer.Option("--recipe", help=later("Only this recipe; can be given more than once."))
    ] = None,
    also: Annotated[
        list[str] | None,
        typer.Option("--also", help=later("A flagged recipe that you have made sure of; never one with free lye.")),
    ] = None,
    keep_lye: Annotated[
        bool, typer.Option("--keep-lye", help=later("Scale lye and liquid as written, and show the difference."))
    ] = False,
    weigh_in: Annotated[
        str | None,
        typer.Option(
            "--weigh-in", help=later('Weigh in oz, g, or "lb oz".'), show_default=later("as the recipe is written")
        ),
    ] = None,
    scale: Annotated[
        list[str] | None,
        typer.Option(
            "--scale",
            help=later('Steps of your scale: "0.1 g to 500 g, 1 g to 5 kg"; one for grams, one for ounces.'),
            show_default=later("0.01 oz to 16 oz, 0.1 oz; 0.1 g to 500 g, 1 g"),
        ),
    ] = None,
    pot: Annotated[
        str | None,
        typer.Option("--pot", help=later("How much batter your pot may hold, 8 qt or 7.5 L; more is split.")),
    ] = None,
    pot_for: Annotated[
        str | None,
        typer.Option(
            "--pot-for",
            help=later("One pot for all moulds of a set, or one for each: set or mould."),
            show_default="set",
        ),
    ] = None,
    headspace: Annotated[
        str | None,
        typer.Option(
            "--headspace",
            help=later("Share of a mould to leave free below the fill height."),
            show_default=later("0 %"),
        ),
    ] = None,
    left_in_pot: Annotated[
        str | None,
        typer.Option(
            "--left-in-pot", help=later("Share of the batter that stays in the pot."), show_default=later("2 %")
        ),
    ] = None,
    cure_loss: Annotated[
        str | None,
        typer.Option("--cure-loss", help=later("What your bars lose until they are cured, 10 % or 8-12 %.")),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option("--date", help=later("Day of making, 2026-05-01: gives the days of cutting and curing.")),
    ] = None,
    paper: Paper = None,
    sheet: Sheets = None,
    settings: SettingsFile = None,
    unit: Unit = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help=later("Replace what stands at that place."))] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help=later("Print nothing but errors."))] = False,
) -> None:
    """Rescale a whole book to other sizes or moulds, lye computed anew; writes recipes and weigh sheets."""
    from sheetcheck.cli import rescale_command

    status = rescale_command.run(
        rescale_command.Request(
            book=book,
            to=tuple(to),
            out=out,
            moulds=moulds,
            recipes=tuple(recipe or ()),
            also=tuple(also or ()),
            keep_lye=keep_lye,
            bench={
                "weigh_in": weigh_in,
                "scale": "; ".join(scale) if scale else None,
                "pot": pot,
                "pot_for": pot_for,
                "headspace": headspace,
                "left_in_pot": left_in_pot,
                "cure_loss": cure_loss,
            },
            date=date,
            paper=paper,
            sheets=tuple(sheet or ()),
            settings=settings,
            unit=unit,
            overwrite=overwrite,
            quiet=quiet,
        )
    )
    raise typer.Exit(status)


@app.command()
def watch(
    folder: Annotated[Path, typer.Argument(help=later("The folder of your recipe workbooks."), show_default=False)],
    settings: SettingsFile = None,
    unit: Unit = None,
) -> None:
    """Check each workbook of a folder whenever it is saved, and write the checked copy beside it."""
    from sheetcheck.cli import watch_command

    watch_command.run(folder, settings, unit)


@app.command()
def page(
    settings: SettingsFile = None,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help=later("Open the page, or only say where it is."))
    ] = True,
) -> None:
    """Open a page in your browser, served by this machine alone: drop a recipe book there."""
    from sheetcheck.cli import page_command

    page_command.run(settings, browser=browser)
