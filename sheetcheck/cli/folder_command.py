"""`sheetcheck audit FOLDER`: every workbook of a folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

from sheetcheck.cli.console import Console, visible
from sheetcheck.cli.status import Status
from sheetcheck.errors import SettingError
from sheetcheck.model import Signal
from sheetcheck.settings import Settings
from sheetcheck.words import tr, tr_count

ALL_CORES = -1


def run(  # noqa: PLR0913 - what the command offers
    folder: Path, out: Path | None, settings: Settings, *, fail_on: Signal, overwrite: bool, quiet: bool, jobs: int
) -> Status:
    """Audit every workbook below a folder; return the exit status for all of them together."""
    from sheetcheck.many import NOT_AUDITED, SUMMARY, Done, Outcome, check_folder, total

    if out is None:
        raise SettingError("--out", tr("is needed for a folder: name the folder for the copies"))
    console = Console(stderr=True)

    @contextmanager
    def shown() -> Iterator[Done]:
        if quiet or not console.is_terminal:
            yield lambda outcome, _books: None if quiet else print(visible(f"{outcome.book}: {outcome.sentence}"))  # noqa: T201 - the command's output
            return
        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
        with Progress(*columns, console=console) as progress:
            task = progress.add_task(tr("books"), total=None)

            def done(outcome: Outcome, books: int) -> None:
                progress.update(task, total=books, advance=1)
                progress.console.print(f"{outcome.book}: {outcome.sentence}", markup=False, highlight=False)

            yield done

    with shown() as done:
        outcomes = check_folder(folder, out, settings, jobs=jobs, overwrite=overwrite, done=done)
    if not quiet:
        said = tr_count(
            "Summary of {count} book: {place}",
            "Summary of {count} books: {place}",
            len(outcomes),
            place=out / SUMMARY,
        )
        print(visible(said))  # noqa: T201 - the command's output
        print(total(outcomes))  # noqa: T201 - the same
    if all(o.worst == NOT_AUDITED for o in outcomes):
        return Status.FAILED
    ranks = {signal.value: signal.rank for signal in Signal}
    amiss = any(o.worst == NOT_AUDITED or o.not_checked or ranks.get(o.worst, 0) >= fail_on.rank for o in outcomes)
    return Status.FINDINGS if amiss else Status.FINE
