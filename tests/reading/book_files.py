"""Small recipe books as text files, and how they are made into grids.

A file begins with what must be read from it, one recipe a line, then its sheets:

    # what the book shows
    recipe Plain: fat 1000 lye 141 liquid 300 superfat 5
    == Sheet name
    Soap | Olive (g) | Lye (g)

Cells stand between bars. `12.5` is a number, `'12.5` a text, `12 {0.0" oz"}` a number shown so, `=SUM(A1:A2) -> 12` a
formula with its stored value (`=A1 ->` without one), `#REF!` an error value, `~x~` crossed out, `*x*` bold, `<3>x`
merged over three columns, `<v3>x` over three rows, `@2016-05-01` a date, `x ^[a note]` a text with a note on its cell,
`↵` a line break.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from sheetcheck.workbook.grid import CellStyle, Grid, Kind, Workbook

FOLDER = Path(__file__).parent / "books"
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_RECIPE = re.compile(r"(?P<name>.*?):(?P<facts>[^:]*)$")


@dataclass
class Expected:
    """What must be read of one recipe; None: not looked at."""

    name: str
    facts: dict[str, str]


@dataclass
class BookFile:
    """One file: its workbook, and what must be read from it."""

    workbook: Workbook
    recipes: list[Expected] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)


@dataclass
class _Cell:
    kind: Kind
    number: float = float("nan")
    text: str = ""
    formula: str | None = None
    style: CellStyle = field(default_factory=CellStyle)
    merge: tuple[int, int] = (1, 1)
    note: str = ""


def load(path: Path) -> BookFile:
    """Read a file."""
    return parse(path.read_text(encoding="utf-8"), path.stem)


def parse(content: str, name: str = "book") -> BookFile:
    """Make a workbook of a text."""
    head, *sheets = re.split(r"^== *", content, flags=re.MULTILINE)
    made = BookFile(Workbook(name, "0" * 64, tuple(_grid(sheet) for sheet in sheets)))
    for line in head.splitlines():
        if line.startswith("recipe "):
            found = _RECIPE.match(line.removeprefix("recipe "))
            assert found, line
            words = found["facts"].split()
            made.recipes.append(Expected(found["name"].strip(), dict(zip(words[::2], words[1::2], strict=True))))
        elif line and not line.startswith("#"):
            key, _, value = line.partition(":")
            made.facts[key.strip()] = value.strip()
    return made


def _grid(sheet: str) -> Grid:
    title, *lines = sheet.splitlines()
    cells = {
        (row, column): cell
        for row, line in enumerate(lines, 1)
        for column, text in enumerate(line.split("|"), 1)
        if (cell := _cell(text.strip())) is not None
    }
    styles = list(dict.fromkeys(c.style for c in cells.values())) or [CellStyle()]
    texts = np.empty(len(cells), dtype=object)
    texts[:] = [c.text for c in cells.values()]
    return Grid(
        name=title.strip(),
        row=np.array([r for r, _ in cells], dtype=np.int32),
        column=np.array([c for _, c in cells], dtype=np.int32),
        kind=np.array([c.kind for c in cells.values()], dtype=np.uint8),
        number=np.array([c.number for c in cells.values()], dtype=np.float64),
        text=texts,
        style=np.array([styles.index(c.style) for c in cells.values()], dtype=np.int32),
        styles=tuple(styles),
        formulas={place: c.formula for place, c in cells.items() if c.formula is not None},
        merges=tuple(
            (r, c, r + m.merge[0] - 1, c + m.merge[1] - 1) for (r, c), m in cells.items() if m.merge != (1, 1)
        ),
        notes={place: c.note for place, c in cells.items() if c.note},
    )


def _cell(text: str) -> _Cell | None:
    found = re.search(r"\s*\^\[(.*)\]$", text)
    cell = _without_note(text[: found.start()] if found else text)
    return replace(cell, note=found[1]) if cell and found else cell


def _without_note(text: str) -> _Cell | None:
    if not text:
        return None
    style, merge, formula = CellStyle(), (1, 1), None
    if found := re.match(r"<(v?)(\d+)>", text):
        merge = (int(found[2]), 1) if found[1] else (1, int(found[2]))
        text = text[found.end() :]
    if found := re.fullmatch(r"([~*])(.*)\1", text):
        style = replace(style, struck=found[1] == "~", bold=found[1] == "*")
        text = found[2]
    if found := re.search(r"\s*\{(.*)\}$", text):
        style = replace(style, number_format=found[1])
        text = text[: found.start()]
    if text.startswith("="):
        formula, _, text = text[1:].partition("->")
        formula, text = formula.strip(), text.strip()
        if not text:
            return _Cell(Kind.EMPTY_FORMULA, formula=formula, style=style, merge=merge)
    if text.startswith("@"):
        return _Cell(Kind.DATE, number=42000.0, text=text[1:], style=style, merge=merge)
    if text.startswith("#") and text.endswith(("!", "?", "A")):
        return _Cell(Kind.ERROR, text=text, formula=formula, style=style, merge=merge)
    if _NUMBER.fullmatch(text):
        return _Cell(Kind.NUMBER, number=float(text), formula=formula, style=style, merge=merge)
    text = text.removeprefix("'").replace("↵", "\n")
    return _Cell(Kind.TEXT, text=text, formula=formula, style=style, merge=merge)
