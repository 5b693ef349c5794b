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

from sheetcheck.errors import BookError
from sheetcheck.model import Book, Finding, Signal, address
from sheetcheck.workbook.copy import is_checked_copy, our_sheets
from sheetcheck.workbook.grid import Grid
from sheetcheck.workbook.read import read_workbook

CORRECTED, ON_PURPOSE, LOOK_LATER = "corrected", "on purpose", "look later"
ANSWERS = (CORRECTED, ON_PURPOSE, LOOK_LATER)
ANSWER_HEADING, KEY_HEADING = "Your answer", "Key (leave as it is)"
KEY_LENGTH = 12
MOST_RECIPES = 40  # of a finding, whose amounts go into its key
NEVER_LOWERED = frozenset({"free-lye"})  # and nothing at DANGER
_ROWS_SEARCHED = 10

Answers = Mapping[str, str]  # by key


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
        return replace(finding, look_at=_joined(finding.look_at, "you answered “corrected”, and it is as it was"))
    if answer != ON_PURPOSE or finding.signal is Signal.DANGER or finding.rule in NEVER_LOWERED:
        return replace(finding, answer=answer)
    message = f"On purpose, as you answered (else {finding.signal}). {finding.message}"
    quiet = replace(finding, repairs=(), certainty=None)
    return replace(quiet, answer=answer, signal=Signal.NOTICE, message=message)


def _joined(*sentences: str) -> str:
    return "; ".join(filter(None, sentences))


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
    ours = {name.casefold() for name in our_sheets(copy)}
    try:
        grids = read_workbook(copy).grids
    except BookError:
        return {}
    return {key: answer for grid in grids if grid.name.casefold() in ours for key, answer in _answers_on(grid).items()}


def _answers_on(grid: Grid) -> dict[str, str]:
    """Return the answers of a list of findings; none where the sheet is something else."""
    for row in grid.rows()[:_ROWS_SEARCHED]:
        headings = {cell.text: cell.column for cell in grid.row_cells(row)}
        if ANSWER_HEADING in headings and KEY_HEADING in headings:
            break
    else:
        return {}
    found = {}
    for below in (r for r in grid.rows() if r > row):
        answer, key = grid.cell(below, headings[ANSWER_HEADING]), grid.cell(below, headings[KEY_HEADING])
        said = answer.text.strip().casefold() if answer is not None else ""
        if key is not None and said in ANSWERS:
            found[key.text] = said
    return found
