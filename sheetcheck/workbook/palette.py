"""Colours and named cell styles of everything that this package adds to a workbook: the one place to change a look.

Signal colours are those of ANSI Z535.6 / ISO 3864-2 (red, orange, yellow, blue), lightened so far that black text on
them keeps a contrast above 7 to 1 (WCAG 2.1, level AAA), each by a step lighter than the one before, so that grey print
tells them apart. Words and shapes always say the same, so colour is never the only sign.
"""

from __future__ import annotations

from collections.abc import Mapping

SIGNAL_FILLS: Mapping[str, str] = {
    "DANGER": "F2958B",
    "WARNING": "FAC48C",
    "CAUTION": "FFEB94",
    "NOTICE": "EEF5FC",
    "not checked": "DEDEDE",
}
SHADES = 512  # of one signal's fill, too close for the eye to tell apart
INK, PALE_INK, LINK_INK = "1F1F1F", "5F5F5F", "0B4F8A"
HEADING_FILL = "E7E6E0"


def _points(shape: str, size: int, rgb: str) -> dict[str, dict[str, object]]:
    ink = f"#{INK}"
    return {
        "line": {"none": True},
        "marker": {"type": shape, "size": size, "fill": {"color": f"#{rgb}"}, "border": {"color": ink, "width": 0.75}},
        "error": {"color": f"#{PALE_INK}", "width": 0.75},
    }


_SIGNAL_STYLES = {
    word: {"bold": True, "bg_color": f"#{rgb}", "border": 1, "valign": "top", "align": "left", "indent": 1}
    for word, rgb in SIGNAL_FILLS.items()
    if word.isupper()
}

# Style name -> properties in the terms of XlsxWriter's formats; "bigger" adds points to the book's own font size.
STYLES: Mapping[str, Mapping[str, object]] = {
    "title": {"bold": True, "bigger": 6},
    "verdict": {"bold": True, "bigger": 2, "text_wrap": True, "valign": "vcenter"},
    "heading": {
        "bold": True,
        "bg_color": f"#{HEADING_FILL}",
        "bottom": 1,
        "text_wrap": True,
        "valign": "vcenter",
    },
    "heading of numbers": {
        "bold": True,
        "bg_color": f"#{HEADING_FILL}",
        "bottom": 1,
        "text_wrap": True,
        "valign": "vcenter",
        "align": "right",
    },
    "text": {"valign": "top", "align": "left", "indent": 1},
    "one line": {"valign": "top", "align": "left", "indent": 1, "shrink": True},  # smaller sooner than cut off
    "wrap": {"text_wrap": True, "valign": "top", "align": "left", "indent": 1},
    "sentence": {"text_wrap": True, "valign": "top"},
    "strong": {"bold": True, "text_wrap": True, "valign": "top"},
    "sure": {"bold": True, "text_wrap": True, "valign": "top", "align": "left", "indent": 1},
    "a guess": {
        "italic": True,
        "font_color": f"#{PALE_INK}",
        "text_wrap": True,
        "valign": "top",
        "align": "left",
        "indent": 1,
    },
    "question": {"bold": True, "border": 1, "valign": "top", "align": "left", "indent": 1},
    "muted": {"font_color": f"#{PALE_INK}", "valign": "top", "align": "left", "indent": 1},
    "link": {
        "font_color": f"#{LINK_INK}",
        "underline": 1,
        "text_wrap": True,
        "valign": "top",
        "align": "left",
        "indent": 1,
    },
    "leads on": {"font_color": f"#{LINK_INK}", "underline": 1, "text_wrap": True, "valign": "top"},
    **_SIGNAL_STYLES,
    "fine": {"font_color": f"#{INK}", "valign": "top", "align": "left", "indent": 1},
    "not checked": {
        "italic": True,
        "bg_color": f"#{SIGNAL_FILLS['not checked']}",
        "border": 4,
        "valign": "top",
        "align": "left",
        "indent": 1,
    },
    "number": {"num_format": "General", "valign": "top"},
    "count": {"num_format": "#,##0", "valign": "top", "align": "left", "indent": 1},
    "grams": {"num_format": "0.0", "valign": "top"},
    "ounces": {"num_format": "0.00", "valign": "top"},
    "thousandths": {"num_format": "0.000", "valign": "top"},
    "in g": {"num_format": '0.0" g"', "valign": "top"},
    "in oz": {"num_format": '0.00" oz"', "valign": "top"},
    "in kg": {"num_format": '0.000" kg"', "valign": "top"},
    "in lb": {"num_format": '0.000" lb"', "valign": "top"},
    "percent": {"num_format": "0.0;−0.0", "valign": "top"},
    "share": {"num_format": "0.0%", "valign": "top"},
    "per gram": {"num_format": "0.0000", "valign": "top"},
    "setting": {"num_format": "0.0###", "valign": "top", "border": 1, "border_color": f"#{LINK_INK}", "locked": False},
    "setting percent": {
        "num_format": "0.0",
        "valign": "top",
        "border": 1,
        "border_color": f"#{LINK_INK}",
        "locked": False,
    },
    "setting share": {
        "num_format": "0.0%",
        "valign": "top",
        "border": 1,
        "border_color": f"#{LINK_INK}",
        "locked": False,
    },
    "input": {
        "bg_color": "#FFFFFF",
        "border": 1,
        "border_color": f"#{LINK_INK}",
        "text_wrap": True,
        "valign": "top",
        "locked": False,
    },
    "date": {"num_format": "yyyy-mm-dd", "align": "left", "valign": "top"},
}

GRID_INK = "D9D9D9"

# Points of charts, in the terms of XlsxWriter: shape and colour both tell the signal words apart.
SERIES: Mapping[str, Mapping[str, Mapping[str, object]]] = {
    "DANGER": _points("diamond", 11, "C8102E"),
    "WARNING": _points("triangle", 9, "F28C28"),
    "CAUTION": _points("square", 8, "E5B800"),
    "fine": _points("circle", 6, "7A7A7A"),
    "label": {"line": {"none": True}, "marker": {"type": "none"}},
    "bound": {"line": {"color": "#4F7F4F", "width": 1.5, "dash_type": "dash"}, "marker": {"type": "none"}},
    "end of the fat": {"line": {"color": "#C8102E", "width": 2.0}, "marker": {"type": "none"}},
}


def shade(signal: str, number: int) -> str:
    """Return one of the `SHADES` shades of a signal's fill, as six hexadecimal digits; shade 0 is the fill itself."""
    fill = SIGNAL_FILLS[signal]
    channels = (int(fill[i : i + 2], 16) for i in (0, 2, 4))
    steps = (number >> 6 & 7, number >> 3 & 7, number & 7)
    return "".join(f"{channel - step:02X}" for channel, step in zip(channels, steps, strict=True))
