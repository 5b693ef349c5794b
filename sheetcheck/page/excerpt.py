"""A recipe's rows as they stand in her sheet, with our words at their edge, as a pencil would put them there."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from sheetcheck.model import Audit, Finding, Signal, address, column_letters
from sheetcheck.report.finding_words import IN_BRACKETS, in_short, repair_sentence
from sheetcheck.words import as_typed, number, tr, with_own_mark
from sheetcheck.workbook.grid import Cell, Grid, Kind

Row = Mapping[Hashable, Any]  # of the frame of recipes
MOST_RECIPES = 60  # whose rows are copied out; the checked copy has them all
MOST_ROWS, MOST_COLUMNS = 40, 40  # of one recipe
LONGEST = 90  # characters of a cell
_DIGITS = re.compile(r"[0#?][0#?,]*(?:\.([0#?]+))?")  # in a file the point is the decimal mark, the comma groups
_TEXTS = re.compile(r'"([^"]*)"|\\(.)|([^"\\0#?.,;]+)')
_NO_TEXT = re.compile(r"\[[^\]]*\]|_.|\*.|General", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ShownCell:
    """A cell as it stands; `doubted` is the worst signal word of what is said of it."""

    cell: str
    text: str
    is_number: bool
    doubted: Signal | None


@dataclass(frozen=True, slots=True)
class Pencilled:
    """What stands at the edge of a row."""

    signal: Signal
    text: str


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of the sheet; a blank cell is None."""

    number: int
    cells: tuple[ShownCell | None, ...]
    pencilled: tuple[Pencilled, ...]


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Rows of one sheet, with its own letters and numbers."""

    sheet: str
    letters: tuple[str, ...]
    rows: tuple[ShownRow, ...]
    more_rows: int  # that are not shown


@dataclass(frozen=True)
class Excerpts:
    """The rows of the recipes that there is something to say of, worst first."""

    by_recipe: Mapping[int, Excerpt]

    @classmethod
    def of(cls, audit: Audit, grids: Iterable[Grid]) -> Excerpts:
        """Copy the rows out of the grids, which are then no longer needed."""
        known = {grid.name: grid for grid in grids}
        findings: dict[int, list[Finding]] = defaultdict(list)
        for finding in audit.findings:
            for recipe in finding.about():
                findings[recipe].append(finding)
        shown = [recipe for recipe in worst_first(audit) if findings[recipe] or _unchecked(audit, recipe)]
        c = audit.book.components
        components = dict(list(c[c["recipe"].isin(shown[:MOST_RECIPES])].groupby("recipe")))
        rows = dict(zip(audit.recipes.index.tolist(), audit.recipes.to_dict("records"), strict=True))
        return cls(
            {
                recipe: _excerpt(rows[recipe], components.get(recipe, c.head(0)), grid, findings[recipe])
                for recipe in shown[:MOST_RECIPES]
                if (grid := known.get(rows[recipe]["sheet"])) is not None
            }
        )


def worst_first(audit: Audit) -> list[int]:
    """Return the numbers of the recipes: by signal word, those not checked among the WARNINGs, then as in the book."""
    ranks = [
        max(
            Signal(signal).rank if isinstance(signal, str) else 0,
            Signal.WARNING.rank if verdict == "not checked" else 0,
        )
        for signal, verdict in zip(audit.recipes["signal"], audit.recipes["verdict"], strict=True)
    ]
    numbers = audit.recipes.index.tolist()
    return [recipe for _, recipe in sorted(zip(ranks, numbers, strict=True), key=lambda pair: (-pair[0], pair[1]))]


def _unchecked(audit: Audit, recipe: int) -> bool:
    return bool(audit.recipes.at[recipe, "verdict"] == "not checked")


# --------------------------------------------------------------------------- which rows and columns


def _excerpt(recipe: Row, components: pd.DataFrame, grid: Grid, findings: Sequence[Finding]) -> Excerpt:
    doubted, remarks = _marks(recipe, findings)
    rows, columns, more = _extent(recipe, components, grid)
    shown = tuple(
        ShownRow(
            row,
            tuple(_shown(grid.cell(row, column), row, column, doubted) for column in columns),
            tuple(remarks[row]),
        )
        for row in rows
    )
    left = [remark for row, said in remarks.items() if row not in rows for remark in said]
    if left and shown:  # what is said of cells that are not shown stands beside the recipe's name
        at = rows.index(int(recipe["row"])) if int(recipe["row"]) in rows else len(rows) - 1
        with_left = ShownRow(shown[at].number, shown[at].cells, (*shown[at].pencilled, *left))
        shown = (*shown[:at], with_left, *shown[at + 1 :])
    return Excerpt(grid.name, tuple(map(column_letters, columns)), shown, more)


def _extent(recipe: Row, components: pd.DataFrame, grid: Grid) -> tuple[list[int], list[int], int]:
    """Return the rows and columns: the recipe's own and those that name its ingredients, without what is blank."""
    own_rows = range(int(recipe["first_row"]), int(recipe["last_row"]) + 1)
    own_columns = range(int(recipe["first_column"]), int(recipe["last_column"]) + 1)
    named = components.loc[components["name_row"] > 0, ["name_row", "name_column"]].drop_duplicates()
    rows = {*own_rows, *map(int, named["name_row"]), int(recipe["row"])}
    columns = {*own_columns, *map(int, named["name_column"]), int(recipe["column"])}
    held = {(row, cell.column) for row in rows for cell in grid.row_cells(row) if cell.column in columns}
    used_rows = sorted(row for row in rows if any(row == r for r, _ in held))
    told = {column for row, column in held if row in own_rows}  # a heading alone over a blank cell tells nothing
    if not set(own_columns) & set(map(int, named["name_column"])):
        told |= {column for _, column in held if column not in own_columns}
    return used_rows[:MOST_ROWS], sorted(told)[:MOST_COLUMNS], max(len(used_rows) - MOST_ROWS, 0)


def _marks(recipe: Row, findings: Sequence[Finding]) -> tuple[Mapping[str, Signal], Mapping[int, list[Pencilled]]]:
    """Return the doubted cells, and by row what is said at its edge."""
    doubted: dict[str, Signal] = {}
    remarks: dict[int, list[Pencilled]] = defaultdict(list)
    for finding in sorted(findings, key=lambda f: -f.signal.rank):
        changes = finding.repairs[0].changes if finding.certainty is not None and finding.repairs else ()
        cells = [c.cell for c in changes if c.sheet == recipe["sheet"]] or (
            [finding.cell] if finding.sheet == recipe["sheet"] else []
        )
        for cell in cells:
            doubted.setdefault(cell, finding.signal)
        row = _row(cells[0]) if cells else int(recipe["row"])
        said = Pencilled(finding.signal, in_pencil(finding))
        if said.text not in [p.text for p in remarks[row]]:
            remarks[row].append(said)
    return doubted, remarks


def in_pencil(finding: Finding) -> str:
    """Say a finding as a pencil would at the edge: what the cell should probably hold, else the problem in short."""
    if finding.certainty is None or not finding.repairs:
        return in_short(finding)
    certainty = tr(IN_BRACKETS[finding.certainty])
    return tr("{repair}? ({certainty})", repair=repair_sentence(finding.repairs[0]), certainty=certainty)


def _row(cell: str) -> int:
    return int(re.sub(r"\D", "", cell) or 0)


# --------------------------------------------------------------------------- what a cell shows


def _shown(cell: Cell | None, row: int, column: int, doubted: Mapping[str, Signal]) -> ShownCell | None:
    place = address(row, column)
    if cell is None and place not in doubted:
        return None
    text = "" if cell is None else shown_text(cell)
    text = text if len(text) <= LONGEST else f"{text[:LONGEST]}…"
    return ShownCell(place, text, cell is not None and cell.kind is Kind.NUMBER, doubted.get(place))


def shown_text(cell: Cell) -> str:
    """Return what a cell shows: its text, or its number with the decimals and the unit of its number format."""
    if cell.kind is Kind.BOOL:
        return tr("TRUE") if cell.number else tr("FALSE")
    if cell.kind is not Kind.NUMBER:
        return cell.text
    code = cell.style.number_format.split(";")[0]
    value = cell.number * 100 if "%" in code else cell.number
    digits = _DIGITS.search(_NO_TEXT.sub("", re.sub(r'"[^"]*"', "", code)))
    shown = as_typed(value)
    if digits and "/" not in code:
        decimals = len(digits[1] or "")
        rounded = number(value, decimals) if "," in digits[0] else with_own_mark(f"{value:.{decimals}f}")
        shown = shown if _loses(value, rounded) else rounded
    before, after = _around(code)
    return f"{before}{shown}{after}"


def _loses(value: float, shown: str) -> bool:
    """Whether fewer decimals show than the cell holds: she is shown what is computed with."""
    digits = len(re.sub(r"\D", "", shown).lstrip("0"))
    return digits < len(re.sub(r"\D", "", f"{value:.10g}").lstrip("0"))


def _around(code: str) -> tuple[str, str]:
    """Return the texts that a number format puts before and after the number: `0.0" oz"`."""
    plain = _NO_TEXT.sub("", code)
    places = [m.start() for m in re.finditer(r"[0#?]", re.sub(r'"[^"]*"', lambda m: "x" * len(m[0]), plain))]
    if not places:
        return "", ""
    return _literal(plain[: places[0]]), _literal(plain[places[-1] + 1 :])


def _literal(code: str) -> str:
    return "".join(m[1] or m[2] or m[3] or "" for m in _TEXTS.finditer(code)).replace("%", "\N{NO-BREAK SPACE}%")
