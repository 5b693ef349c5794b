"""Many books at once."""

import json
import os
import signal
from pathlib import Path

import openpyxl
import pytest

from sheetcheck import many
from sheetcheck.errors import BookNotFoundError, CopyIsBookError
from sheetcheck.many import NOT_AUDITED, PROGRESS, SUMMARY, Outcome, _one, check_folder, summary_sheet
from sheetcheck.model import Styled
from sheetcheck.settings import Settings
from tests.books import write_book

HEADING = ["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"]
SOUND, HEAVY = ["Plain", 80, 24.29, 10.86], ["Heavy", 64, 24, 13]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    books = tmp_path / "books"
    (books / "old").mkdir(parents=True)
    write_book(books / "a.xlsx", {"R": [HEADING, SOUND]})
    write_book(books / "old" / "b.xlsx", {"R": [HEADING, SOUND, HEAVY]})
    (books / "bad.xlsx").write_bytes(b"no workbook")
    (books / "~$a.xlsx").write_bytes(b"lock file")
    return books


def test_one_bad_book_never_stops_the_rest(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "copies"
    outcomes = check_folder(folder, out, jobs=1)
    assert [(o.book, o.worst) for o in outcomes] == [
        ("a.xlsx", ""),
        ("bad.xlsx", NOT_AUDITED),
        ("old/b.xlsx", "DANGER"),
    ]
    assert sorted(p.relative_to(out).as_posix() for p in out.rglob("*.xlsx")) == [
        SUMMARY,
        "a.checked.xlsx",
        "old/b.checked.xlsx",
    ]
    rows = list(openpyxl.load_workbook(out / SUMMARY).active.values)
    assert [row[1] for row in rows[1:]] == ["bad.xlsx", "old/b.xlsx", "a.xlsx"]
    assert not (out / PROGRESS).exists()


def test_a_run_goes_on_where_it_was_stopped(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "copies"

    def stop(outcome: Outcome, _books: int) -> None:
        if outcome.book == "a.xlsx":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        check_folder(folder, out, jobs=1, done=stop)
    assert not (out / SUMMARY).exists()
    assert [json.loads(line)["book"] for line in (out / PROGRESS).read_text().splitlines()] == ["a.xlsx"]
    first = (out / "a.checked.xlsx").stat().st_mtime_ns
    assert len(check_folder(folder, out, jobs=1)) == 3
    assert (out / "a.checked.xlsx").stat().st_mtime_ns == first
    assert (out / SUMMARY).exists()


def test_a_book_changed_since_is_audited_again(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "copies"

    def stop(_outcome: Outcome, _books: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        check_folder(folder, out, jobs=1, done=stop)
    write_book(folder / "a.xlsx", {"R": [HEADING, HEAVY]})
    assert check_folder(folder, out, jobs=1)[0].worst == "DANGER"


def test_copies_in_the_folder_are_passed_over(folder: Path) -> None:
    out = folder / "copies"
    check_folder(folder, out, jobs=1)
    assert len(check_folder(folder, folder / "again", jobs=1)) == 3


def test_never_among_the_books(folder: Path) -> None:
    with pytest.raises(CopyIsBookError):
        check_folder(folder, folder, jobs=1)
    with pytest.raises(BookNotFoundError):
        check_folder(folder / "none", folder / "out", jobs=1)


def ends_its_process(book: Path, folder: Path, out: Path, settings: Settings, *, overwrite: bool) -> Outcome:
    """Audit a book, but for one at which the process is ended, as a system does that has no memory left."""
    if book.name == "b.xlsx":
        os.kill(os.getpid(), signal.SIGKILL)
    return _one(book, folder, out, settings, overwrite=overwrite)


def test_a_process_that_ends_costs_one_book(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(6):
        write_book(folder / f"more {number}.xlsx", {"R": [HEADING, SOUND]})
    monkeypatch.setattr(many, "_one", ends_its_process)
    outcomes = check_folder(folder, tmp_path / "copies", jobs=2)
    assert {o.book: o.worst for o in outcomes if o.worst} == {"bad.xlsx": NOT_AUDITED, "old/b.xlsx": NOT_AUDITED}
    assert len(outcomes) == 9
    assert "came to its end before the audit did" in outcomes[-1].sentence
    assert (tmp_path / "copies" / SUMMARY).exists()


@pytest.mark.filterwarnings("ignore")  # the cluster's own libraries warn of what they do to each other
@pytest.mark.parametrize("one_ends", [False, True])
def test_over_a_dask_cluster(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, one_ends: bool) -> None:
    distributed = pytest.importorskip("distributed")
    if one_ends:
        monkeypatch.setattr(many, "_one", ends_its_process)
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        outcomes = check_folder(folder, tmp_path / "copies", executor=client.get_executor())
    assert [o.worst for o in outcomes] == ["", NOT_AUDITED, NOT_AUDITED if one_ends else "DANGER"]
    assert one_ends is ("came to its end" in outcomes[2].sentence)


def test_a_book_that_was_not_audited_has_no_counts() -> None:
    unread = Outcome("broken.xlsx", "", "", "cannot be read", NOT_AUDITED)
    sound = Outcome("sound.xlsx", "", "sound.checked.xlsx", "Nothing amiss in 2 recipes.", "", 2, 2, 0, 0)
    rows = {text(row[1]): [text(c) for c in row[3:7]] for row in summary_sheet([unread, sound]).rows[1:]}
    assert rows == {"broken.xlsx": [None] * 4, "sound.xlsx": [2, 2, 0, 0]}


def text(content: object) -> object:
    return content.value if isinstance(content, Styled) else content
