"""What of a cell's format helps to understand it, read from the styles part."""

from __future__ import annotations

from lxml import etree

from sheetcheck.errors import HostileBookError
from sheetcheck.words import number, tr
from sheetcheck.workbook.grid import CellStyle
from sheetcheck.workbook.number_formats import builtin_format
from sheetcheck.workbook.package import Package

_WHITE = {"FFFFFFFF", "00FFFFFF", "FFFFFF"}
_LONGEST_CODE = 255  # characters of a number format that the programs keep
_WHITE_INDEXED = {"1", "9", "64", "65"}


def cell_styles(package: Package) -> tuple[CellStyle, ...]:
    """Return the formats that cells refer to by index; one plain format where the workbook has no styles.

    Raises
    ------
    DamagedBookError, HostileBookError
        Naming the part.
    """
    part = package.related(package.workbook_part, "styles")
    if part is None:
        return (CellStyle(),)
    root = package.tree(part)
    formats = root.findall("{*}cellXfs/{*}xf")
    if len(formats) > package.limits.styles:
        said = tr(
            "{count} formats, at most {most} are read",
            count=number(len(formats), 0),
            most=number(package.limits.styles, 0),
        )
        raise HostileBookError(package.path, said)
    codes = {
        _number(e, "numFmtId"): e.get("formatCode", "General")[:_LONGEST_CODE]
        for e in root.iterfind("{*}numFmts/{*}numFmt")
    }
    fonts = [(_is_on(e, "strike"), _is_on(e, "b")) for e in root.iterfind("{*}fonts/{*}font")]
    fills = [_is_seen(e) for e in root.iterfind("{*}fills/{*}fill")]
    return tuple(_style(e, codes, fonts, fills) for e in formats) or (CellStyle(),)


def _style(
    element: etree._Element, codes: dict[int, str], fonts: list[tuple[bool, bool]], fills: list[bool]
) -> CellStyle:
    number, font, fill = (_number(element, name) for name in ("numFmtId", "fontId", "fillId"))
    struck, bold = fonts[font] if font < len(fonts) else (False, False)
    filled = fill < len(fills) and fills[fill]
    return CellStyle(codes.get(number) or builtin_format(number), struck=struck, bold=bold, filled=filled)


def _number(element: etree._Element, name: str) -> int:
    digits = element.get(name, "0").strip()
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else 0


def _is_on(font: etree._Element, name: str) -> bool:
    element = font.find(f"{{*}}{name}")
    return element is not None and element.get("val", "1") not in ("0", "false")


def _is_seen(fill: etree._Element) -> bool:
    """Whether a fill is seen on the sheet: a pattern, and not one of plain white."""
    pattern = fill.find("{*}patternFill")
    if pattern is None:
        return fill.find("{*}gradientFill") is not None
    if pattern.get("patternType", "none") == "none":
        return False
    if pattern.get("patternType") != "solid":
        return True
    colour = pattern.find("{*}fgColor")
    if colour is None:
        return True
    white_theme = colour.get("theme") == "0" and float(colour.get("tint", "0") or 0) == 0
    return not (white_theme or colour.get("rgb", "").upper() in _WHITE or colour.get("indexed") in _WHITE_INDEXED)
