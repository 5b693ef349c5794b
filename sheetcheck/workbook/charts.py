"""Charts of points for new sheets, drawn by the spreadsheet program itself."""

from __future__ import annotations

import re
from typing import Any

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from sheetcheck.model import Chart, Series
from sheetcheck.workbook.palette import GRID_INK, INK, SERIES
from sheetcheck.workbook.ranges import parse_area, quoted

_END_OF_PLOT = re.compile(rb"(</c:legend>|</c:plotArea>(?!<c:legend>))(?:<c:plotVisOnly [^>]*/>)?(?!<c:dispBlanksAs)")
_HIDDEN_TOO = rb'\1<c:plotVisOnly val="0"/><c:dispBlanksAs val="gap"/>'
_SHOWS_THE_VALUE = re.compile(rb'(<c:dLblPos val="[a-z]+"/>)?<c:showVal val="1"/>')
_SHOWN = ("LegendKey", "Val", "CatName", "SerName", "Percent", "BubbleSize")
_ONLY_THE_VALUE = b"".join(b'<c:show%s val="%d"/>' % (part.encode(), part == "Val") for part in _SHOWN)
_SMALL, _SMALLEST = 9, 8  # points
_PAPER = "#FFFFFF"


def add_chart(workbook: xlsxwriter.Workbook, sheet: Worksheet, spec: Chart, font: str) -> None:
    """Draw a chart on a sheet, in the font of the book."""
    chart = workbook.add_chart({"type": "scatter"})
    for series in spec.series:
        chart.add_series(_series(series, spec.data, font))
    title = {"name": font, "size": 12, "bold": True, "color": f"#{INK}"}
    chart.set_title({"name": spec.title, "name_font": title, "overlay": False})
    chart.set_x_axis(_axis(spec.x_title, spec.x_ends, spec.x_steps, font) | {"label_position": "low"})
    lines = {"visible": True, "line": {"color": f"#{GRID_INK}", "width": 0.25}}
    chart.set_y_axis(_axis("", spec.y_ends, 1.0, font) | {"label_position": "none", "major_gridlines": lines})
    hidden = [index for index, series in enumerate(spec.series) if not series.in_legend]
    chart.set_legend({"position": "bottom", "font": {"name": font, "size": _SMALL}, "delete_series": hidden})
    chart.set_size({"width": spec.size[0], "height": spec.size[1]})
    chart.set_chartarea({"border": {"color": f"#{GRID_INK}"}, "fill": {"color": _PAPER}})
    layout = dict(zip(("x", "y", "width", "height"), spec.plot, strict=True))
    chart.set_plotarea({"fill": {"color": _PAPER}, "layout": layout})
    chart.show_hidden_data()  # its numbers stand on a sheet that is for the program
    sheet.insert_chart(spec.cell, chart, {"object_position": 2, "description": spec.title})


def explicit(chart: bytes) -> bytes:
    """Return a chart's XML with what programs take differently where it is not said.

    That is straight lines, gaps for blanks, numbers of hidden sheets too, and labels of one line with nothing but a
    value.

    They go by the program that the file names as its maker, and in a copy that is the maker of the book.
    """
    straight = chart.replace(b"</c:ser>", b'<c:smooth val="0"/></c:ser>')
    labelled = _SHOWS_THE_VALUE.sub(lambda m: (m[1] or b'<c:dLblPos val="r"/>') + _ONLY_THE_VALUE, straight)
    labelled = labelled.replace(b"<c:tx><c:rich><a:bodyPr/>", b'<c:tx><c:rich><a:bodyPr wrap="none"/>')
    return _END_OF_PLOT.sub(_HIDDEN_TOO, labelled)


def _axis(title: str, ends: tuple[float, float], steps: float | None, font: str) -> dict[str, Any]:
    axis: dict[str, Any] = {
        "name": title,
        "name_font": {"name": font, "size": _SMALL, "bold": False},
        "num_font": {"name": font, "size": _SMALL},
        "num_format": "0;\N{MINUS SIGN}0",
        "min": ends[0],
        "max": ends[1],
        "crossing": "min",
        "major_tick_mark": "outside",
        "minor_tick_mark": "none",
        "major_gridlines": {"visible": True, "line": {"color": f"#{GRID_INK}", "width": 0.5}},
    }
    return axis if steps is None else axis | {"major_unit": steps}


def _series(series: Series, data: str, font: str) -> dict[str, Any]:
    look = SERIES[series.look]
    found: dict[str, Any] = {
        "name": series.name,
        "categories": _reference(data, series.x),
        "values": _reference(data, series.y),
        **{part: dict(properties) for part, properties in look.items() if part in ("line", "marker")},
    }
    if series.less:
        found["x_error_bars"] = {
            "type": "custom",
            "plus_values": _reference(data, series.more),
            "minus_values": _reference(data, series.less),
            "end_style": 0,
            "line": dict(look["error"]),
        }
    if any(series.labels):
        small = {"name": font, "size": _SMALLEST}
        found["data_labels"] = {
            "value": True,
            "position": series.label_at,
            "font": small,
            "custom": [
                {"value": _no_reference(label), "font": small} if label else {"delete": True} for label in series.labels
            ],
        }
    return found


def _reference(sheet: str, range_: str) -> str:
    area = parse_area(range_)
    if area is None:
        raise ValueError(f"{range_!r} is no range of cells")
    first, _, last = range_.partition(":")
    return f"={quoted(sheet)}!{_absolute(first)}:{_absolute(last or first)}"


def _absolute(cell: str) -> str:
    letters = cell.rstrip("0123456789")
    return f"${letters}${cell[len(letters) :]}"


def _no_reference(label: str) -> str:
    """Return a label that the writer takes for words: one such as `Soap!A1` would become a reference to a cell."""
    return re.sub(r"!(?=\$?[A-Z])", "!\N{WORD JOINER}", label)
