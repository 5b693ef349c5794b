"""The workbook of rescaled recipes: an overview, the recipes as tables, the weigh sheets."""

from __future__ import annotations

import datetime as dt
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from sheetcheck.errors import CopyIsBookError, CopyNotWritableError
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.notes import write_notes
from sheetcheck.rescaling.overview import write_overview
from sheetcheck.rescaling.reckoned_with import write_reckoned_with
from sheetcheck.rescaling.rows import job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.tables import groups, write_group
from sheetcheck.rescaling.weigh_sheets import WeighSheet
from sheetcheck.rescaling.weighing import weighings
from sheetcheck.words import number, tr
from sheetcheck.workbook.target import is_original, is_same_file
from sheetcheck.workbook.weigh_record import write_record

Progress = Callable[[str], None]


def write_rescaled(
    rescaled: Rescaled,
    target: Path,
    *,
    made: dt.datetime | None = None,
    progress: Progress = lambda _: None,
) -> None:
    """Write the workbook; it appears whole or not at all.

    Parameters
    ----------
    made
        The date that the file gives as its own; now where None.

    Raises
    ------
    CopyNotWritableError
        The place cannot be written to.
    """
    try:
        with tempfile.TemporaryDirectory(prefix=".sheetcheck-", dir=target.parent) as folder:
            draft = Path(folder) / "rescaled.xlsx"
            _write(rescaled, draft, made, progress)
            os.replace(draft, target)  # noqa: PTH105 - as atomic as the system has it
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or str(error)) from error


def choose_place(book: Path, out: Path | None, *, overwrite: bool, moulds: Path | None = None) -> Path:
    """Return where the rescaled book goes: `<name>.rescaled.xlsx` beside the book, or `out`.

    Raises
    ------
    CopyError
        It is the book itself or the workbook of the moulds, its folder is missing, or a file stands there and
        `overwrite` is false.
    """
    target = out if out is not None else book.with_name(f"{book.stem}.rescaled.xlsx")
    if target.suffix.lower() != ".xlsx":
        raise CopyNotWritableError(target, tr("the name of a rescaled book ends in .xlsx"))
    if is_original(book, target) or (moulds is not None and is_same_file(moulds, target)):
        raise CopyIsBookError(target)
    if not target.parent.is_dir():
        raise CopyNotWritableError(target, tr("there is no folder {folder}", folder=target.parent))
    if target.exists() and not overwrite:
        raise CopyNotWritableError(
            target, tr("a file stands there already, perhaps with weights written in; --overwrite replaces it")
        )
    return target


def _write(rescaled: Rescaled, target: Path, made: dt.datetime | None, progress: Progress) -> None:
    properties: dict[str, object] = {"title": tr("Rescaled: {book}", book=rescaled.audit.book.name)}
    pages = Pages(target, rescaled.audit.paper, properties | ({"created": made} if made else {}))
    tables = list(groups(rescaled))
    overview, notes = pages.name_for(tr("Overview")), pages.name_for(tr("Please note"))
    table_names = [pages.name_for(group.name) for group in tables]
    sheets = {job.Index: pages.name_for(f"W{job.Index} {job.own_name}") for job in job_rows(rescaled.jobs)}
    lines = weighings(rescaled) if sheets else {}
    write_overview(pages, overview, notes, rescaled, sheets)
    write_notes(pages, notes, rescaled, lines)
    for name, group in zip(table_names, tables, strict=True):
        write_group(pages, name, group)
    write_reckoned_with(pages, rescaled.audit)
    for done, job in enumerate(job_rows(rescaled.jobs), 1):
        if done % 50 == 1:
            progress(tr("writing weigh sheet {number} of {all}", number=number(done, 0), all=number(len(sheets), 0)))
        WeighSheet(pages, sheets[job.Index], job, lines[job.Index], rescaled).write()
    write_record(pages.book, [overview, notes, *sheets.values()], taken=pages.name_for("sheetcheck weigh sheets"))
    progress(tr("saving the workbook"))
    pages.book.close()
