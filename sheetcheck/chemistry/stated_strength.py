"""The strength of a lye where a cell of its own says it: a column of purities, of degrees Baumé, a line of a card."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache

import numpy as np
import pandas as pd

from sheetcheck.chemistry.strength import as_alkali, shown_strength, strength_said, tells_strength, with_strengths
from sheetcheck.chemistry.table import KOH, NAOH
from sheetcheck.model import Book, address
from sheetcheck.reference import substances

LEAST_PURITY = 0.8  # a dry alkali is sold no weaker: below it, a percentage beside it may be its share in the lye
MOST_IN_SOLUTION = 0.6  # no solution is stronger at a temperature it is used at

_SCALES = {"°Bé": re.compile(r"\bb[eé]\b|baum", re.IGNORECASE), "°Tw": re.compile(r"\btw\b|twadd", re.IGNORECASE),
           "sp. gr.": re.compile(r"\bsp|gravit|dichte", re.IGNORECASE)}  # fmt: skip
_OF = {KOH: re.compile(r"\bkoh\b|potas|kali", re.IGNORECASE), NAOH: re.compile(r"naoh|\bsod|natr", re.IGNORECASE)}

Headings = Mapping[tuple[str, str], str]  # by sheet and column, or sheet and row of a table that runs across
Told = tuple[str, str | None, float, str]  # substance, text and number of the cell, heading


def with_all_strengths(book: Book) -> pd.DataFrame:
    """Read the strength of every lye of a book: from its name, from its own cell, and from the statements beside it.

    A statement is about the lye of its own row, else about the lye of its recipe, and only about lye whose name states
    no strength. A remark counts for a solution only: of dry lye it may say what that was made into. Where two
    statements or two alkalis leave it open which is meant, nothing is taken from either: the lye counts as it did, pure
    where it is sodium hydroxide.
    """
    components = with_strengths(book.components)
    inside = {key: s.solution_of for key, s in substances().items() if s.solution_of}
    lye = components[components["substance"].isin([NAOH, KOH, *inside]) & components["strength"].isna()]
    said = book.statements[book.statements["kind"] == "alkali strength"]
    told = pd.concat([_beside(lye, said, _headings(book)), _in_remarks(lye[lye["substance"].isin(inside)], book)])
    read = told[~told.index.duplicated()].map(_reading).dropna()
    if read.empty:
        return components
    keys = [inside.get(key, key) for key in components["substance"][read.index]]
    strengths, shown = zip(*read, strict=True)
    names = [f"{name} {strength}" for name, strength in zip(components["name"][read.index], shown, strict=True)]
    return as_alkali(components, read.index, keys, strengths, names)


def _headings(book: Book) -> Headings:
    return {(sheet.sheet, column.place): column.heading for sheet in book.sheets for column in sheet.columns}


def _in_remarks(solutions: pd.DataFrame, book: Book) -> pd.Series:
    """Return what the remarks beside a recipe tell of its only solution of lye; indexed as the lye."""
    only = solutions[~solutions["recipe"].duplicated(keep=False)]
    remarks = only["recipe"].map(book.recipes["remarks"]).fillna("")
    lines = zip(only["substance"], remarks, strict=True)
    return pd.Series([(key, remark, math.nan, "") for key, remark in lines], index=only.index, dtype=object)


def _beside(lye: pd.DataFrame, said: pd.DataFrame, headings: Headings) -> pd.Series:
    """Return, for each lye about which exactly one statement is, what it tells; indexed as the lye."""
    lines = lye[["recipe", "row", "substance"]].astype({"substance": object}).assign(line=lye.index)
    told = said[["recipe", "row", "column", "sheet", "written", "value"]].astype({"sheet": object})
    places = zip(told["sheet"], told["row"], told["column"], said["place"], said["written"], strict=True)
    told["heading"] = [text if place == "sheet" else _heading(headings, *where) for *where, place, text in places]
    pairs = lines.merge(told, on="recipe", suffixes=("", "_said"))
    of_this = [_is_of(key, heading) for key, heading in zip(pairs["substance"], pairs["heading"], strict=True)]
    pairs = pairs[np.array(of_this, dtype=bool)]
    same_row = pairs["row"] == pairs["row_said"]
    pairs = pairs[same_row | ~same_row.groupby(pairs["recipe"]).transform("any")]
    kinds = pairs.groupby(["recipe", "row_said", "column"])["substance"].transform("nunique")
    pairs = pairs[(kinds == 1) & ~pairs["line"].duplicated(keep=False)]
    cells = zip(pairs["substance"], pairs["written"], pairs["value"], pairs["heading"], strict=True)
    return pd.Series(list(cells), index=pairs["line"], dtype=object)


def _heading(headings: Headings, sheet: str, row: int, column: int) -> str:
    letter = address(1, column)[:-1]
    return headings.get((sheet, letter)) or headings.get((sheet, str(row)), "")


def _is_of(substance: str, heading: str) -> bool:
    """Tell whether a heading that names an alkali names this one; one that names none may mean any."""
    named = [key for key, pattern in _OF.items() if pattern.search(heading)]
    known = substances()[substance]
    return not named or (known.solution_of or substance) in named


@lru_cache(maxsize=4096)
def _reading(told: Told) -> tuple[float, str] | None:
    """Return the share of alkali that a statement tells, and how a name has it; None where it tells none."""
    substance, written, value, heading = told
    known = substances()[substance]
    kind = "KOH" if KOH in (substance, known.solution_of) else "NaOH"
    text = written or ""
    scale = next((scale for scale, pattern in _SCALES.items() if pattern.search(heading)), None)
    if not tells_strength(text) and scale is not None and not math.isnan(value):
        text = f"sp. gr. {value:g}" if scale == "sp. gr." else f"{value:g} {scale}"
    if tells_strength(text):
        strength = strength_said(text, kind)
        return None if math.isnan(strength) else (strength, shown_strength(text))
    low, high = (0.01, MOST_IN_SOLUTION) if known.solution_of else (LEAST_PURITY, 1.0)
    return (value / 100, f"{value:g} %") if low <= value / 100 <= high else None
