"""Two charts for the summary, and the sheet with their numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Chart, NewSheet, Series, Signal, Styled, range_address
from sheetcheck.report.chart_labels import Label, Plot
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import CHART_DATA
from sheetcheck.report.words import (
    CHART_DATA_SENTENCE,
    CHART_FRAME,
    CHART_HEADINGS,
    CHART_SUPERFAT,
    CONCENTRATION_AXIS,
    FINE,
    IN_ORDER,
    LABEL_WITH_VALUE,
    LYE_CHART,
    NOT_CHECKED,
    SIGNAL_WORDS,
    SUPERFAT_AXIS,
    SUPERFAT_CHART,
    TITLES,
)
from sheetcheck.settings import Settings
from sheetcheck.words import later, number, tr

MOST_POINTS = 2_000  # recipes; beyond them points hide each other
LEAST_POINTS = 3
MINUS = "\N{MINUS SIGN}"
NO_BREAK = "\N{NO-BREAK SPACE}"
MOST_NAMED = 12
SUPERFAT_ENDS, CONCENTRATION_ENDS = (-10.0, 30.0), (10.0, 60.0)
LOOKS = (FINE, NOT_CHECKED, "CAUTION", "WARNING", "DANGER")  # drawn in this order, the worst on top
SIZES = ((545, 330), (590, 330))  # pixels

FIRST_ROW = 5  # of the numbers on their sheet
NAME, NUMBER, FIRST_LOOK = 1, 2, 3  # columns; one for each look, then
LOWER, UPPER, LYE = (FIRST_LOOK + len(LOOKS) + i for i in range(3))
FRAMES = (LYE + 2, LYE + 4)  # x of the corners of each chart's frame, y beside it
LABELS = (LYE + 6, LYE + 8)  # the same for names
CORNERS = ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))
WIDTHS = (26, 9, *(11,) * len(LOOKS), 11, 11, 14, 3, *(14,) * 8)


@dataclass(frozen=True, slots=True)
class Point:
    """One recipe in the charts."""

    number: int
    name: str
    look: str
    superfat: float
    low: float
    high: float
    concentration: float

    @property
    def y(self) -> float:
        """Superfat within the ends of the charts."""
        return _within(self.superfat, SUPERFAT_ENDS)

    @property
    def x(self) -> float:
        """Lye concentration within the ends of its chart; NaN where it is not known."""
        return _within(self.concentration, CONCENTRATION_ENDS)


@otherwise(((), None), later("The charts are left out of the copy."))
def charts_and_data(audit: Audit) -> tuple[tuple[Chart, ...], NewSheet | None]:
    """Return the charts and the sheet with their numbers; neither for too few or too many recipes."""
    known = audit.recipes[audit.recipes["superfat_typical"].notna()]
    if not LEAST_POINTS <= len(known) <= MOST_POINTS:
        return (), None
    points = [_point(number, r) for number, r in enumerate(known.to_dict("records"), 1)]
    plots = (
        Plot(SIZES[0], (0.0, len(points) + 1.0), SUPERFAT_ENDS),
        Plot(SIZES[1], CONCENTRATION_ENDS, SUPERFAT_ENDS),
    )
    frames = _frames(plots, audit.settings)
    known_x = [p for p in points if not math.isnan(p.x)]
    named = _named(points, frames[0]), _named(known_x, frames[1])
    labels = (
        plots[0].placed(
            [Label(p.number, p.y, _with_value(p)) for p in named[0]], [(float(p.number), p.y) for p in points]
        ),
        plots[1].placed([Label(p.x, p.y, p.name) for p in named[1]], [(p.x, p.y) for p in known_x]),
    )
    charts = (
        _chart(points, plots[0], labels[0], 0, (tr(SUPERFAT_CHART), tr(IN_ORDER))),
        _chart(points, plots[1], labels[1], 1, (tr(LYE_CHART), tr(CONCENTRATION_AXIS))),
    )
    return charts, _data(points, labels, frames)


def _point(number: int, r: dict[Any, Any]) -> Point:
    look = r["signal"] if r["signal"] in LOOKS else NOT_CHECKED if r["verdict"] == NOT_CHECKED else FINE
    numbers = (float(r[c]) for c in ("superfat_typical", "superfat_low", "superfat_high", "lye_concentration"))
    return Point(number, str(r["name"]), look, *numbers)


def _within(value: float, ends: tuple[float, float]) -> float:
    return value if math.isnan(value) else min(max(value, ends[0]), ends[1])


def _named(points: Sequence[Point], frame: Sequence[tuple[float, float]]) -> list[Point]:
    """Return the recipes that are named: outside the frame, or flagged; the worst, and not more than can be read."""
    (left, low), (right, high) = frame[0], frame[2]
    over_recipes = left == 0

    def odd(p: Point) -> bool:
        inside = low <= p.y <= high and (over_recipes or left <= p.x <= right)
        return not inside or p.look in ("DANGER", "WARNING", "CAUTION")

    return sorted(filter(odd, points), key=lambda p: -LOOKS.index(p.look))[:MOST_NAMED]


def _with_value(point: Point) -> str:
    if point.y == point.superfat:
        return point.name
    return tr(LABEL_WITH_VALUE, recipe=point.name, superfat=number(point.superfat, 0).replace("-", MINUS))


def _said(look: str) -> str:
    """Say in the legend what points of one look are."""
    return tr(SIGNAL_WORDS[Signal(look)]) if look in SIGNAL_WORDS else tr(look)


# --------------------------------------------------------------------------- the charts


def _chart(points: Sequence[Point], plot: Plot, labels: Sequence[Label], which: int, words: tuple[str, str]) -> Chart:
    """Return one of the charts: superfat over the recipes in order (0), or over lye concentration (1)."""
    over_recipes = which == 0
    x = _column(NUMBER if over_recipes else LYE, len(points))
    series = [Series(tr(CHART_FRAME), *_pair(FRAMES[which], len(CORNERS)), "frame")]
    for index, look in enumerate(LOOKS):
        if any(p.look == look for p in points):
            less, more = (_column(column, len(points)) if over_recipes else "" for column in (LOWER, UPPER))
            series.append(Series(_said(look), x, _column(FIRST_LOOK + index, len(points)), look, less, more))
    if labels:
        texts = tuple(label.text.replace(" ", NO_BREAK) for label in labels)
        series.append(Series("", *_pair(LABELS[which], len(labels)), "label", labels=texts, in_legend=False))
    return Chart(
        cell="",
        data=CHART_DATA,
        title=words[0],
        x_title=words[1],
        y_title=tr(SUPERFAT_AXIS),
        x_ends=plot.x_ends,
        y_ends=plot.y_ends,
        series=tuple(series),
        size=plot.size,
        x_steps=None if over_recipes else 10.0,
        y_steps=5.0,
        x_numbers=not over_recipes,
    )


def _column(column: int, rows: int) -> str:
    return range_address(FIRST_ROW, column, FIRST_ROW + rows - 1, column)


def _pair(column: int, rows: int) -> tuple[str, str]:
    return _column(column, rows), _column(column + 1, rows)


# --------------------------------------------------------------------------- and their numbers


def _frames(plots: Sequence[Plot], settings: Settings) -> list[list[tuple[float, float]]]:
    """Return the corners of the frame around what is usual, for each chart."""
    usual = (settings.limit("superfat_notice_below"), settings.limit("superfat_high_notice"))
    across = (plots[0].x_ends, (settings.limit("lye_weak_notice"), settings.limit("lye_strong_caution")))
    return [[(ends[right], usual[up]) for right, up in CORNERS] for ends in across]


def _data(
    points: Sequence[Point], labels: Sequence[Sequence[Label]], frames: Sequence[Sequence[tuple[float, float]]]
) -> NewSheet:
    looks = [tr(CHART_SUPERFAT, look=_said(look)) for look in LOOKS]
    said = [tr(heading) for heading in CHART_HEADINGS]
    beside = [*frames, *([(round(p.x, 3), round(p.y, 3)) for p in placed] for placed in labels)]
    headings = [*said[:2], *looks, *said[2:5], None, *said[5:]]
    length = max(len(points), *map(len, beside))
    table: list[list[CellContent]] = [_row(point) for point in points]
    table += [[None] * LYE for _ in range(length - len(points))]
    for row, cells in enumerate(table):
        cells.append(None)
        for pairs in beside:
            cells.extend(pairs[row] if row < len(pairs) else (None, None))
    rows: list[list[CellContent]] = [
        [Styled(tr(TITLES["chart data"]), "title")],
        [Styled(tr(CHART_DATA_SENTENCE), "sentence")],
        [],
        [None if h is None else Styled(h, "heading") for h in headings],
        *table,
    ]
    return NewSheet(
        CHART_DATA,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, {2: float(sum(WIDTHS[:LYE]))}),
        merges=("A2:J2",),
        freeze=f"B{FIRST_ROW}",
        landscape=True,
    )


def _row(point: Point) -> list[CellContent]:
    low, high = (_within(end, SUPERFAT_ENDS) for end in (point.low, point.high))
    numbers = [
        *(point.y if point.look == look else math.nan for look in LOOKS),
        max(point.y - low, 0.0),
        max(high - point.y, 0.0),
        point.x,
    ]
    shown = (None if math.isnan(number) else Styled(round(number, 3), "percent") for number in numbers)
    return [Styled(point.name, "text"), point.number, *shown]
