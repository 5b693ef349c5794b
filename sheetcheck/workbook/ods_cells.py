"""One row of an OpenDocument table: what its cells hold."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import NamedTuple, TypeAlias

from lxml import etree

from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.number_formats import iso_form, serial_number
from sheetcheck.workbook.ods_styles import NAMESPACES, get

_CELLS = tuple(f"{{{NAMESPACES['table']}}}{name}" for name in ("table-cell", "covered-table-cell"))
_TEXT = f"{{{NAMESPACES['text']}}}"
_ANNOTATION = f"{{{NAMESPACES['office']}}}annotation"
_MOST_SPACES = 1_000
_DURATION = re.compile(r"(-?)PT(?:(\d+)H)?(?:(\d+)M)?(?:(\d+(?:[.,]\d+)?)S)?")
_ERROR = re.compile(r"Err:\d{3}|#(?:REF|DIV/0|VALUE|NAME|NUM|NULL|N/A)[!?]?")
_REFERENCE = re.compile(r"\[([^\[\]]*)\]|\"(?:[^\"]|\"\")*\"")


_Contents: TypeAlias = tuple[Kind | None, float, str]  # kind (None where blank), number, text


class OdsCell(NamedTuple):
    """A run of like cells, blank ones among them."""

    repeated: int
    style: str
    kind: Kind | None  # None where blank
    number: float
    text: str
    formula: str | None
    note: str
    spans: tuple[int, int]  # rows and columns


def cells_of(row: etree._Element) -> Iterator[OdsCell]:
    """Yield the cells of a row, left to right."""
    for element in row.iterchildren(*_CELLS):
        formula = _formula(get(element, "table:formula"))
        kind, number, text = _contents(element, has_formula=formula is not None)
        note = element.find(_ANNOTATION)
        yield OdsCell(
            repeated=repeats(element, "table:number-columns-repeated"),
            style=get(element, "table:style-name"),
            kind=kind,
            number=number,
            text=text,
            formula=formula,
            note="" if note is None else _text(note),
            spans=(repeats(element, "table:number-rows-spanned"), repeats(element, "table:number-columns-spanned")),
        )


def repeats(element: etree._Element, name: str) -> int:
    """Return a count that an element carries, 1 where it carries none."""
    digits = get(element, name)
    return max(int(digits), 1) if digits.isascii() and digits.isdigit() and len(digits) < 10 else 1


def _contents(element: etree._Element, *, has_formula: bool) -> _Contents:
    kind, text = get(element, "office:value-type"), _text(element)
    if get(element, "calcext:value-type") == "error" or (has_formula and _ERROR.fullmatch(text)):
        return Kind.ERROR, math.nan, text or "#N/A"
    if kind in ("", "string"):
        text = get(element, "office:string-value") or text
        if text or (kind and has_formula):
            return Kind.TEXT, math.nan, text
        return (Kind.EMPTY_FORMULA if has_formula else None), math.nan, ""
    return _typed(element, kind, text)


def _typed(element: etree._Element, kind: str, text: str) -> _Contents:
    match kind:
        case "float" | "percentage" | "currency":
            return _number(get(element, "office:value"), text)
        case "boolean":
            return Kind.BOOL, float(get(element, "office:boolean-value") == "true"), ""
        case "date":
            return _date(serial_number(get(element, "office:date-value")), text)
        case "time":
            return _date(_days(get(element, "office:time-value")), text, elapsed=True)
    return (Kind.TEXT if text else None), math.nan, text


def _number(value: str, text: str) -> _Contents:
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    if math.isfinite(number):
        return Kind.NUMBER, number, ""
    return (Kind.TEXT if text else None), math.nan, text


def _date(serial: float | None, text: str, *, elapsed: bool = False) -> _Contents:
    iso = "" if serial is None else iso_form(serial, elapsed=elapsed)
    if serial is None or not iso:
        return (Kind.TEXT if text else None), math.nan, text
    return Kind.DATE, serial, iso


def _days(duration: str) -> float | None:
    match = _DURATION.fullmatch(duration)
    if not match:
        return None
    hours, minutes, seconds = (float((part or "0").replace(",", ".")) for part in match.groups()[1:])
    days = (hours * 3600 + minutes * 60 + seconds) / 86_400
    return -days if match[1] else days


def _formula(text: str) -> str | None:
    """Return a formula with references as Open XML writes them: `of:=SUM([.B2:.B9])` is `SUM(B2:B9)`."""
    if not text:
        return None
    return _REFERENCE.sub(_plain_reference, text.partition("=")[2] or text)


def _plain_reference(match: re.Match[str]) -> str:
    if match[1] is None:
        return match[0]
    first, colon, last = match[1].partition(":")
    return _place(first) + colon + _place(last)


def _place(reference: str) -> str:
    sheet, dot, cell = reference.rpartition(".")
    return f"{sheet.removeprefix('$')}!{cell}" if sheet else (cell if dot else reference)


def _text(element: etree._Element) -> str:
    return "\n".join("".join(_pieces(p)) for p in element.iterchildren(f"{_TEXT}p"))


def _pieces(element: etree._Element) -> Iterator[str]:
    yield element.text or ""
    for child in element:
        match child.tag:
            case tag if tag == f"{_TEXT}s":
                yield " " * min(repeats(child, "text:c"), _MOST_SPACES)
            case tag if tag == f"{_TEXT}tab":
                yield "\t"
            case tag if tag == f"{_TEXT}line-break":
                yield "\n"
            case tag if isinstance(tag, str) and tag not in (_ANNOTATION, f"{_TEXT}ruby-text"):
                yield from _pieces(child)
        yield child.tail or ""
