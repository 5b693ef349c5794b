"""Row heights for wrapped text: spreadsheet programs do not agree on who computes them, so the copy brings them."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from sheetcheck.model import CellContent, Formula, Link, Signal, Styled
from sheetcheck.report.words import CHANGED, LITTLE_MARGIN, NOT_CHECKED, signal_with_shape, verdict_in_words
from sheetcheck.words import tr

LINE = 15.0  # points, for text of 11 points
MOST_LINES = 24
LONGEST_LINK = 34.0  # characters; a sheet's name has 31 at the most
LONGEST_TITLE = 60.0  # of a recipe
ROOM = 1.17  # letters of a mixed text that go where a column's width counts one digit
INDENT = 1.5  # characters
TITLE_HEIGHT = {1: 26.0}
WRAPPED: Mapping[str, float] = {  # styles that wrap, and how wide their letters run
    "wrap": 1.0,
    "sentence": 1.0,
    "input": 1.0,
    "link": 1.0,
    "leads on": 1.0,
    "sure": 1.12,
    "a guess": 1.0,
    "strong": 1.12,
    "heading": 1.12,
    "heading of numbers": 1.12,
    "verdict": 1.35,
}
INDENTED = frozenset({"wrap", "link", "sure", "a guess"})


def wide_enough(least: float, texts: Iterable[str], most: float = LONGEST_LINK) -> float:
    """Return a width in which texts stand that do not wrap, such as links; at the most that of the longest name."""
    longest = max(map(len, texts), default=0) / ROOM + INDENT
    return min(max(least, math.ceil(longest)), most)


def word_width(least: float, heading: str) -> float:
    """Return a width in which no word of a heading is broken, in the language that is spoken."""
    return max(least, math.ceil(WRAPPED["heading"] * max(map(len, heading.split()), default=0) / ROOM + INDENT))


def on_one_line(least: float, heading: str) -> float:
    """Return a width in which a heading stands on one line."""
    return max(least, WRAPPED["heading"] * len(heading) / ROOM + INDENT / 2)


def verdict_width(least: float) -> float:
    """Return a width in which every verdict stands, in the language that is spoken."""
    in_bold = (WRAPPED["strong"] * len(verdict_in_words(NOT_CHECKED, signal)) for signal in Signal)
    return max(least, math.ceil(max(len(tr(CHANGED)), len(tr(LITTLE_MARGIN)), *in_bold) / ROOM + INDENT))


def signal_width(least: float) -> float:
    """Return a width in which every signal word stands beside its shape, in the language that is spoken."""
    longest = max(len(signal_with_shape(signal)) for signal in Signal)
    return max(least, math.ceil(WRAPPED["verdict"] * longest / ROOM + INDENT))


def heights(
    rows: Sequence[Sequence[CellContent]], widths: Sequence[float], merged: Mapping[int, float] | None = None
) -> dict[int, float]:
    """Return the height in points of each row (from 1) that needs more than one line.

    Parameters
    ----------
    widths
        Of the columns, in characters.
    merged
        For rows whose first cell runs across several columns: the width of all of them.
    """
    found = {}
    for number, cells in enumerate(rows, 1):
        lines = max(_lines(cells, widths, (merged or {}).get(number)), default=1)
        if lines > 1:
            found[number] = LINE * min(lines, MOST_LINES) + 2
    return found


def _lines(cells: Sequence[CellContent], widths: Sequence[float], across: float | None) -> Iterator[int]:
    for column, cell in enumerate(cells):
        style = cell.style if isinstance(cell, Styled) else "link" if isinstance(cell, Link) else ""
        width = across if across is not None and column == 0 else widths[column] if column < len(widths) else 0
        if style in WRAPPED and width:  # a column without a width is hidden
            room = (width * ROOM - (INDENT if style in INDENTED else 0)) / WRAPPED[style]
            yield sum(_wrapped(part, room) for part in _text(cell).split("\n"))


def _wrapped(text: str, room: float) -> int:
    """Return the lines of a paragraph; a short one is not even split."""
    if len(text) <= room:
        return 1
    width = max(math.floor(room), 4)
    words = list(map(len, text.split(" ")))
    if "-" in text or not text.isprintable() or not min(words) or max(words) > width:
        return len(textwrap.wrap(text, width))  # a word that may be broken, or spaces that may be dropped
    lines, filled = 1, -1
    for word in words:
        filled += 1 + word
        if filled > width:
            lines, filled = lines + 1, word
    return lines


def _text(cell: CellContent) -> str:
    value = cell.value if isinstance(cell, Styled) else cell
    if isinstance(value, Link):
        return value.text
    if isinstance(value, Formula):
        return str(value.value or "")
    return "" if value is None else str(value)
