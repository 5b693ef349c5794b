"""Every workbook of a folder: audited one by one or side by side, one bad book never stopping the rest.

Not even one at which a whole process ends, for want of memory say: what was going on then is done again, one book after
the other, and one that ends its process again is told of. A run that was interrupted goes on where it stopped: what is
done is kept, line by line, in a file of progress in the folder of copies, which the summary replaces at the end.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path

from joblib import Parallel, delayed, effective_n_jobs

from sheetcheck import __version__
from sheetcheck.errors import (
    BookNotFoundError,
    CopyIsBookError,
    CopyNotWritableError,
    SheetcheckError,
    StandsThereError,
)
from sheetcheck.model import CellContent, NewSheet, Signal, Styled
from sheetcheck.pipeline import check
from sheetcheck.report.fitting import heights, wide_enough, word_width
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import FINE, NOT_CHECKED, recipes, verdict_sentence
from sheetcheck.settings import Settings
from sheetcheck.words import Manner, later, number, speaking, tr, tr_count
from sheetcheck.workbook.copy import is_checked_copy
from sheetcheck.workbook.new_sheets import is_ours_unchanged, write_sheets
from sheetcheck.workbook.tabs import tab_name
from sheetcheck.workbook.target import extension_of_copy

OPEN_XML = frozenset({".xlsx", ".xlsm", ".xltx", ".xltm"})
BOOKS = OPEN_XML | {".xls", ".ods", ".csv", ".tsv"}
SUMMARY = "Check of all books.xlsx"
PROGRESS = ".sheetcheck-progress.jsonl"

NOT_AUDITED = later("not checked at all")
ALL_BOOKS = later("All books")
WIDTHS = (14, 34, 70, 9, 9, 11, 12, 38)
HEADINGS = (
    later("Worst"),
    later("Book"),
    later("How it stands"),
    later("Recipes"),
    later("Fine"),
    later("To look at"),
    later("Not checked"),
    later("Checked copy"),
)


@dataclass(frozen=True)
class Outcome:
    """What came of one book."""

    book: str  # its path within the folder
    sha256: str
    copy: str  # its copy's path within the folder of copies; "" where there is none
    sentence: str  # the verdict on the book, or why it was not audited
    worst: str  # the worst signal word, "" for none, "not audited"
    recipes: int = 0
    fine: int = 0
    flagged: int = 0
    not_checked: int = 0


Done = Callable[[Outcome, int], None]  # called with each outcome, and how many books there are


def _silent(_outcome: Outcome, _books: int) -> None:
    """Take no notice of the progress."""


def check_folder(  # noqa: PLR0913 - what the command offers
    folder: Path,
    out: Path,
    settings: Settings | None = None,
    *,
    jobs: int | None = None,
    executor: Executor | None = None,
    overwrite: bool = False,
    done: Done = _silent,
) -> list[Outcome]:
    """Audit every workbook below a folder, write the copies into `out` and a summary workbook beside them.

    Parameters
    ----------
    folder
        Searched with its sub-folders, which `out` repeats. Annotated copies and lock files are passed over.
    jobs
        How many books at once on this machine; None leaves it to joblib's configuration.
    executor
        What the audits are done by instead, on several machines for one: that of a Dask cluster is
        `distributed.Client(ADDRESS).get_executor()`. All must see the two folders under the same names.
    done
        Called in this process as each book is finished.

    Raises
    ------
    BookNotFoundError
        There is no such folder, or no workbook in it.
    CopyError
        `out` is the folder itself or cannot be written to, or a file of hers stands where the summary goes.
    """
    _make_folder(out, folder)
    summary_place = out / SUMMARY
    if summary_place.exists() and not overwrite and not is_ours_unchanged(summary_place):
        raise StandsThereError(summary_place)
    books = list(_books(folder, out))
    if not books:
        raise BookNotFoundError(folder, tr("there is no workbook in it"))
    settings = replace(settings or Settings(), for_many_books=True)
    progress = out / PROGRESS
    earlier = _earlier(progress, settings, out)
    outcomes, waiting = [], []
    for book in books:
        name = book.relative_to(folder).as_posix()
        known = earlier.get((name, _sha256(book)))
        if known is None:
            waiting.append(book)
            continue
        outcomes.append(known)
        done(known, len(books))
    task = partial(_one, folder=folder, out=out, settings=settings, overwrite=overwrite)
    with progress.open("a", encoding="utf-8") as lines:
        given = _side_by_side(task, waiting, folder, jobs) if executor is None else _by(executor, task, waiting, folder)
        for outcome in given:
            lines.write(json.dumps({"key": _key(settings), **asdict(outcome)}) + "\n")
            lines.flush()
            outcomes.append(outcome)
            done(outcome, len(books))
    outcomes.sort(key=lambda o: o.book)
    with speaking(Manner(settings.language).voice()):
        write_sheets([summary_sheet(outcomes)], summary_place)
    progress.unlink()
    return outcomes


def _side_by_side(
    task: Callable[[Path], Outcome], waiting: Sequence[Path], folder: Path, jobs: int | None
) -> Iterator[Outcome]:
    """Yield what comes of each book, as it comes; where a process ends, the books it may have had are done alone."""
    left = {book.relative_to(folder).as_posix(): book for book in waiting}
    alone = 0  # how many of those that are left, from the first on
    while left:
        name, book = next(iter(left.items()))
        side_by_side = Parallel(n_jobs=jobs, return_as="generator_unordered", batch_size=1)
        try:
            for outcome in side_by_side(map(delayed(task), [book] if alone else [*left.values()])):
                del left[outcome.book]
                yield outcome
        except Exception:  # noqa: BLE001 - an audit that fails is an outcome: a process has ended
            if not alone:
                alone = _AT_A_TIME * effective_n_jobs(-1 if jobs is None else jobs)
                continue
            del left[name]
            yield _lost(book, name)
        alone = max(alone - 1, 0)


def _by(
    executor: Executor, task: Callable[[Path], Outcome], waiting: Sequence[Path], folder: Path
) -> Iterator[Outcome]:
    """Yield what comes of each book, as it comes; what tries again where a process has ended is the executor's own."""
    books = {executor.submit(task, book): book for book in waiting}
    for future in as_completed(books):
        try:
            yield future.result()
        except Exception:  # noqa: BLE001 - as above
            yield _lost(books[future], books[future].relative_to(folder).as_posix())


def _lost(book: Path, name: str) -> Outcome:
    return Outcome(name, _sha256(book), "", tr(_ENDED, book=book.name), NOT_AUDITED)


_AT_A_TIME = 3  # books for each process: those given out, and those done and not yet told of
_ENDED = later("{book}: the process that audited it came to its end before the audit did, perhaps for want of memory.")


def _one(book: Path, folder: Path, out: Path, settings: Settings, *, overwrite: bool) -> Outcome:
    """Audit one book, in a process that knows no language yet."""
    with speaking(Manner(settings.language).voice()):
        return _outcome(book, folder, out, settings, overwrite=overwrite)


def _outcome(book: Path, folder: Path, out: Path, settings: Settings, *, overwrite: bool) -> Outcome:
    """Audit one book; a fault of the book, or of ours on it, becomes its outcome."""
    name = book.relative_to(folder)
    target = out / name.with_name(f"{name.stem}.checked{extension_of_copy(name)}")
    sha256 = _sha256(book)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        checked = check(book, target, settings, overwrite=overwrite)
    except SheetcheckError as error:
        return Outcome(name.as_posix(), sha256, "", str(error), NOT_AUDITED)
    except Exception as error:  # noqa: BLE001 - one book must not stop the rest
        what = f"{type(error).__name__}: {error}"
        fault = tr("{book}: a fault of sheetcheck itself ({what}); please report it.", book=book.name, what=what)
        return Outcome(name.as_posix(), sha256, "", fault, NOT_AUDITED)
    counts = summary(checked.audit)
    with speaking(checked.audit.book.manner.voice()):
        sentence = verdict_sentence(counts, in_danger(checked.audit))
    worst = max(checked.audit.findings, key=lambda f: f.signal.rank, default=None)
    return Outcome(
        name.as_posix(),
        sha256,
        checked.copy.relative_to(out).as_posix(),
        sentence,
        worst.signal.value if worst is not None else "",
        counts["recipes"],
        counts["fine"],
        counts["flagged"],
        counts["not_checked"],
    )


# --------------------------------------------------------------------------- which books, and which are done


def _books(folder: Path, out: Path) -> Iterator[Path]:
    for path in sorted(folder.rglob("*")):
        passed_over = path.name == SUMMARY or path.name.startswith(("~$", "."))  # ours; a lock file, a hidden one
        if path.suffix.lower() not in BOOKS or passed_over or not path.is_file() or path.is_relative_to(out):
            continue
        if path.suffix.lower() not in OPEN_XML or not _is_copy(path):
            yield path


def _is_copy(path: Path) -> bool:
    try:
        return is_checked_copy(path)
    except SheetcheckError:
        return False  # a damaged book is told of when its turn comes


def _make_folder(out: Path, folder: Path) -> None:
    if not folder.is_dir():
        raise BookNotFoundError(folder, tr("no such folder"))
    if out.exists() and out.samefile(folder):
        raise CopyIsBookError(out, tr("the copies need a folder of their own"))
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CopyNotWritableError(out, error.strerror or "") from error


def _earlier(progress: Path, settings: Settings, out: Path) -> dict[tuple[str, str], Outcome]:
    """Return what an interrupted run with the same settings has done, by book and its bytes."""
    found: dict[tuple[str, str], Outcome] = {}
    lines = progress.read_text(encoding="utf-8").splitlines() if progress.exists() else []
    for line in lines:
        try:
            fields = json.loads(line)
        except ValueError:
            continue  # the line that was being written when the run was stopped
        if fields.pop("key", None) == _key(settings):
            outcome = Outcome(**fields)
            if not outcome.copy or (out / outcome.copy).exists():
                found[outcome.book, outcome.sha256] = outcome
    return found


def _key(settings: Settings) -> str:
    """Return what an earlier outcome must have been made with to stand."""
    return hashlib.sha256(f"{__version__} {settings!r}".encode()).hexdigest()[:16]


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


# --------------------------------------------------------------------------- the summary of all books


def summary_sheet(outcomes: Iterable[Outcome]) -> NewSheet:
    """Return the list of all books, worst first."""
    order = {NOT_AUDITED: 5, "": 0} | {signal.value: signal.rank for signal in Signal}
    rows: list[list[CellContent]] = [[Styled(tr(h), "heading") for h in HEADINGS]]
    rows += [
        [
            Styled(tr(o.worst or FINE), NOT_CHECKED if o.worst == NOT_AUDITED else o.worst or FINE),
            Styled(o.book, "wrap"),
            Styled(o.sentence, "wrap"),
            *_counts(o),
            Styled(o.copy, "wrap"),
        ]
        for o in sorted(outcomes, key=lambda o: (-order[o.worst], o.book))
    ]
    widths = [word_width(*pair) for pair in zip(WIDTHS, map(tr, HEADINGS), strict=True)]
    widths[0] = wide_enough(widths[0], [tr(NOT_AUDITED)])
    return NewSheet(
        tab_name(ALL_BOOKS),
        rows,
        widths=widths,
        heights=heights(rows, widths),
        freeze="A2",
        filter=f"A1:H{len(rows)}",
        landscape=True,
        repeat_rows=(1, 1),
    )


def total(outcomes: Sequence[Outcome]) -> str:
    """Say how all books together stand."""
    failed = sum(o.worst == NOT_AUDITED for o in outcomes)
    said = {
        "recipes": recipes(sum(o.recipes for o in outcomes)),
        "fine": number(sum(o.fine for o in outcomes), 0),
        "flagged": number(sum(o.flagged for o in outcomes), 0),
        "unchecked": number(sum(o.not_checked for o in outcomes), 0),
    }
    sentence = tr("All together: {recipes}, {fine} fine, {flagged} to look at, {unchecked} not checked.", **said)
    if not failed:
        return sentence
    books = tr_count("{count} book could not be checked.", "{count} books could not be checked.", failed)
    return f"{sentence} {books}"


def _counts(o: Outcome) -> list[CellContent]:
    """Return how many recipes there are and how they stand; nothing where the book was not audited."""
    if o.worst == NOT_AUDITED:
        return [None] * 4
    return [Styled(count, "number") for count in (o.recipes, o.fine, o.flagged, o.not_checked)]
