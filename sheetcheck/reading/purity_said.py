"""The purity of a lye where the book says it once, outside its recipes: `KOH flakes, 90 % pure` above them.

`Lye at 95 %` may be a superfat said otherwise, and a purity hides lye: only a word for purity makes it one, or
potassium hydroxide at what it is sold at.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sheetcheck.reading.assemble import Draft, Findings, Statement
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.word_list import any_of
from sheetcheck.reference import substances
from sheetcheck.workbook.grid import Grid, Kind

_KIND, _KOH = "alkali strength", "potassium hydroxide"
_LEAST, _MOST = 80.0, 100.0  # per cent, of dry lye as it is sold; below, it is the strength of a solution
_MOST_OF_KOH = 92.0  # per cent that potassium hydroxide is sold at; common practice, no source
_PERCENT = re.compile(r"(?<![\d.,])(\d{2,3}(?:[.,]\d{1,2})?) ?(?:%|per ?cent\b|prozent\b|procent\b)", re.IGNORECASE)
_SENTENCES = re.compile(r"[;\n]\s*|[.:]\s+")
_WORD = re.compile(r"[^\W\d_]+")
_MOST_WORDS = 3  # of a name
_MOST_CELLS = 20_000  # of a sheet: a larger one is no page with notes


@dataclass(frozen=True, slots=True)
class _Said:
    sheet: int
    row: int
    column: int
    text: str
    alkali: str
    percent: float


def settle(grids: Sequence[Grid], found: Findings) -> None:
    """State the purity of each recipe's lye that a text outside the recipes says, in place.

    The nearest text above a recipe counts, else one elsewhere on its sheet, else one on a sheet without recipes.
    """
    said = [each for number, grid in enumerate(grids) for each in _on_sheet(number, grid, found)]
    with_recipes = {draft.sheet for draft in found.drafts}
    if not said:
        return
    stated = {s.recipe for s in found.statements if s.kind == _KIND}
    stated |= {int(r) for b in found.statement_blocks if b["kind"] == _KIND for r in b["recipe"]}
    for number, alkali in sorted(_alkalis(found)):
        draft = found.drafts[number]
        heard = [s for s in said if s.alkali == alkali and (s.sheet == draft.sheet or s.sheet not in with_recipes)]
        told = _nearest(heard, draft)
        if told is not None and number not in stated:
            place = number, grids[told.sheet].name, told.row, told.column
            found.statements.append(Statement(*place, _KIND, written=told.text, value=told.percent, place="sheet"))


def _alkalis(found: Findings) -> set[tuple[int, str]]:
    """Return every recipe with each alkali in it."""
    pairs = {(c.recipe, c.substance) for c in found.components}
    for block in found.component_blocks:
        of = block.get("substance")
        every = of if isinstance(of, np.ndarray) else np.full(len(block["recipe"]), of, dtype=object)
        pairs |= set(zip(block["recipe"].tolist(), every.tolist(), strict=True))
    return {(recipe, key) for recipe, key in pairs if key and substances()[key].kind == "alkali"}


def _nearest(said: Sequence[_Said], draft: Draft) -> _Said | None:
    here = [s for s in said if s.sheet == draft.sheet]
    above = [s for s in here if s.row <= draft.first_row]
    return max(above, key=lambda s: s.row) if above else next(iter(here or said), None)


def _on_sheet(number: int, grid: Grid, found: Findings) -> Iterator[_Said]:
    if len(grid.row) > _MOST_CELLS:
        return
    drafts = [d for d in found.drafts if d.sheet == number]
    for i in np.flatnonzero(grid.kind == Kind.TEXT).tolist():
        text, row, column = str(grid.text[i]), int(grid.row[i]), int(grid.column[i])
        if not _PERCENT.search(text) or any(_covers(d, row, column) for d in drafts):
            continue
        for part in _SENTENCES.split(text):
            if (told := purity_in(part)) is not None:
                yield _Said(number, row, column, clean(part), *told)


def _covers(draft: Draft, row: int, column: int) -> bool:
    return draft.first_row <= row <= draft.last_row and draft.first_column <= column <= draft.last_column


def purity_in(sentence: str) -> tuple[str, float] | None:
    """Return which alkali a sentence speaks of and its purity in per cent; None where it is not clear.

    Examples
    --------
    >>> purity_in("Potassium soaps, KOH flakes, assay 90.2 %")
    ('potassium hydroxide', 90.2)
    >>> purity_in("KOH 60 %, NaOH 40 %") is None, purity_in("Lye at 95 %") is None
    (True, True)
    """
    percents = [float(p.replace(",", ".")) for p in _PERCENT.findall(sentence)]
    words = _WORD.findall(sentence)
    named = {
        name.substance
        for size in range(1, _MOST_WORDS + 1)
        for start in range(len(words) - size + 1)
        if (name := identify(" ".join(words[start : start + size]))).kind == "alkali"
        and name.certainty in ("exact", "read as")
    }
    if len(percents) != 1 or len(named) != 1 or not _LEAST <= percents[0] <= _MOST:
        return None
    (alkali,) = named
    as_sold = alkali == _KOH and percents[0] <= _MOST_OF_KOH
    if not as_sold and not re.search(any_of("purity"), fold(sentence)):
        return None
    return str(alkali), percents[0]
