"""One strip for a book: every recipe by name, worst first, with its superfat and how far its fats may move it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Chart, NewSheet, Series, Signal, Styled, range_address
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import STRIP, STRIP_DATA
from sheetcheck.report.words import FINE, NOT_CHECKED, SIGNAL_WORDS, TITLES
from sheetcheck.rules.support.wording import percent, plain
from sheetcheck.settings import Settings
from sheetcheck.words import later, number, tr

ALL_UP_TO, WORST = 60, 40  # recipes: all of them are drawn, and beyond that only the worst
ENDS = (-10.0, 25.0)  # of the axis, percent superfat
DRAWN = (-9.2, 24.2)  # where points stand that lie beyond, clear of names and edge
LOOKS = (FINE, "CAUTION", "WARNING", "DANGER")  # drawn in this order, the worst on top
WIDTH, ROW, ABOVE, BELOW = 700, 19, 60, 90  # pixels: the width of a page, Letter or A4, upright
SHEET_WIDTH = WIDTH / 7 + 4  # characters
NAMES = 0.28  # share of the width that the names take up
LONGEST_NAME = 30  # characters
NO_BREAK = "\N{NO-BREAK SPACE}"
BESIDE_A_POINT = "   "  # between the point of a recipe and what is said of it
PLACED = 0.35  # of a row: how far labels stand from the bounds at the top

TITLE = later("Superfat of each recipe, worst first")
AXIS = later("Fat left over (superfat), %. Line: how far the fats themselves may vary.")
TOO_MUCH_LYE, THIN, USUAL, SOFT = later("too much lye"), later("thin"), later("usual"), later("soft")
LYE_TIMES = later("lye {times} times what the fats take: do not make")
FAT_LEFT = later("{share} of the fat is left")
SENTENCE = later(
    "Left of the line at 0 there is more lye than the fats can take. A recipe that was not checked says so in place of "
    "a point."
)
NOT_ALL = later("Of {all} recipes the {shown} worst are shown; the rest stand beside their amounts.")
NO_STRIP = later("No picture: no superfat could be worked out.")
HEADINGS = (later("Recipe"), later("Row"), *LOOKS, later("Range, down"), later("Range, up"))

FIRST = 4  # row of the first recipe on the sheet of numbers
NAME, PLACE, FIRST_LOOK = 1, 2, 3
LOWER, UPPER = FIRST_LOOK + len(LOOKS), FIRST_LOOK + len(LOOKS) + 1
BESIDE = UPPER + 2  # pairs of columns for labels and bounds


@dataclass(frozen=True, slots=True)
class Line:
    """One recipe in the strip."""

    name: str
    look: str  # of its point; "not checked" for none
    superfat: float
    low: float
    high: float

    @property
    def x(self) -> float:
        """Superfat within the ends of the axis."""
        return _within(self.superfat)

    def beyond(self) -> str:
        """Say what lies beyond the ends of the axis, or that the recipe was not checked; "" for a plain point."""
        if self.look == NOT_CHECKED:
            return tr(NOT_CHECKED)
        if self.superfat < DRAWN[0]:
            return BESIDE_A_POINT + tr(LYE_TIMES, times=plain(1 - self.superfat / 100, 1))
        return tr(FAT_LEFT, share=percent(self.superfat)) + BESIDE_A_POINT if self.superfat > DRAWN[1] else ""


@otherwise([], later("The picture of all recipes is left out of the copy."))
def strip_and_data(audit: Audit) -> list[NewSheet]:
    """Return the sheet with the strip and the one with its numbers; neither where no superfat is known."""
    if audit.recipes["superfat_typical"].isna().all():
        return []
    lines = lines_of(audit)
    said = tr(SENTENCE)
    if len(lines) < len(audit.recipes):
        said = f"{said} {tr(NOT_ALL, all=number(len(audit.recipes), 0), shown=number(len(lines), 0))}"
    chart, data = _drawn(lines, audit.settings)
    rows: list[list[CellContent]] = [[Styled(tr(TITLES["strip"]), "title")], [Styled(said, "sentence")]]
    sheet = NewSheet(
        STRIP,
        rows,
        widths=(SHEET_WIDTH,),
        heights=TITLE_HEIGHT | heights(rows, (SHEET_WIDTH,)),
        one_page=True,
        charts=(chart,),
        grid=False,
    )
    return [sheet, data]


def lines_of(audit: Audit) -> list[Line]:
    """Return the recipes of the strip, worst first: by signal word, then by how little fat is left."""
    r = audit.recipes
    rank = (
        r["signal"].map({s.value: float(s.rank) for s in Signal}).fillna(0.0).where(r["signal"] != Signal.NOTICE, 0.0)
    )
    rank = rank.where((r["verdict"] != NOT_CHECKED) | (rank >= Signal.WARNING.rank), 0.5)
    order = pd.DataFrame({"rank": -rank, "superfat": r["superfat_typical"]}).sort_values(
        ["rank", "superfat"], kind="stable"
    )
    shown = order.index if len(order) <= ALL_UP_TO else order.index[:WORST]
    return [_line(line) for line in r.loc[shown].to_dict("records")]


def _line(r: dict[Any, Any]) -> Line:
    unknown = math.isnan(r["superfat_typical"]) or (r["verdict"] == NOT_CHECKED and r["signal"] != Signal.DANGER)
    look = NOT_CHECKED if unknown else r["signal"] if r["signal"] in LOOKS else FINE
    name = str(r["name"])
    shown = name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"
    return Line(shown, look, *(float(r[f"superfat_{end}"]) for end in ("typical", "low", "high")))


def _within(value: float) -> float:
    return value if math.isnan(value) else min(max(value, DRAWN[0]), DRAWN[1])


# --------------------------------------------------------------------------- drawn


def _drawn(lines: Sequence[Line], settings: Settings) -> tuple[Chart, NewSheet]:
    """Return the chart and the numbers behind it."""
    top = len(lines) + 1.0
    thin, usual = settings.limit("superfat_notice_below"), settings.limit("superfat_high_notice")
    zones = ((ENDS[0], 0.0, TOO_MUCH_LYE), (0.0, thin, THIN), (thin, usual, USUAL), (usual, ENDS[1], SOFT))
    middle = (thin + usual) / 2
    far = [(at, line, middle if line.look == NOT_CHECKED else line.x) for at, line in _placed(lines) if line.beyond()]
    blocks = [
        ([(ENDS[0], at) for at, _ in _placed(lines)], [line.name for line in lines], "label", "left"),
        *(
            (
                [(x, at) for at, _, x in far if x == end],
                [line.beyond() for _, line, x in far if x == end],
                "label",
                side,
            )
            for end, side in ((DRAWN[0], "right"), (DRAWN[1], "left"), (middle, "center"))
        ),
        ([((a + b) / 2, top) for a, b, _ in zones], [tr(word) for *_, word in zones], "label", "center"),
        *(([(x, 0.0), (x, top - PLACED)], [], "bound", "center") for x in (thin, usual)),
        ([(0.0, 0.0), (0.0, top - PLACED)], [], "end of the fat", "center"),
    ]
    blocks = [block for block in blocks if block[0]]
    size = (WIDTH, ABOVE + BELOW + ROW * (len(lines) + 1))
    chart = Chart(
        cell="A3",
        data=STRIP_DATA,
        title=tr(TITLE),
        x_title=tr(AXIS),
        x_ends=ENDS,
        y_ends=(0.0, top + 0.5),
        series=(*_points(lines), *(_beside(block, number) for number, block in enumerate(blocks))),
        size=size,
        plot=(NAMES, ABOVE / size[1], 0.97 - NAMES, ROW * (len(lines) + 1) / size[1]),
        x_steps=5.0,
    )
    return chart, _data(lines, [block[0] for block in blocks])


def _placed(lines: Sequence[Line]) -> Iterator[tuple[float, Line]]:
    """Yield each recipe with its height in the strip, the first at the top."""
    for index, line in enumerate(lines):
        yield float(len(lines) - index), line


def _points(lines: Sequence[Line]) -> Iterator[Series]:
    for index, look in enumerate(LOOKS):
        if any(line.look == look for line in lines):
            x, y = _column(FIRST_LOOK + index, len(lines)), _column(PLACE, len(lines))
            less, more = _column(LOWER, len(lines)), _column(UPPER, len(lines))
            yield Series(_said(look), x, y, look, less, more)


def _beside(block: Any, number: int) -> Series:  # noqa: ANN401 - places, texts, look and side of a series of words
    places, texts, look, side = block
    first = BESIDE + 2 * number
    x, y = _column(first, len(places)), _column(first + 1, len(places))
    shown = tuple(text.replace(" ", NO_BREAK) for text in texts)
    return Series("", x, y, look, labels=shown, label_at=side, in_legend=False)


def _said(look: str) -> str:
    """Say in the legend what points of one look are."""
    return tr(SIGNAL_WORDS[Signal(look)]) if look in SIGNAL_WORDS else tr(look)


def _column(column: int, rows: int) -> str:
    return range_address(FIRST, column, FIRST + rows - 1, column)


def _data(lines: Sequence[Line], beside: Sequence[Sequence[tuple[float, float]]]) -> NewSheet:
    table: list[list[CellContent]] = [_row(at, line) for at, line in _placed(lines)]
    table += [[None] * UPPER for _ in range(max(map(len, beside)) - len(lines))]
    for row, cells in enumerate(table):
        cells.append(None)
        for places in beside:
            cells.extend(places[row] if row < len(places) else (None, None))
    rows: list[list[CellContent]] = [
        [Styled(tr(TITLES["strip data"]), "title")],
        [],
        [Styled(tr(heading), "heading") for heading in HEADINGS],
        *table,
    ]
    return NewSheet(STRIP_DATA, rows, widths=(26, *(11,) * UPPER), heights=TITLE_HEIGHT, hidden=True)


def _row(at: float, line: Line) -> list[CellContent]:
    numbers = [
        *(line.x if line.look == look else math.nan for look in LOOKS),
        max(line.x - _within(line.low), 0.0),
        max(_within(line.high) - line.x, 0.0),
    ]
    return [
        Styled(line.name, "text"),
        at,
        *(None if math.isnan(n) else Styled(round(n, 3), "percent") for n in numbers),
    ]
