"""A few books changed at random, and every one that once made trouble."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.fuzz.__main__ import books_to_change
from tests.fuzz.changes import CHANGES, Change
from tests.fuzz.outcome import FINE, outcome

CASES = sorted((Path(__file__).parent / "cases").glob("*.xlsx"))


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_what_once_made_trouble_makes_none(case: Path) -> None:
    assert outcome(case.read_bytes()) == FINE


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # of forking where there are threads
@pytest.mark.parametrize("change", sorted(set(CHANGES), key=lambda change: change.__name__), ids=lambda c: c.__name__)
def test_a_changed_book_is_audited_or_refused(change: Change) -> None:
    book = min(books_to_change(), key=len)
    assert outcome(change(book, random.Random(1))) == FINE  # noqa: S311 - the same at every run


def test_the_same_chance_changes_a_book_alike() -> None:
    book = min(books_to_change(), key=len)
    for change in set(CHANGES):
        if change.__name__ != "cells":  # that writer stamps the time
            assert change(book, random.Random(7)) == change(book, random.Random(7))  # noqa: S311 - as above


def test_trouble_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_given: object, **_named: object) -> None:
        raise RuntimeError("on purpose")

    monkeypatch.setattr("tests.fuzz.outcome.check", broken)
    assert outcome(b"").startswith("RuntimeError in ")
    monkeypatch.setattr("tests.fuzz.outcome.MOST_SECONDS", 1)
    monkeypatch.setattr("tests.fuzz.outcome.check", lambda *_given, **_named: sum(iter(int, 1)))
    assert outcome(b"") == "ended by SIGXCPU"
