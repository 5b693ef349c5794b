"""A cell that is more than a plain number: a text of its own, a formula, an error, a date, a truth value.

The cells come one at a time, in the plain form `<c r="B3" s="1" t="str"><f>A1&amp;"oz"</f><v>5oz</v></c>`.
"""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.formulas import Formulas, SharedFormula
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.number_formats import iso_form, serial_number
from sheetcheck.workbook.places import ColumnNumbers, place_key, place_of
from sheetcheck.workbook.texts import NotPlainError, inline_text, plain_text

MISSING_TEXT = "#N/A"  # stands for a shared text that the file does not have
NO_NUMBER = "#NUM!"  # stands for a number that is too large to be one

_CONTENTS = (
    rb"(?:<f([^<>]*?)(?:/>|>([^<]*)</f>))?"
    rb"(?:<v(?: [^<>]*?)?(?:/>|>([^<]*)</v>))?"
    rb"(?:<is(?: [^<>]*?)?(?:/>|>(.*?)</is>))?"
)
_CELL = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})"([^<>]*)>' + _CONTENTS + rb"</c>", re.DOTALL)
PATTERN = re.sub(rb"\((?!\?)", rb"(?:", _CELL.pattern)  # the same, without groups

_STYLE = re.compile(rb' s="([0-9]{1,5})"')
_TYPE = re.compile(rb' t="([A-Za-z]*)"')
_SHARED_INDEX = re.compile(rb' si="([0-9]{1,9})"')
_TABLE_INPUT = re.compile(rb' r[12]="([A-Z0-9]*)"')
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[Ee][-+]?[0-9]+)?")
_TRUTH = {"1": 1.0, "true": 1.0, "0": 0.0, "false": 0.0}


class OneCell(NamedTuple):
    """A cell that is not blank."""

    key: int
    kind: Kind
    number: float
    text: str
    style: int


Contents = tuple[Kind, float, str]


@dataclass
class OneCellReader:
    """Reads such cells, and gathers their formulas."""

    shared: Sequence[str]
    columns: ColumnNumbers
    budget: Budget
    without_text: int = 0  # cells whose shared text is missing

    def __post_init__(self) -> None:
        self._keys = array("q")
        self._entries: list[str | SharedFormula | int] = []  # a number: shared, and its text was not met yet
        self._shared_formulas: dict[int, SharedFormula] = {}

    def read(self, cell: bytes) -> OneCell | None:
        """Return a cell, None where it is blank.

        Raises
        ------
        NotPlainError
            Where it takes a parser to read it.
        """
        match = _CELL.fullmatch(cell)
        if match is None:
            raise NotPlainError(cell[:60].decode("utf-8", "replace"))
        letters, digits, attributes, formula_attributes, formula, value, inline = match.groups()
        key = place_key(int(digits), self.columns[letters])
        has_formula = formula_attributes is not None and self._note_formula(key, formula_attributes, formula or b"")
        found = _TYPE.search(attributes)
        kind = found[1].decode() if found else ""
        text = inline_text(inline) if inline is not None and kind == "inlineStr" else plain_text(value or b"")
        contents = self._contents(kind, text) if text else None
        if has_formula and not text:
            contents = (Kind.TEXT if kind == "str" and b"<v" in cell else Kind.EMPTY_FORMULA), math.nan, ""
        if contents is None:
            return None
        kept, number, read = contents
        style = _STYLE.search(attributes)
        return OneCell(key, kept, number, self.budget.text(read), int(style[1]) if style else 0)

    def note_plain_formulas(self, keys: Iterable[int], formulas: Iterable[bytes | None]) -> None:
        """Keep the formulas of cells with a number, None where a cell has none."""
        for key, formula in zip(keys, formulas, strict=True):
            if formula:
                self._keys.append(key)
                self._entries.append(plain_text(formula))
                self.budget.spend_text(len(formula))

    def formulas(self) -> Formulas:
        """Return the formulas met so far."""
        entries = [self._shared_formulas.get(e, "") if isinstance(e, int) else e for e in self._entries]
        return Formulas(self._keys, entries)

    def _contents(self, kind: str, text: str) -> Contents | None:
        plain = text.strip()
        match kind:
            case "s":
                return self._shared_text(plain)
            case "str" | "inlineStr":
                return Kind.TEXT, math.nan, text
            case "e":
                return Kind.ERROR, math.nan, plain
            case "b" if plain in _TRUTH:
                return Kind.BOOL, _TRUTH[plain], ""
            case "d" if (serial := serial_number(plain)) is not None:
                return Kind.DATE, serial, iso_form(serial)
        return _number(plain) if plain else None

    def _shared_text(self, index: str) -> Contents | None:
        if not (index.isascii() and index.isdigit() and len(index) < 10 and int(index) < len(self.shared)):
            self.without_text += 1
            return Kind.ERROR, math.nan, MISSING_TEXT
        text = self.shared[int(index)]
        return (Kind.TEXT, math.nan, text) if text else None

    def _note_formula(self, key: int, attributes: bytes, inside: bytes) -> bool:
        """Keep the formula of a cell, and say whether there is one."""
        formula = plain_text(inside)
        self.budget.spend_text(len(formula))
        entry: str | SharedFormula | int = formula
        shared = _SHARED_INDEX.search(attributes) if b' t="shared"' in attributes else None
        if shared and formula:
            self._shared_formulas[int(shared[1])] = SharedFormula(formula, *place_of(key))
        elif shared:
            entry = self._shared_formulas.get(int(shared[1]), int(shared[1]))
        elif b' t="dataTable"' in attributes:
            entry = f"TABLE({','.join(cell.decode() for cell in _TABLE_INPUT.findall(attributes))})"
        elif not formula:
            return False
        self._keys.append(key)
        self._entries.append(entry)
        return True


def _number(text: str) -> Contents:
    if not _NUMBER.fullmatch(text):
        return Kind.TEXT, math.nan, text
    number = float(text)
    return (Kind.NUMBER, number, "") if math.isfinite(number) else (Kind.ERROR, math.nan, NO_NUMBER)
