"""Cell styles of an OpenDocument spreadsheet: number formats in the code of Open XML, and fonts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from lxml import etree

from sheetcheck.workbook.grid import CellStyle

NAMESPACES = {
    "office": "urn:oasis:names:tc:opendocument:xmlns:office:1.0",
    "table": "urn:oasis:names:tc:opendocument:xmlns:table:1.0",
    "text": "urn:oasis:names:tc:opendocument:xmlns:text:1.0",
    "style": "urn:oasis:names:tc:opendocument:xmlns:style:1.0",
    "number": "urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0",
    "fo": "urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0",
    "calcext": "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0",
}
_DEEPEST = 40  # styles that rest on others
_WHITE = ("#ffffff", "transparent")


@dataclass
class OdsStyles:
    """Styles by name, from styles.xml and the automatic styles of content.xml."""

    styles: dict[str, etree._Element] = field(default_factory=dict)
    formats: dict[str, etree._Element] = field(default_factory=dict)
    _known: dict[str, int] = field(default_factory=dict)
    cell_styles: list[CellStyle] = field(default_factory=lambda: [CellStyle()])

    def add(self, root: etree._Element) -> None:
        """Take the styles below an element."""
        for element in root.iter(f"{{{NAMESPACES['style']}}}style"):
            self.styles[f"{get(element, 'style:family')} {get(element, 'style:name')}"] = element
        for element in root.iter(f"{{{NAMESPACES['number']}}}*"):
            if name := get(element, "style:name"):
                self.formats[name] = element

    def index(self, name: str) -> int:
        """Return the index in `cell_styles` of a cell style's name."""
        if name not in self._known:
            self._known[name] = len(self.cell_styles)
            self.cell_styles.append(self._cell_style(name))
        return self._known[name]

    def hides_table(self, name: str) -> bool:
        """Whether a table style hides its sheet."""
        element = self.styles.get(f"table {name}")
        properties = None if element is None else element.find("style:table-properties", NAMESPACES)
        return properties is not None and get(properties, "table:display") == "false"

    def _cell_style(self, name: str) -> CellStyle:
        data_style = weight = line = colour = ""
        for element in self._lineage(name):
            data_style = data_style or get(element, "style:data-style-name")
            for properties in element:
                weight = weight or get(properties, "fo:font-weight")
                line = line or get(properties, "style:text-line-through-style")
                colour = colour or get(properties, "fo:background-color")
        return CellStyle(
            self._number_format(data_style),
            struck=line not in ("", "none"),
            bold=weight in ("bold", "600", "700", "800", "900"),
            filled=bool(colour) and colour.lower() not in _WHITE,
        )

    def _lineage(self, name: str) -> Iterator[etree._Element]:
        """Yield a style and those it rests on, nearest first."""
        for _ in range(_DEEPEST):
            element = self.styles.get(f"table-cell {name}")
            if element is None:
                return
            yield element
            name = get(element, "style:parent-style-name")

    def _number_format(self, name: str) -> str:
        element = self.formats.get(name)
        if element is None:
            return "General"
        positive = element.find("style:map", NAMESPACES)  # the format of positive numbers, where negative ones differ
        if positive is not None:
            element = self.formats.get(get(positive, "style:apply-style-name"), element)
        elapsed = get(element, "number:truncate-on-overflow") == "false"
        code = "".join(_code(child, elapsed=elapsed) for child in element if isinstance(child.tag, str))
        return code or "General"


def _code(element: etree._Element, *, elapsed: bool) -> str:
    """Return the part of a number format that one element of a data style stands for."""
    name = etree.QName(element).localname
    if name in ("text", "currency-symbol", "fill-character"):
        return _literal(element.text or "")
    if name in _NUMBERS:
        return _NUMBERS[name](element)
    code = _DATE_CODES.get((name, get(element, "number:style") == "long"), "")
    if name == "month" and get(element, "number:textual") == "true":
        code = "mmmm" if len(code) == 2 else "mmm"
    return f"[{code}]" if elapsed and name == "hours" else code


def _literal(text: str) -> str:
    return text if text in ("", " ", "-", "/", ":", "%", "(", ")") else '"' + text.replace('"', '"\\""') + '"'


def _digits(element: etree._Element) -> str:
    places = get(element, "number:decimal-places")
    least = get(element, "number:min-integer-digits")
    if not places and not least:
        return "General"
    whole = "0" * min(int(least or 0), 20) if (least or "0").isdecimal() else "0"
    whole = whole or "#"
    if get(element, "number:grouping") == "true":
        whole = "#,##" + whole[-1] if len(whole) == 1 else "#," + whole
    count = min(int(places), 20) if places.isdecimal() else 0
    return f"{whole}.{'0' * count}" if count else whole


_NUMBERS: dict[str, Callable[[etree._Element], str]] = {
    "number": _digits,
    "scientific-number": lambda element: f"{_digits(element)}E+00",
    "fraction": lambda _: "# ?/?",
    "text-content": lambda _: "@",
    "boolean": lambda _: "General",
}
_DATE_CODES = {
    ("year", False): "yy", ("year", True): "yyyy",
    ("month", False): "m", ("month", True): "mm",
    ("day", False): "d", ("day", True): "dd",
    ("day-of-week", False): "ddd", ("day-of-week", True): "dddd",
    ("hours", False): "h", ("hours", True): "hh",
    ("minutes", False): "m", ("minutes", True): "mm",
    ("seconds", False): "s", ("seconds", True): "ss",
    ("am-pm", False): " AM/PM", ("am-pm", True): " AM/PM",
}  # fmt: skip


def get(element: etree._Element, name: str) -> str:
    """Return an attribute by its usual prefix and name, "" where there is none."""
    prefix, _, local = name.partition(":")
    return element.get(f"{{{NAMESPACES[prefix]}}}{local}", "")
