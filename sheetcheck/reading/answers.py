"""What the maker answered in an earlier copy: read from its sheets, and kept as long as nothing changed.

An answer to a finding goes with it by a key: a digest of the rule, the recipe's name, the ingredient and what is
written for it, and every amount of the recipe. Rows and sheets may move; when an amount or a name changes, the answer
is dropped. What a word means goes with the word, and is laid into the names of the settings.

A sheet of answers is known by its headings: that of the answers, and beside it those of hidden columns, which say what
a line is about. They stand in whatever language the copy was written in.
"""

from __future__ import annotations

import glob
import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Self

from sheetcheck.errors import BookError
from sheetcheck.model import Book, Finding, Question, Signal, SinceLast, address
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.names.qualified import doubtful_alone
from sheetcheck.reading.own_superfat import as_answer, is_word, percent_said
from sheetcheck.reading.text import clean, fold
from sheetcheck.reference import substances
from sheetcheck.words import in_every_language, later, tr
from sheetcheck.workbook.copy import is_checked_copy, our_sheets
from sheetcheck.workbook.grid import Cell, Grid, Kind
from sheetcheck.workbook.read import read_workbook

YES, CORRECTED = later("yes, that was it"), later("corrected")
ON_PURPOSE, LOOK_LATER = later("on purpose"), later("look later")
ANSWERS = (YES, CORRECTED, ON_PURPOSE, LOOK_LATER)
ROLES = (later("total of the fats"), later("not an ingredient"), later("lye"))  # what a word may mean besides
ANSWER_HEADING = later("Your answer")
KEY_HEADING = later("Key (leave as it is)")  # of a finding
WORD_HEADING = later("Word (leave as it is)")  # that is asked for, or was read in doubt
LISTED_HEADING = later("Listed (leave as it is)")  # what a line was about, whatever the amounts were
KEY_LENGTH = 12
MOST_RECIPES = 40  # of a finding, whose amounts go into its key
NEVER_LOWERED = frozenset({"free-lye"})  # and nothing at DANGER
ASK_FOR_A_MEANING = frozenset({"unknown-ingredient", "ambiguous-name"})  # rules about a word
_ROWS_SEARCHED = 40
_KNOWN = ("exact", "read as")


@dataclass(frozen=True)
class Answers:
    """All that an earlier copy says: its answers, and what it listed."""

    to_findings: Mapping[str, str] = field(default_factory=dict)  # by key
    meanings: Mapping[str, str] = field(default_factory=dict)  # of words, for the names of the settings
    listed: tuple[str, ...] | None = None  # of what was to be looked at; None where there is no earlier copy

    def with_meanings(self, meanings: Mapping[str, str] | None) -> Answers:
        """Return them with other meanings of words laid over theirs."""
        return replace(self, meanings={**self.meanings, **meanings}) if meanings else self


NO_ANSWERS = Answers()


class Answer(str):
    """An answer read from a copy, with what it was about: the recipe and the cell."""

    __slots__ = ("about",)
    about: str

    def __new__(cls, said: str, about: str) -> Self:
        """Take what was said, and about what."""
        answer = super().__new__(cls, said)
        answer.about = about
        return answer


# --------------------------------------------------------------------------- keys


def keys_of(findings: Sequence[Finding], book: Book) -> list[str]:
    """Return the key of each finding; of findings that nothing tells apart, the second and later are numbered."""
    named = {recipe for f in findings for recipe in _few(f)}
    amounts, at = _amounts(book, named)
    names = dict(zip(book.recipes.index.tolist(), book.recipes["name"].tolist(), strict=True))
    seen: dict[str, int] = defaultdict(int)
    keys = [""] * len(findings)
    for index, finding in sorted(enumerate(findings), key=lambda item: (item[1].sheet, item[1].cell)):
        about = sorted(f"{names[r]}|{amounts[r]}" for r in _few(finding) if r in amounts)
        parts = (finding.rule, at.get((finding.sheet, finding.cell), ""), finding.written, *about)
        digest = hashlib.sha256("\n".join(parts).encode("utf-8", "replace")).hexdigest()[:KEY_LENGTH]
        seen[digest] += 1
        keys[index] = digest if seen[digest] == 1 else f"{digest}-{seen[digest]}"
    return keys


def _few(finding: Finding) -> tuple[int, ...]:
    """Return the recipes that a finding is about; none where they are so many that it is about the whole book."""
    return finding.about() if len(finding.about()) <= MOST_RECIPES else ()


def _amounts(book: Book, recipes: set[int]) -> tuple[dict[int, str], dict[tuple[str, str], str]]:
    """Return all amounts of some recipes as one text each, and the ingredient by the cell of its amount."""
    c = book.components
    c = c[c["recipe"].isin(list(recipes))]
    said = [
        f"{name}={written if isinstance(written, str) else f'{value:.10g}'} {unit}"
        for name, written, value, unit in zip(c["name"], c["written"], c["value"], c["unit"], strict=True)
    ]
    of_recipe: dict[int, list[str]] = defaultdict(list)
    at = {}
    places = zip(c["recipe"], c["sheet"], c["row"], c["column"], c["name"], said, strict=True)
    for recipe, sheet, row, column, name, text in places:
        of_recipe[int(recipe)].append(text)
        at[str(sheet), address(row, column)] = str(name)
    return {recipe: ";".join(texts) for recipe, texts in of_recipe.items()}, at


def asked_word(finding: Finding) -> str:
    """Return the word whose meaning a finding asks for; "" where it asks for none."""
    asks = finding.rule in ASK_FOR_A_MEANING or fold(finding.written) in doubtful_alone()
    return finding.written if asks else ""


# --------------------------------------------------------------------------- since last time


def listed(findings: Sequence[Finding], book: Book) -> list[str]:
    """Return for each finding what a later check knows it by, whatever amounts are changed; "" for a remark."""
    counts = [f.signal is not Signal.NOTICE or bool(f.answer) for f in findings]
    _, at = _amounts(book, {recipe for f, c in zip(findings, counts, strict=True) if c for recipe in _few(f)})
    names = dict(zip(book.recipes.index.tolist(), book.recipes["name"].tolist(), strict=True))
    return [_identity(f, at, names) if counted else "" for f, counted in zip(findings, counts, strict=True)]


def _identity(finding: Finding, at: Mapping[tuple[str, str], str], names: Mapping[int, object]) -> str:
    about = sorted(str(names.get(recipe, "")) for recipe in _few(finding))
    parts = (finding.rule, *about, "" if about else at.get((finding.sheet, finding.cell), finding.cell))
    return hashlib.sha256("\n".join(parts).encode("utf-8", "replace")).hexdigest()[:KEY_LENGTH]


def listed_question(question: Question) -> str:
    """Return what a later check knows a question by."""
    return hashlib.sha256(f"question\n{fold(question.text)}".encode("utf-8", "replace")).hexdigest()[:KEY_LENGTH]


def beside_questions(findings: Sequence[Finding], book: Book) -> list[Finding]:
    """Return the findings without those that ask for a word which a question asks for: it is asked once."""
    words = {fold(question.text) for question in book.questions}
    return [finding for finding in findings if fold(asked_word(finding)) not in words] if words else list(findings)


def all_listed(findings: Sequence[Finding], book: Book) -> tuple[str, ...]:
    """Return what a later check compares with: all that a copy lists to be answered or looked at."""
    shown = beside_questions(findings, book)
    return tuple(filter(None, (*listed(shown, book), *map(listed_question, book.questions))))


def since_last(answers: Answers, findings: Sequence[Finding], book: Book) -> SinceLast | None:
    """Compare what is to be looked at with what an earlier copy listed; None where there is none."""
    if answers.listed is None:
        return None
    before, now = Counter(answers.listed), Counter(all_listed(findings, book))
    return SinceLast((before - now).total(), (now - before).total(), (before & now).total())


# --------------------------------------------------------------------------- taken up


def answered(findings: Sequence[Finding], book: Book, answers: Answers) -> list[Finding]:
    """Return the findings with their answers: on purpose becomes NOTICE; free lye, and DANGER, stay what they are."""
    if not answers.to_findings:
        return list(findings)
    keys = keys_of(findings, book)
    return [_with_answer(f, answers.to_findings.get(key, "")) for f, key in zip(findings, keys, strict=True)]


def _with_answer(finding: Finding, answer: str) -> Finding:
    if answer == CORRECTED:
        return replace(finding, look_at=_joined(finding.look_at, tr("you answered “corrected”, and it is as it was")))
    if answer != ON_PURPOSE or finding.signal is Signal.DANGER or finding.rule in NEVER_LOWERED:
        return replace(finding, answer=answer)
    message = tr(
        "On purpose, as you answered (else {signal}). {message}",
        signal=tr(finding.signal.value),
        message=finding.message,
    )
    quiet = replace(finding, repairs=(), certainty=None)
    return replace(quiet, answer=answer, signal=Signal.NOTICE, message=message)


def _joined(*sentences: str) -> str:
    return "; ".join(filter(None, sentences))


def not_needed(answers: Answers, findings: Sequence[Finding], book: Book) -> list[tuple[str, str]]:
    """Return the answers that no finding asks for, each with what it was about; corrected ones have done their work."""
    if not answers.to_findings:
        return []
    asked = set(keys_of(findings, book))
    done = (CORRECTED, YES)
    left = [answer for key, answer in answers.to_findings.items() if key not in asked and answer not in done]
    return [(str(answer), answer.about) for answer in left if isinstance(answer, Answer)]


# --------------------------------------------------------------------------- read from a copy


def earlier_copies(book: Path, target: Path) -> list[Path]:
    """Return what may be copies of a book, oldest first: those with its name beside target or book, the book itself."""
    folders = dict.fromkeys((target.parent, book.parent))
    beside = [p for folder in folders for p in folder.glob(f"{glob.escape(book.stem)}.checked*")]
    found = [p for p in dict.fromkeys((*beside, target, book)) if p.is_file()]
    return sorted(found, key=lambda p: p.stat().st_mtime)


def read_answers(copies: Sequence[Path]) -> Answers:
    """Read the answers from the last file that is a copy of ours: each copy carries on those of the one before."""
    for copy in reversed(copies):
        if copy.is_file() and is_checked_copy(copy):
            return _answers_in(copy)
    return NO_ANSWERS


def _answers_in(copy: Path) -> Answers:
    try:
        grids = read_workbook(copy, only=our_sheets(copy)).grids
    except BookError:
        return NO_ANSWERS
    lines = [line for grid in grids for line in _lines(grid)]
    return Answers(
        to_findings={
            line.key: Answer(line.answer, line.about) for line in lines if line.key and line.answer in ANSWERS
        },
        meanings={line.word: _meaning(line.answer) for line in lines if line.word and line.is_meaning and line.fits},
        listed=tuple(line.listed for line in lines if line.listed),
    )


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of a sheet of answers."""

    answer: str  # one of `ANSWERS`, else as it was typed
    key: str
    word: str
    listed: str
    about: str

    @property
    def is_meaning(self) -> bool:
        return bool(self.answer) and self.answer not in ANSWERS

    @property
    def fits(self) -> bool:
        """Whether it can answer what was asked: a percentage only how much superfat, and nothing else that."""
        return is_word(self.word) == (percent_said(self.answer) is not None)


def _lines(grid: Grid) -> Iterator[_Line]:
    """Yield the lines of a sheet of answers, in whatever language; none where the sheet is something else."""
    wanted = (ANSWER_HEADING, KEY_HEADING, WORD_HEADING, LISTED_HEADING)
    headings = {said: heading for heading in wanted for said in in_every_language(heading)}
    meant = {said.casefold(): answer for answer in ANSWERS for said in in_every_language(answer)}
    for row in grid.rows()[:_ROWS_SEARCHED]:
        columns = {headings[cell.text]: cell.column for cell in grid.row_cells(row) if cell.text in headings}
        if ANSWER_HEADING in columns and len(columns) > 1:
            break
    else:
        return

    def text(row: int, heading: str) -> str:
        cell = grid.cell(row, columns[heading]) if heading in columns else None
        return _text(cell) if cell is not None else ""

    for below in (r for r in grid.rows() if r > row):
        answer = text(below, ANSWER_HEADING)
        yield _Line(
            answer=meant.get(answer.casefold(), answer),
            key=text(below, KEY_HEADING),
            word=text(below, WORD_HEADING),
            listed=text(below, LISTED_HEADING),
            about=_about(grid, below),
        )


def _text(cell: Cell) -> str:
    """Return what a cell says; of a number, which answers how much superfat, the percentage."""
    if cell.kind is not Kind.NUMBER:
        return clean(cell.text)
    return as_answer(cell.number * 100 if "%" in cell.style.number_format else cell.number)


def understood(meaning: str) -> str | None:
    """Return what a word was said to mean as settings know it; None for what is no ingredient, role or superfat."""
    percent = percent_said(meaning)
    if percent is not None:
        return as_answer(percent)
    said = _meaning(clean(meaning))
    return said if said in ROLES or identify(said).certainty in _KNOWN else None


def _meaning(said: str) -> str:
    """Return what was answered as settings know it: a name of a substance or a role, in whatever language it stands."""
    return _meanings().get(fold(said), said)


@cache
def _meanings() -> Mapping[str, str]:
    named = [(role, role) for role in ROLES] + [(s.name, key) for key, s in substances().items()]
    return {fold(said): meant for name, meant in named for said in in_every_language(name)}


def _about(grid: Grid, row: int) -> str:
    """Say what a line of the list is about: the recipe and the place, its second and third column."""
    parts = (grid.cell(row, column) for column in (2, 3))
    return ", ".join(cell.text for cell in parts if cell is not None and cell.text)
