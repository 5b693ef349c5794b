"""One cell as XML. Text never becomes a formula: it is an inline string, whatever it begins with."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from xml.sax.saxutils import escape

from sheetcheck.model import Formula

MOST_CHARACTERS = 32_767  # in a cell (ECMA-376-1, SpreadsheetML limits as the programs keep them)
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")  # a literal "_x000D_" would be taken for a carriage return
_LIKE_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def looks_like_formula(value: object) -> bool:
    """Whether a text would become a formula if someone typed it."""
    return isinstance(value, str) and value.startswith(_LIKE_A_FORMULA)


def cell_xml(prefix: bytes, reference: bytes, value: object, style: int) -> bytes:
    """Return a `<c>` element; `value` is a text, a number, a truth value, None, or a Formula."""
    start = b'<%sc r="%s" s="%d"' % (prefix, reference, style)
    if value is None:
        return start + b"/>"
    if isinstance(value, Formula):
        return _formula_xml(prefix, start, value)
    if isinstance(value, bool):
        return b'%s t="b"><%sv>%d</%sv></%sc>' % (start, prefix, value, prefix, prefix)
    if isinstance(value, int | float):
        if not math.isfinite(value):
            return start + b"/>"
        return b"%s><%sv>%s</%sv></%sc>" % (start, prefix, _number(value), prefix, prefix)
    return b'%s t="inlineStr"><%sis><%st xml:space="preserve">%s</%st></%sis></%sc>' % (
        start, prefix, prefix, text_xml(str(value)), prefix, prefix, prefix,
    )  # fmt: skip


@lru_cache(maxsize=4096)  # results say few things, many times
def text_xml(text: str) -> bytes:
    """Return text as it stands in a `<t>` element; what XML has no character for is escaped in the format's way."""
    text = _LOOKS_ESCAPED.sub("_x005F_", text[:MOST_CHARACTERS])
    text = _NOT_XML.sub(lambda m: f"_x{ord(m.group()):04X}_" if m.group() < " " else "\N{REPLACEMENT CHARACTER}", text)
    return escape(text.replace("\r\n", "\n").replace("\r", "\n")).encode()


def _formula_xml(prefix: bytes, start: bytes, formula: Formula) -> bytes:
    value, kind, cached = formula.value, b"", b""
    if isinstance(value, bool):
        kind, cached = b' t="b"', b"%d" % value
    elif isinstance(value, str):
        kind, cached = b' t="str"', text_xml(value)
    elif value is not None and math.isfinite(value):
        cached = _number(value)
    text = escape(formula.text.removeprefix("=")).encode()
    stored = b"<%sv>%s</%sv>" % (prefix, cached, prefix) if cached or kind else b""
    return b"%s%s><%sf>%s</%sf>%s</%sc>" % (start, kind, prefix, text, prefix, stored, prefix)


def _number(value: float) -> bytes:
    return repr(float(value)).removesuffix(".0").encode()
