"""Audits each workbook of a folder when it is saved, and writes the copy beside it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from watchfiles import Change, watch

from sheetcheck.errors import BookError, SheetcheckError
from sheetcheck.pipeline import check
from sheetcheck.plugins.verdict import one_line
from sheetcheck.settings import Settings
from sheetcheck.words import speaking
from sheetcheck.workbook.copy import is_checked_copy
from sheetcheck.workbook.marked import OPEN_XML

QUIET_MS = 1000  # without a further change: a program saves in several steps, and a person twice
LONGEST_MS = 10_000
LONGEST_WRITING_SECONDS = 120  # a large workbook on a slow disk
KINDS = OPEN_XML | {".xls", ".ods", ".csv", ".tsv"}
_NOT_BOOKS = ("~$", ".~lock.", ".", "~")  # what programs put beside a workbook while it is open or being saved


class Watcher:
    """Watches one folder, without those inside it; `say` gets one line for each workbook."""

    def __init__(self, folder: Path, settings: Settings, say: Callable[[str], None]) -> None:
        self.folder, self.settings, self.say = folder, settings, say
        self._audited: dict[Path, str] = {}  # contents at the last audit: what is saved unchanged is not audited again

    def run(self, stop: threading.Event | None = None) -> None:
        """Watch until `stop` is set or the program is interrupted."""
        for changes in watch(
            self.folder,
            watch_filter=_may_be_a_book,
            debounce=LONGEST_MS,
            step=QUIET_MS,
            stop_event=stop,
            recursive=False,
            raise_interrupt=False,
        ):
            still = [path for _, path in changes if stands_still(Path(path), stop)]  # else it is heard of again
            for book in self.saved(still):
                self.say(f"{datetime.now().astimezone():%H:%M:%S}  {book.name}: {self.audit(book)}")

    def saved(self, paths: Iterable[str]) -> Iterator[Path]:
        """Yield the workbooks among changed paths, each once, that are the user's own and hold something new."""
        for book in sorted({Path(path) for path in paths}):
            try:
                contents = sha256(book.read_bytes()).hexdigest()
                if self._audited.get(book) != contents and not _is_our_copy(book):
                    self._audited[book] = contents
                    yield book
            except OSError:
                continue  # gone again, or not readable yet: its program is not done with it

    def audit(self, book: Path) -> str:
        """Audit one workbook, write its copy, and return the verdict in one line; errors are verdicts too."""
        try:
            done = check(book, settings=self.settings)
        except SheetcheckError as error:
            return str(error)
        with speaking(done.audit.book.manner.voice()):
            return f"{one_line(done.audit)} {done.copy.name}"


def stands_still(book: Path, stop: threading.Event | None = None) -> bool:
    """Wait until a file has kept its size and time for a while, as it does not while it is being written."""
    waiting = stop or threading.Event()
    give_up = time.monotonic() + LONGEST_WRITING_SECONDS
    before = None
    while time.monotonic() < give_up:
        try:
            about = book.stat()
        except OSError:
            return False
        now = (about.st_size, about.st_mtime_ns)
        if now == before:
            return True
        before = now
        if waiting.wait(QUIET_MS / 1000):
            return False
    return False


def _may_be_a_book(change: Change, path: str) -> bool:
    name = Path(path).name
    return change is not Change.deleted and Path(path).suffix.lower() in KINDS and not name.startswith(_NOT_BOOKS)


def _is_our_copy(book: Path) -> bool:
    """Whether a file is a copy of ours, or a list of findings: those are not audited."""
    if book.suffix.lower() not in OPEN_XML:
        return False
    if ".findings" in book.name:
        return True
    try:
        return is_checked_copy(book)
    except BookError:
        return False  # the audit will say what is wrong with it
