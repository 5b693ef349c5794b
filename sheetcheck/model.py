"""What passes between the stages: the columns of the frames, findings, repairs and marks.

Masses are grams, shares are percent, rows and columns count from 1. Unknown is NaN (or None), and NaN is never "fine".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:  # pandas takes a third of a second to load: only the stages that compute with it do
    import pandas as pd

    from sheetcheck.settings import Settings

# --------------------------------------------------------------------------- words


class Signal(StrEnum):
    """How bad it is if the recipe is followed as written. Words borrowed from ANSI Z535.6; the meaning here is ours."""

    DANGER = "DANGER"  # free lye
    WARNING = "WARNING"  # hardly any margin, lye that cannot dissolve, an unmistakable slip
    CAUTION = "CAUTION"  # poor soap, an unusual amount
    NOTICE = "NOTICE"  # for information

    @property
    def rank(self) -> int:
        """4 for DANGER down to 1 for NOTICE."""
        return _RANK[self.value]


_RANK = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}

Verdict = Literal["fine", "flagged", "not checked"]
Certainty = Literal["sure", "likely", "possible"]
Role = Literal["fat", "alkali", "liquid", "acid", "additive", "unknown"]
UnitFrom = Literal["cell text", "number format", "unit column", "heading", "sheet note", "setting"]
RepairKind = Literal["unit", "decimal", "digit", "swap", "stale", "alkali", "substance", "copied", "other"]
RowKind = Literal["number", "text", "formula"]
StatementKind = Literal[
    "superfat", "fats total", "batch total", "lye concentration", "liquid to lye", "share of fats", "alkali strength"
]

# --------------------------------------------------------------------------- frames
#
# A large book has a million amounts: what repeats is a category (a byte a line, compared as a number), so that an
# unknown one reads as NaN, not None.

COMPONENT_COLUMNS: Mapping[str, str] = {
    # one line per amount of a recipe, in reading order
    "recipe": "int64",  # index of the recipe in the frame of recipes
    "sheet": "category",
    "row": "int32",  # the cell that holds the amount
    "column": "int32",
    "name_row": "int32",  # the cell that names the ingredient (a heading, or the cell beside); 0 where none
    "name_column": "int32",
    "name": "category",  # the ingredient as the sheet names it
    "role": "category",  # Role
    "substance": "category",  # key in the reference tables, None where not known for certain
    "name_certainty": "category",  # exact | read as | ambiguous | unknown
    "written": "object",  # the text as it stands; None for a plain number, which `value` then gives
    "stored": "category",  # RowKind: how the cell holds it
    "value": "float64",  # the amount in `unit`
    "unit": "category",  # a canonical symbol of reference/units.txt, None where none could be found
    "unit_from": "category",  # UnitFrom
    "units_said": "object",  # None, or a tuple of (UnitFrom, unit), where two sources contradict each other
    "grams": "float64",  # NaN where the amount was not read
    "other_grams": "float64",  # a second possible reading (`1.250 g`), else NaN
    "by_volume": "bool",  # turned into grams with a density or a published weight per measure
    "strength": "float64",  # share of pure substance, 0 to 1, where the name or a cell says it; else NaN
    "decimals": "int8",  # decimals as written
    "bears": "bool",  # bears on lye or water: fats, alkali, liquids, acids and anything unknown
    "problem": "object",  # why grams is NaN, in the maker's words; None where it was read
}

STATEMENT_COLUMNS: Mapping[str, str] = {
    # one line per thing that the sheet says about a recipe beyond its amounts
    "recipe": "int64",
    "sheet": "category",
    "row": "int32",
    "column": "int32",
    "kind": "category",  # StatementKind
    "about_row": "int32",  # for a share of fats: the cell of the amount or the ingredient it belongs to, else 0
    "about_column": "int32",
    "written": "object",
    "stored": "category",
    "value": "float64",  # percent for shares, grams for totals, a plain ratio for liquid to lye
    "other_value": "float64",  # a second reading: a bare 0.05 is 5 % or 0.05 %
    "unit": "category",  # unit that a total is written in
    "place": "category",  # column | line | remark | section | sheet
}

RECIPE_READ_COLUMNS: Mapping[str, str] = {
    # one line per recipe, filled by reading/
    "name": "object",  # as the workbook has it
    "sheet": "object",
    "layout": "object",
    "row": "int64",  # the anchor: the cell with the recipe's name
    "column": "int64",
    "first_row": "int64",  # the range it covers
    "first_column": "int64",
    "last_row": "int64",
    "last_column": "int64",
    "table": "int64",  # number of the table on its sheet that the recipe stands in, else 0
    "section": "object",  # section title above it, "" where none
    "remarks": "object",  # everything said beside it, joined
    "struck": "bool",  # crossed out by the maker
    "unit": "object",  # the mass unit most of its amounts are written in
    "stated_superfat": "float64",  # percent; NaN where the sheet states none
    "stated_superfat_other": "float64",  # the second reading of an ambiguous statement
    "no_margin_stated": "bool",  # the sheet itself states 0 to 1 % (column, remark or section title)
    "unread": "int64",  # amounts that bear on lye or water and were not read
}

RECIPE_COMPUTED_COLUMNS: Mapping[str, str] = {
    # filled by chemistry/; names and meaning as in the audit report; chemistry/batch.py adds and describes more
    "fat_g": "float64",
    "fat_in_liquids_g": "float64",
    "alkali": "object",  # NaOH | KOH | mixed | None
    "alkali_g": "float64",
    "needed_low_g": "float64",
    "needed_typical_g": "float64",
    "needed_high_g": "float64",
    "water_g": "float64",
    "liquid_g": "float64",
    "superfat_low": "float64",
    "superfat_typical": "float64",
    "superfat_high": "float64",
    "lye_concentration": "float64",
    "water_per_lye": "float64",
    "free_alkali_percent": "float64",  # of the whole batch; 0 where superfat is not negative
    "batch_g": "float64",
    "alkali_recomputed_g": "float64",
    "liquid_recomputed_g": "float64",
}

RECIPE_JUDGED_COLUMNS: Mapping[str, str] = {
    # filled by the pipeline once rules and repairs have spoken
    "verdict": "object",  # Verdict
    "signal": "object",  # the worst Signal of its findings, or None
    "why_not_checked": "object",  # None where it was checked
}

# --------------------------------------------------------------------------- how a book was read


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """How one column, or one line of a table that runs across, was understood."""

    place: str  # "D" for a column, "7" for a line
    heading: str
    role: str
    substance: str | None = None
    unit: str | None = None
    unit_from: UnitFrom | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class SheetReading:
    """How one sheet was understood, in words that can be shown."""

    sheet: str
    layout: str  # name of a layout, or "no recipe"
    evidence: tuple[str, ...]
    columns: tuple[ColumnReading, ...] = ()
    recipes: int = 0
    range: str = ""


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Something on a sheet that was not read, and why."""

    sheet: str
    cell: str
    what: str
    why: str
    recipe: int | None = None


# --------------------------------------------------------------------------- findings and repairs


@dataclass(frozen=True, slots=True)
class Change:
    """What one cell should say: `value` in `unit`, or another substance."""

    sheet: str
    cell: str
    written: str
    value: float | None = None
    unit: str | None = None
    substance: str | None = None


@dataclass(frozen=True, slots=True)
class Repair:
    """One edit that would make a row fit, and how probable it is that this edit is what went wrong."""

    kind: RepairKind
    changes: tuple[Change, ...]
    probability: float
    superfat_percent: float | None
    why: str
    only: bool = False  # the only single slip that explains the row


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to look at. `recipe` is None where it stands for many, which `recipes` then lists."""

    rule: str
    signal: Signal
    sheet: str
    cell: str
    message: str
    recipe: int | None = None
    recipes: tuple[int, ...] = ()
    written: str = ""
    expected: str = ""
    look_at: str = ""
    certainty: Certainty | None = None
    repairs: tuple[Repair, ...] = ()
    answer: str = ""  # what the maker answered to it in an earlier copy

    def about(self) -> tuple[int, ...]:
        """Return the numbers of the recipes that it is about; none for a finding on the workbook as a whole."""
        return self.recipes or (() if self.recipe is None else (self.recipe,))


# --------------------------------------------------------------------------- a whole book


@dataclass(frozen=True, slots=True)
class OwnValue:
    """A saponification value that the maker keeps in her own book."""

    substance: str
    mg_koh_per_g: float
    sheet: str
    cell: str
    written: str


@dataclass(frozen=True)
class Book:
    """A workbook as understood by reading/. The frames have the columns above."""

    name: str
    sha256: str
    components: pd.DataFrame
    recipes: pd.DataFrame  # RECIPE_READ_COLUMNS; index = recipe number from 1
    statements: pd.DataFrame
    sheets: tuple[SheetReading, ...]
    not_understood: tuple[NotUnderstood, ...]
    own_values: tuple[OwnValue, ...] = ()
    notices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Audit:
    """A book with its numbers, findings and verdicts."""

    book: Book
    recipes: pd.DataFrame  # read, computed and judged columns
    findings: tuple[Finding, ...]
    settings: Settings


# --------------------------------------------------------------------------- marks: what is to be added to a copy


@dataclass(frozen=True, slots=True)
class Formula:
    """A live formula (without the equals sign) and the value that a program which does not calculate shows."""

    text: str
    value: float | str | bool | None = None
    link: Link | None = None  # where a click on the cell leads; its text is not shown


@dataclass(frozen=True, slots=True)
class Link:
    """A link to a cell of the same workbook."""

    sheet: str
    cell: str
    text: str


Scalar: TypeAlias = str | float | bool | None


@dataclass(frozen=True, slots=True)
class Styled:
    """A cell with one of the named styles of workbook/styles."""

    value: Scalar | Formula | Link
    style: str


CellContent: TypeAlias = Scalar | Formula | Link | Styled


@dataclass(frozen=True, slots=True)
class CellMark:
    """Fill one cell of the user's by signal word and give it a note."""

    sheet: str
    cell: str
    signal: Signal | str
    note: str | None = None


@dataclass(frozen=True, slots=True)
class ResultColumns:
    """Columns to the right of a table, one empty column between."""

    sheet: str
    heading_row: int
    headings: Sequence[str]
    values: Mapping[int, Sequence[CellContent]]  # by row number
    widths: Sequence[float] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """A drop-down over a range of a new sheet."""

    range: str
    options: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Series:
    """One set of points in a chart; ranges are on the chart's sheet of data."""

    name: str
    x: str
    y: str
    look: str  # one of workbook/palette.SERIES
    less: str = ""  # ranges with the lengths of error bars down and up, "" for none
    more: str = ""
    labels: tuple[str, ...] = ()  # one text for each point, "" for none
    in_legend: bool = True


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of points (x and y both numbers) on a new sheet."""

    cell: str  # its upper left corner
    data: str  # the sheet with its numbers
    title: str
    x_title: str
    y_title: str
    x_ends: tuple[float, float]
    y_ends: tuple[float, float]
    series: tuple[Series, ...]
    size: tuple[int, int]  # pixels
    x_steps: float | None = None
    y_steps: float | None = None
    x_numbers: bool = True  # whether numbers stand along the x axis


@dataclass(frozen=True, slots=True)
class NewSheet:
    """A sheet appended at the end."""

    name: str
    rows: Sequence[Sequence[CellContent]]
    widths: Sequence[float] = ()
    freeze: str | None = None  # the cell below and right of the frozen part
    filter: str | None = None  # range with a filter
    choices: tuple[Choice, ...] = ()
    merges: tuple[str, ...] = ()
    heights: Mapping[int, float] = field(default_factory=dict)
    landscape: bool = False
    one_page: bool = False  # else one page wide and as long as need be
    repeat_rows: tuple[int, int] | None = None  # printed at the top of each page
    tab: Signal | None = None
    charts: tuple[Chart, ...] = ()


Mark: TypeAlias = CellMark | ResultColumns | NewSheet


@dataclass(frozen=True, slots=True)
class CopyReport:
    """What was written into a copy and what could not be."""

    marked: int
    skipped: tuple[tuple[str, str, str], ...] = ()  # sheet, cell, reason
    warnings: tuple[str, ...] = ()


# --------------------------------------------------------------------------- addresses


def column_letters(column: int) -> str:
    """Letters of a column counted from 1: 1 is A, 27 is AA."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def address(row: int, column: int) -> str:
    """A1 address of a cell, rows and columns counted from 1."""
    return f"{column_letters(column)}{row}"


def range_address(first_row: int, first_column: int, last_row: int, last_column: int) -> str:
    """A1 range between two corners, or the one cell where they are the same."""
    first, last = address(first_row, first_column), address(last_row, last_column)
    return first if first == last else f"{first}:{last}"
