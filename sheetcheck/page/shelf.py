"""The workbooks that are open in the page: each in a folder of its own, which goes when the page is closed.

All work is done by one thread, a book after the other, through `pipeline`. A workbook lies there under its own name, of
which nothing but the last part is used, and is never written to.
"""

from __future__ import annotations

import re
import secrets
import shutil
import tempfile
import threading
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from contextvars import copy_context
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from sheetcheck.errors import SheetcheckError
from sheetcheck.settings import Settings
from sheetcheck.words import later, speaking, tr

if TYPE_CHECKING:
    from sheetcheck.model import Audit
    from sheetcheck.page.excerpt import Excerpts
    from sheetcheck.rescaling.moulds import MouldSet
    from sheetcheck.rescaling.scaling import Rescaled

MOST_OPEN = 8  # the one that was opened first is put away for the next
LONGEST_NAME = 100  # characters
NO_NAME = "book.xlsx"
_BAD = re.compile(r'[\x00-\x1f\x7f<>:"|?*\u202a-\u202e\u2066-\u2069]')
_DEVICES = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)  # no names of files on Windows
_FAULT = later("This is a fault of sheetcheck itself ({what}); please report it.")

T = TypeVar("T")


def safe_name(said: str) -> str:
    r"""Return a name for a file of what a browser calls it: its last part alone.

    >>> safe_name("../../etc/recipes.xlsx"), safe_name("C:\\books\\a|b.ods"), safe_name("..")
    ('recipes.xlsx', 'a_b.ods', 'book.xlsx')
    """
    last = _BAD.sub("_", re.split(r"[/\\]", said)[-1]).strip(" .")
    if not last or _DEVICES.fullmatch(last):
        return NO_NAME
    stem, dot, suffix = last.rpartition(".")
    return f"{stem[: LONGEST_NAME - len(suffix)]}{dot}{suffix}" if stem and len(suffix) < 8 else last[:LONGEST_NAME]


@dataclass
class Opened:
    """One workbook that is open in the page; `result` or `refused` is there when the work is done."""

    key: str
    folder: Path
    file: Path
    settings: Settings
    answers: dict[str, str] = field(default_factory=dict)  # to findings, by their keys
    stage: str = later("opening the workbook")
    began: float = field(default_factory=time.monotonic)
    refused: str = ""
    result: Result | None = None
    before: Audit | None = None  # of the same book, as it was dropped the last time
    rescaled: Scaled | None = None
    work: Future[None] | None = None

    @property
    def name(self) -> str:
        """The name of the workbook."""
        return self.file.name

    @property
    def ready(self) -> bool:
        """Whether there is something to show."""
        return self.work is not None and self.work.done()

    def wait(self, seconds: float) -> bool:
        """Wait so long for the work to be done; return whether it is."""
        try:
            if self.work is not None:
                self.work.result(seconds)
        except NotYet:
            return False
        return True


@dataclass(frozen=True)
class Result:
    """What came of a check."""

    audit: Audit
    excerpts: Excerpts  # her rows
    moulds: Mapping[str, MouldSet]
    answered: Mapping[str, str]  # what was answered, in the workbook itself or here


@dataclass(frozen=True)
class Scaled:
    """What came of rescaling, and the workbook with it."""

    rescaled: Rescaled
    file: Path


class Shelf:
    """Keeps the open workbooks; to be closed at the end."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="sheetcheck-page-"))  # for this user alone
        self._opened: dict[str, Opened] = {}
        self._lock = threading.Lock()
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="sheetcheck-page")

    def warm_up(self) -> None:
        """Load what an audit needs, while the maker is looking for her file."""
        self._worker.submit(_warm_up)

    def close(self) -> None:
        """Put everything away."""
        self._worker.shutdown(wait=False, cancel_futures=True)
        with self._lock:
            self._opened.clear()
        shutil.rmtree(self.folder, ignore_errors=True)

    def opened(self) -> Sequence[Opened]:
        """Return the workbooks that are open, the last first."""
        with self._lock:
            return list(self._opened.values())[::-1]

    def get(self, key: str) -> Opened | None:
        """Return an open workbook by its key."""
        with self._lock:
            return self._opened.get(key)

    def put_away(self, key: str) -> None:
        """Close a workbook and forget what is known of it."""
        with self._lock:
            opened = self._opened.pop(key, None)
        if opened is not None:
            shutil.rmtree(opened.folder, ignore_errors=True)

    def place_for(self, name: str) -> Path:
        """Return a free place for a workbook that is sent here."""
        folder = Path(tempfile.mkdtemp(dir=self.folder))
        return folder / safe_name(name)

    def open(self, file: Path, settings: Settings) -> Opened:
        """Take a workbook that lies in a place of `place_for`, and begin to check it."""
        opened = Opened(secrets.token_urlsafe(9), file.parent, file, settings)
        same = next((o for o in self.opened() if o.name == opened.name and o.result is not None), None)
        if same is not None and same.result is not None:
            opened.before, opened.answers = same.result.audit, dict(same.answers)
        with self._lock:
            self._opened[opened.key] = opened
            too_many = list(self._opened)[:-MOST_OPEN]
        for key in too_many:
            self.put_away(key)
        self.check(opened)
        return opened

    def check(self, opened: Opened) -> None:
        """Check a workbook, in the thread that works; what was shown of it stays until that is done."""
        opened.began, opened.stage = time.monotonic(), later("opening the workbook")
        opened.work = self._worker.submit(copy_context().run, partial(_check, opened))

    def do(self, work: Callable[[], T]) -> T:
        """Do something else in the thread that works, and wait for it. Raises what it raises."""
        return self._worker.submit(copy_context().run, work).result()


def _warm_up() -> None:
    """Load what an audit needs."""
    import sheetcheck.page.excerpt  # noqa: PLC0415 - see above
    import sheetcheck.report.marks  # noqa: F401, PLC0415 - loaded, not used
    from sheetcheck.pipeline import audit  # noqa: F401, PLC0415 - as above
    from sheetcheck.rescaling.mould_sheet import mould_sets  # noqa: F401, PLC0415 - as above
    from sheetcheck.rules import all_rules  # noqa: PLC0415 - the page opens before it is loaded

    all_rules()


def _check(opened: Opened) -> None:
    """Audit a workbook; what goes wrong becomes a sentence."""
    try:
        opened.result, opened.refused = _result(opened), ""
    except SheetcheckError as error:
        opened.result, opened.refused = None, str(error)
    except Exception as error:  # noqa: BLE001 - a fault of ours must not leave her before a page that waits
        traceback.print_exc()
        opened.result, opened.refused = None, fault_of_ours(error)


def fault_of_ours(error: Exception) -> str:
    """Say that something went wrong which is no fault of hers."""
    return tr(_FAULT, what=f"{type(error).__name__}: {error}")


def _result(opened: Opened) -> Result:
    from sheetcheck.page.excerpt import Excerpts  # noqa: PLC0415 - loads pandas
    from sheetcheck.pipeline import audit  # noqa: PLC0415 - the same
    from sheetcheck.reading.answers import all_listed, read_answers  # noqa: PLC0415 - the same
    from sheetcheck.rescaling.mould_sheet import mould_sets  # noqa: PLC0415 - the same
    from sheetcheck.workbook.limits import file_limits  # noqa: PLC0415 - the same
    from sheetcheck.workbook.marked import open_unmarked  # noqa: PLC0415 - the same

    def at(stage: str) -> None:
        opened.stage = stage

    answers = read_answers([opened.file])
    answers = replace(answers, to_findings={**answers.to_findings, **opened.answers})
    if opened.before is not None:
        answers = replace(answers, listed=all_listed(opened.before.findings, opened.before.book))
    done = audit(opened.file, opened.settings, answers=answers, progress=at)
    at(later("copying out your rows"))
    workbook = open_unmarked(opened.file, file_limits(opened.settings))
    with speaking(done.book.manner.voice()):
        excerpts = Excerpts.of(done, workbook.grids)
    try:
        moulds = mould_sets(workbook)
    except SheetcheckError:
        moulds = {}  # rescaling to them will say what is wrong with the sheet of moulds
    return Result(done, excerpts, moulds, answers.to_findings)
