"""`sheetcheck start`."""

from __future__ import annotations

import shutil
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable
from pathlib import Path

from rich.markup import escape

from sheetcheck.cli.console import Console
from sheetcheck.errors import CopyNotWritableError, SettingError
from sheetcheck.words import later, tr

SHAPES = {
    "rows": later("one recipe per row, a column for each fat"),
    "list": later("one ingredient per row, recipes below each other"),
    "cards": later("recipe cards, two side by side"),
    "moulds": later("a list of your moulds, for rescaling"),
}
LAUNCHER = "launcher"
A_LAUNCHER = later("a file to drop workbooks on")


def run(shape: str, new: Path | None, unit: str) -> None:
    """Copy the blank book of a shape to a new place, or write a launcher; nothing is ever overwritten."""
    console = Console()
    if shape == LAUNCHER:
        _write_launcher(new, console)
        return
    if shape not in SHAPES:
        known = {**SHAPES, LAUNCHER: A_LAUNCHER}
        choices = "; ".join(f"{name} ({tr(what)})" for name, what in known.items())
        raise SettingError(f"SHAPE {shape}", tr("should be one of: {choices}", choices=choices))
    if unit not in ("oz", "g"):
        raise SettingError(f"--unit {unit}", tr("should be oz or g: the unit that the headings of the new book say"))
    target = new if new is not None else Path(f"{'' if shape == 'moulds' else 'recipes-'}{shape}.xlsx")
    if target.suffix.lower() != ".xlsx":
        raise SettingError(f"NEW {target}", tr("should end in .xlsx"))
    if target.exists():
        raise CopyNotWritableError(target, tr("a file stands there already, and is left as it is"))
    with as_file(_folder() / f"{shape}-{unit}.xlsx") as blank:
        try:
            shutil.copyfile(blank, target)
        except OSError as error:
            raise CopyNotWritableError(target, error.strerror or "") from error
    console.print(
        tr("New workbook: {book} ({shape})", book=target, shape=tr(SHAPES[shape])), highlight=False, markup=False
    )


def _write_launcher(place: Path | None, console: Console) -> None:
    from sheetcheck.plugins.launcher import write_launcher

    console.print(tr("Launcher: {place}", place=write_launcher(place)), highlight=False, markup=False)
    console.print(escape(tr("Drop a recipe workbook on it: it is checked, and the checked copy opens.")))


def _folder() -> Traversable:
    """Return the folder of blank books: in the installed package, or beside it in a checkout."""
    package = files("sheetcheck")
    inside = package / "workbook_templates"
    return inside if inside.is_dir() else Path(str(package)).parent / "workbook_templates"
