"""The workbook being written, with the formats that all its sheets share."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from sheetcheck.workbook.palette import HEADING_FILL, LINK_INK, PALE_INK, SIGNAL_FILLS

PAPERS = {"a4": 9, "letter": 1}  # numbers of paper sizes, ECMA-376 part 1, 18.3.1.63
_LONGEST_NAME = 31
_EDGE = {"border": 1, "border_color": "#B5B2A6"}
_FORMATS: Mapping[str, Mapping[str, object]] = {
    "title": {"bold": True, "font_size": 18, "valign": "vcenter"},
    "name": {"bold": True, "font_size": 18, "valign": "vcenter", "text_wrap": True},
    "unit": {"bold": True, "font_size": 24, "align": "center", "valign": "vcenter", "border": 2},
    "small text": {"font_size": 9},
    "small title": {"bold": True, "font_size": 9},
    "first aid text": {"font_size": 14},
    "first aid title": {"bold": True, "font_size": 14},
    "band": {"bold": True, "bg_color": f"#{HEADING_FILL}", "valign": "vcenter"},
    "heading": {"bold": True, "bg_color": f"#{HEADING_FILL}", "text_wrap": True, "valign": "vcenter", **_EDGE},
    "text": {"valign": "vcenter", "text_wrap": True, **_EDGE},
    "beside": {"valign": "vcenter", "text_wrap": True, "indent": 1, **_EDGE},  # right of a number
    "wrap": {"text_wrap": True, "valign": "top"},
    "small": {"text_wrap": True, "valign": "top", "font_size": 9},
    "first aid": {"text_wrap": True, "valign": "vcenter", "font_size": 14, "border": 2},
    "large": {"text_wrap": True, "valign": "vcenter", "font_size": 12},
    "date": {"num_format": "d mmm yyyy", "align": "left", "valign": "vcenter", "bold": True},
    "date cell": {"num_format": "d mmm yyyy", "align": "left", "valign": "vcenter", **_EDGE},
    "date input": {
        "num_format": "d mmm yyyy",
        "align": "left",
        "valign": "vcenter",
        "locked": False,
        "border": 1,
        "border_color": f"#{LINK_INK}",
    },
    "muted heading": {"font_color": f"#{PALE_INK}", "text_wrap": True, "valign": "vcenter"},
    "muted number": {"font_color": f"#{PALE_INK}", "valign": "vcenter"},
    "result total": {"num_format": "0.00", "bold": True, "font_size": 14, "valign": "vcenter", "border": 2},
    "plain": {"valign": "vcenter"},
    "strong": {"bold": True, "valign": "vcenter"},
    "outcome": {"bold": True, "valign": "vcenter", "indent": 1},
    "muted": {"font_color": f"#{PALE_INK}", "valign": "vcenter"},
    "amount": {"bold": True, "font_size": 16, "valign": "vcenter", **_EDGE},
    "number": {"num_format": "General", "valign": "vcenter", **_EDGE},
    "figure": {"num_format": "0.0000", "font_color": f"#{PALE_INK}", "valign": "vcenter", **_EDGE},
    "percent": {"num_format": "0.0", "valign": "vcenter", **_EDGE},
    "result": {"num_format": "0.0", "bold": True, "font_size": 14, "valign": "vcenter", "border": 2},
    "input": {"bg_color": "#FFFFFF", "locked": False, "valign": "vcenter", "border": 1, "border_color": f"#{LINK_INK}"},
    "tick": {"font_size": 15, "align": "center", "valign": "vcenter", **_EDGE},
    "zero": {"font_color": f"#{PALE_INK}", "align": "center", "valign": "vcenter", **_EDGE},
    "link": {"font_color": f"#{LINK_INK}", "underline": 1, "valign": "vcenter", "indent": 1, **_EDGE},
    "danger": {"bold": True, "bg_color": f"#{SIGNAL_FILLS['DANGER']}", "valign": "vcenter", "text_wrap": True},
    "caution": {"bg_color": f"#{SIGNAL_FILLS['CAUTION']}", "valign": "top", "text_wrap": True},
}


class Pages:
    """A workbook being written: sheets with free names, and formats by name."""

    def __init__(self, target: Path, paper: str, properties: Mapping[str, object]) -> None:
        options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
        self.book = xlsxwriter.Workbook(str(target), options)
        self.book.set_properties(dict(properties))
        self.paper = paper
        self._formats: dict[str, Format] = {}
        self._names: set[str] = set()

    def __getitem__(self, name: str) -> Format:
        if name not in self._formats:
            self._formats[name] = self.book.add_format(dict(_FORMATS[name]))
        return self._formats[name]

    def weight(
        self, step: float, unit: str = "", *, like: str = "number", fraction: bool = False, value: float = math.nan
    ) -> Format:
        """Return the format of a weight: as many decimals as the scale's step, and its unit where one is given.

        With `fraction` a value of even eighths is shown as one: 4 3/4.
        """
        decimals = len(f"{step:.6f}".rstrip("0").partition(".")[2]) if step > 0 else 2
        shown = f"0.{'0' * decimals}" if decimals else "0"
        if fraction and abs(value * 8 - round(value * 8)) < 1e-6:
            shown = "# ?/?" if value != round(value) else "0"
        key = f"{like} {shown} {unit}"
        if key not in self._formats:
            number_format = f'{shown}" {unit}"' if unit else shown
            self._formats[key] = self.book.add_format({**_FORMATS[like], "num_format": number_format})
        return self._formats[key]

    def name_for(self, wanted: str) -> str:
        """Return a name for a sheet that a workbook may hold and that is free, and keep it taken."""
        plain = re.sub(r"[\[\]:*?/\\]", " ", wanted).strip(" '") or "Sheet"
        name, number = plain[:_LONGEST_NAME].strip(" '"), 2
        while name.lower() in self._names or name.lower() == "history":
            tail = f" {number}"
            name, number = plain[: _LONGEST_NAME - len(tail)].strip(" '") + tail, number + 1
        self._names.add(name.lower())
        return name

    def sheet(self, name: str, *, landscape: bool = False, one_page: bool = False) -> Worksheet:
        """Add a sheet under a name from `name_for`, set up to print one page wide."""
        sheet = self.book.add_worksheet(name)
        sheet.set_paper(PAPERS[self.paper])
        if landscape:
            sheet.set_landscape()
        sheet.center_horizontally()
        sheet.set_margins(left=0.4, right=0.4, top=0.4, bottom=0.5)
        sheet.fit_to_pages(1, 1 if one_page else 0)
        return sheet
