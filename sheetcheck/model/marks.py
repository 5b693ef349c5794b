"""Marks: what is to be added to a copy, as data that knows nothing of files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from sheetcheck.model.findings import Signal


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


ACROSS_A_PAGE = 87.0  # characters that A4 (Letter: 90) holds, upright, with the margins of a new workbook (LibreOffice)

Scalar: TypeAlias = str | float | bool | None


@dataclass(frozen=True, slots=True)
class Styled:
    """A cell with one of the named styles of workbook/styles."""

    value: Scalar | Formula | Link
    style: str


CellContent: TypeAlias = Scalar | Formula | Link | Styled


@dataclass(frozen=True, slots=True)
class CellMark:
    """Fill one cell of the user's by signal word, or as "not checked", and give it a note."""

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
    new_page: bool = False  # whether print begins a page with them, if need be and the sheet sets no pages itself


@dataclass(frozen=True, slots=True)
class Choice:
    """A drop-down over a range of a new sheet."""

    range: str
    options: tuple[str, ...]
    free: bool = False  # whether anything else may be typed


@dataclass(frozen=True, slots=True)
class Series:
    """One set of points in a chart; ranges are on the chart's sheet of data."""

    name: str
    x: str
    y: str
    look: str  # one of workbook/palette.SERIES
    less: str = ""  # ranges with the lengths of error bars to the left and right, "" for none
    more: str = ""
    labels: tuple[str, ...] = ()  # one text for each point, "" for none
    label_at: Literal["right", "left", "center"] = "right"
    in_legend: bool = True


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of points (x and y both numbers) on a new sheet; its y axis carries no numbers."""

    cell: str  # where its upper left corner stands
    data: str  # the sheet with its numbers
    title: str
    x_title: str
    x_ends: tuple[float, float]
    y_ends: tuple[float, float]
    series: tuple[Series, ...]
    size: tuple[int, int]  # pixels
    plot: tuple[float, float, float, float]  # left, top, width and height of the plot, as shares of the chart
    x_steps: float | None = None


@dataclass(frozen=True, slots=True)
class NewSheet:
    """A sheet appended at the end."""

    name: str
    rows: Sequence[Sequence[CellContent]]
    widths: Sequence[float] = ()  # 0 hides a column
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
    grid: bool = True  # whether the lines between cells show
    first: bool = False  # whether the copy opens on it
    hidden: bool = False  # for the program: a menu can show it
    paper: str = "a4"  # one of `settings.PAPERS`
    fit: bool = True  # to one page's width; else columns go on to further pages, beside those of `repeat_columns`
    repeat_columns: int = 0  # columns at the left that are printed on each page
    print_area: str | None = None


Mark: TypeAlias = CellMark | ResultColumns | NewSheet


@dataclass(frozen=True, slots=True)
class CopyReport:
    """What was written into a copy and what could not be."""

    marked: int
    skipped: tuple[tuple[str, str, str], ...] = ()  # sheet, cell, reason
    warnings: tuple[str, ...] = ()
