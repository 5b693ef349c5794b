"""What the maker answered in an earlier copy: read from its list of findings, and kept as long as nothing changed.

An answer goes with a finding by a key: a digest of the rule, the recipe's name, the ingredient and what is written for
it, and every amount of the recipe. Rows and sheets may move; when an amount or a name changes, the answer is dropped.
"""

from __future__ import annotations

import glob
import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Self

from sheetcheck.errors import BookError
from sheetcheck.model import Book, Finding, Signal, address
from sheetcheck.words import in_every_language, later, tr
from sheetcheck.workbook.copy import is_checked_copy, our_sheets
from sheetcheck.workbook.grid import Grid
from sheetcheck.workbook.read import read_workbook

CORRECTED, ON_PURPOSE, LOOK_LATER = later("corrected"), later("on purpose"), later("look later")
ANSWERS = (CORRECTED, ON_PURPOSE, LOOK_LATER)
ANSWER_HEADING, KEY_HEADING = later("Your answer"), later("Key (leave as it is)")
KEY_LENGTH = 12
MOST_RECIPES = 40  # of a finding, whose amounts go into its key
NEVER_LOWERED = frozenset({"free-lye"})  # and nothing at DANGER
_ROWS_SEARCHED = 10

Answers = Mapping[str, str]  # by key


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


# --------------------------------------------------------------------------- taken up


def answered(findings: Sequence[Finding], book: Book, answers: Answers) -> list[Finding]:
    """Return the findings with their answers: on purpose becomes NOTICE; free lye, and DANGER, stay what they are."""
    if not answers:
        return list(findings)
    keys = keys_of(findings, book)
    return [_with_answer(f, answers.get(key, "")) for f, key in zip(findings, keys, strict=True)]


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
    if not answers:
        return []
    asked = set(keys_of(findings, book))
    left = [answer for key, answer in answers.items() if key not in asked and answer != CORRECTED]
    return [(str(answer), answer.about) for answer in left if isinstance(answer, Answer)]


# --------------------------------------------------------------------------- read from a copy


def earlier_copies(book: Path, target: Path) -> list[Path]:
    """Return what may be copies of a book, oldest first: those with its name beside target or book, the book itself."""
    folders = dict.fromkeys((target.parent, book.parent))
    beside = [p for folder in folders for p in folder.glob(f"{glob.escape(book.stem)}.checked*")]
    found = [p for p in dict.fromkeys((*beside, target, book)) if p.is_file()]
    return sorted(found, key=lambda p: p.stat().st_mtime)


def read_answers(copies: Sequence[Path]) -> dict[str, str]:
    """Read the answers from the last file that is a copy of ours: each copy carries on those of the one before."""
    for copy in reversed(copies):
        if copy.is_file() and is_checked_copy(copy):
            return _answers_in(copy)
    return {}


def _answers_in(copy: Path) -> dict[str, str]:
    try:
        grids = read_workbook(copy, only=our_sheets(copy)).grids
    except BookError:
        return {}
    return {key: answer for grid in grids for key, answer in _answers_on(grid).items()}


def _answers_on(grid: Grid) -> dict[str, str]:
    """Return the answers of a list of findings, in whatever language; none where the sheet is something else."""
    headings = {said: heading for heading in (ANSWER_HEADING, KEY_HEADING) for said in in_every_language(heading)}
    meant = {said.casefold(): answer for answer in ANSWERS for said in in_every_language(answer)}
    for row in grid.rows()[:_ROWS_SEARCHED]:
        columns = {headings[cell.text]: cell.column for cell in grid.row_cells(row) if cell.text in headings}
        if len(columns) == 2:
            break
    else:
        return {}
    found: dict[str, str] = {}
    for below in (r for r in grid.rows() if r > row):
        answer, key = grid.cell(below, columns[ANSWER_HEADING]), grid.cell(below, columns[KEY_HEADING])
        said = answer.text.strip().casefold() if answer is not None else ""
        if key is not None and said in meant:
            found[key.text] = Answer(meant[said], _about(grid, below))
    return found


def _about(grid: Grid, row: int) -> str:
    """Say what a line of the list is about: the recipe and the place, its second and third column."""
    parts = (grid.cell(row, column) for column in (2, 3))
    return ", ".join(cell.text for cell in parts if cell is not None and cell.text)
