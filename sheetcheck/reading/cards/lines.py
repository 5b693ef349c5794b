"""One line of a list or card: an ingredient with its amount, a sum, something stated, a heading, or words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.amounts.texts import amount_only, is_amount, split_name_and_amount
from sheetcheck.reading.candidates import candidates
from sheetcheck.reading.entries import is_nothing, unit_shown
from sheetcheck.reading.headings import Heading
from sheetcheck.reading.names.identify import Name
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, is_ratio, is_ratio_of_lye, superfat_said
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.unit_list import unit_pattern
from sheetcheck.reading.units.units import dimension, read_unit
from sheetcheck.reading.word_list import words
from sheetcheck.reading.words import is_total
from sheetcheck.reading.yields import speaks_of_yield
from sheetcheck.workbook.grid import Cell, Kind

LineKind: TypeAlias = Literal["ingredient", "total", "statement", "heading", "title label", "extra", "label", "text"]

_COLUMN_ROLES = frozenset({"ingredient", "amount", "unit", "share", "recipe", "number", "date", "notes", "ignore"})
_SPEAKING = ("notes", "date", "number", "ignore")
_STATED = tuple(role for role in KIND_OF_ROLE if role not in ("fats total", "batch total", "share"))


@dataclass(frozen=True, slots=True)
class ColumnRole:
    """What a heading inside a list says of the column below it."""

    role: str
    unit: str | None
    surely: bool = True  # its words say so, and not its unit alone
    of_a_kind: bool = False  # of one kind of ingredient: no second amount of another


_NOTHING_SAID = ColumnRole("", None)
_ALL_OF_IT = 100.0  # percent
_WORDS_OF_AN_AMOUNT = 3  # `a good handful`
_TIME_OR_HEAT = re.compile(
    r"[~<>]? ?\d+(?:[.,:/-] ?\d+)? ?(?:min\w*|mn|h|hrs?|hours?|heures?|horas?|ore|uur|std|stunden?|sec\w*|sek\w*|days?|"
    r"tage?n?|jours?|d[ií]as?|giorni|dagen|dias?|weeks?|wks?|wochen?|semaines?|semanas?|settimane|weken|°.*|deg\w*|[CF])\b",
    re.IGNORECASE,
)  # beside a name that nothing knows: `Stir | 10 min`, `Oven | 70 °C`

_A_UNIT = re.compile(rf"\d ?(?:{unit_pattern()})(?![a-z])", re.IGNORECASE)

Context = Mapping[int, ColumnRole]


@dataclass(slots=True)
class Line:
    """One row of a lane, understood."""

    row: int
    kind: LineKind
    cells: Sequence[Cell]
    label: Cell | None = None
    heading: Heading | None = None
    name: Name | None = None
    amount: Cell | None = None
    text: str | None = None  # the amount, where it stands in one cell with the name
    name_text: str = ""
    unit: str | None = None  # in a cell of its own
    unit_cell: Cell | None = None
    share: Cell | None = None
    second: Cell | None = None  # the same amount once more, in another unit
    second_unit: str | None = None  # what the heading over it says
    column_unit: str | None = None  # what the heading of the amount's column says
    stated: list[tuple[str, Cell]] = field(default_factory=list)  # a column of superfat beside the ingredients
    beside: list[Cell] = field(default_factory=list)  # texts beside it: remarks
    told: bool = False  # taken out of running words: `Melt 32 oz lard and 8 oz coconut oil.`

    @property
    def struck(self) -> bool:
        """Whether all of it that names or weighs is crossed out."""
        marked = [cell for cell in (self.label, self.amount) if cell is not None]
        return bool(marked) and all(cell.style.struck for cell in marked)

    @property
    def role(self) -> str:
        """What kind of ingredient it is."""
        if self.name is not None and self.name.kind is not None and self.name.certainty != "unknown":
            return self.name.kind
        heading = self.heading.role if self.heading else None
        return heading if heading in ("fat", "alkali", "liquid", "acid", "additive") else "unknown"


def read_line(sheet: Sheet, row: int, cells: Sequence[Cell], context: Context) -> Line:
    """Understand one row of a lane."""
    if _is_heading_line(sheet, cells) or _says_another_unit(cells, context):
        return Line(row, "heading", cells)
    label = _label(sheet, cells, context)
    if label is None:
        return Line(row, "text", cells)
    line = Line(row, "text", cells, label, sheet.words.heading(label.text), sheet.words.name(label.text))
    line.name_text = clean(line.heading.text if line.heading and line.heading.text else label.text)
    if is_ratio_of_lye(label.text):
        line.kind, line.heading = "statement", replace(sheet.words.heading(label.text), role="liquid to lye")
        return line
    _find_amount(sheet, line, cells, context)
    if _is_weighed_lye(line):
        line.heading = sheet.words.heading(f"{label.text} (g)")
    line.kind = _kind(sheet, line)
    if line.role == "liquid" and line.amount is not None and is_ratio(line.text or line.amount.text):
        line.kind, line.heading = "statement", replace(sheet.words.heading(label.text), role="liquid to lye")
    return line


def _is_weighed_lye(line: Line) -> bool:
    """Tell whether a heading for a share is a lye here, with its weight beside it: `Lye solution | 280 g`."""
    if line.heading is None or line.heading.role not in _STATED or line.name is None or line.amount is None:
        return False
    if line.name.kind not in ("alkali", "refused") or line.amount is line.label:
        return False
    shown = line.unit or line.column_unit
    if line.amount.kind is Kind.TEXT:
        amount = amount_only(line.amount.text)
        shown = (amount.readings[0].unit if amount else None) or shown
    else:
        shown = unit_shown(line.amount.style.number_format) or shown
    if shown is None:
        return line.amount.number > _ALL_OF_IT
    return shown != "%" and dimension(shown) in ("mass", "volume")


def column_roles(sheet: Sheet, cells: Sequence[Cell]) -> dict[int, ColumnRole]:
    """Return what a heading line says of the columns below it."""
    roles = {}
    headings = {cell.column: sheet.words.heading(cell.text) for cell in cells}
    named = any(h.role == "recipe" and h.certainty == "exact" for h in headings.values())
    weighed = any(h.role == "amount" or h.unit for h in headings.values())
    for cell in cells:
        heading = headings[cell.column]
        role = heading.role if heading.role in _COLUMN_ROLES or heading.role in _STATED else "ignore"
        if heading.role is None and not weighed:
            role = ""  # a word that nothing knows may head the amounts
        elif heading.role is None and heading.unit:
            role = "amount"  # … and does where it has their unit
        if heading.role in ("fats total", "batch total"):
            role = "amount" if heading.unit else "ingredient"  # `Fats (g)` over amounts, `Fats` over names
        if _heads_a_kind(heading):
            role = "amount"
        if role == "recipe" and heading.certainty != "exact" and named:
            role = "ingredient"  # `Soap | What | Amount`
        of_a_kind = _heads_a_kind(heading)
        surely = heading.role is not None and not of_a_kind
        roles[cell.column] = ColumnRole(role, heading.unit, surely=surely, of_a_kind=of_a_kind)
    return roles


def _heads_a_kind(heading: Heading) -> bool:
    """Tell whether a heading is over the weights of one kind of ingredient: `Fats (g) | Caustic (g) | Water (g)`."""
    weighed = heading.unit is not None and dimension(heading.unit) == "mass"
    return weighed and heading.role in ("fat", "alkali", "liquid", "acid", "additive")


def _is_heading_line(sheet: Sheet, cells: Sequence[Cell]) -> bool:
    """Tell whether a row holds only words of headings, at least two, one of them for amounts, names or units."""
    if len(cells) < 2 or any(c.kind is not Kind.TEXT or amount_only(c.text) for c in cells):
        return False
    headings = [sheet.words.heading(c.text) for c in cells]
    roles = ["amount" if _heads_a_kind(heading) else heading.role for heading in headings]
    known = [r for r in roles if r in _COLUMN_ROLES or r in ("fats total", "batch total")]
    over = {"ingredient", "amount", "share", "unit"} & set(known)
    if read_unit(cells[0].text) and not any(r in ("ingredient", "recipe") for r in roles):
        return sum(read_unit(c.text) in ("lb", "oz", "kg", "g") for c in cells) >= 2  # `lb | oz` over the amounts
    return bool(over) and (len(known) * 2 >= len(cells) or sheet.words.loose) and len(known) >= 2


def _says_another_unit(cells: Sequence[Cell], context: Context) -> bool:
    """Tell whether a unit stands where amounts do: `Lye | grams` below fats in kilograms."""
    if len(cells) != 2 or cells[0].kind is not Kind.TEXT or amount_only(cells[0].text):
        return False
    placed = context.get(cells[1].column)
    return _is_unit(cells[1]) and placed is not None and placed.role == "amount" and placed.unit is not None


# --------------------------------------------------------------------------- label and amount


def _label(sheet: Sheet, cells: Sequence[Cell], context: Context) -> Cell | None:
    """Return the cell that names what the line is about."""
    placed = [c for c in cells if context.get(c.column, _NOTHING_SAID).role == "ingredient"]
    texts = [c for c in cells if c.kind is Kind.TEXT and not amount_only(c.text) and not _is_unit(c)]
    if not texts and _is_unit(cells[0]) and (cells[0] in placed or _with_unit(cells[1:])):
        return cells[0]  # `L` for lard: a unit stands behind an amount that has none
    named = [c for c in placed if c in texts]
    if named:
        return named[0]
    known = [c for c in texts if sheet.words.name(c.text).kind is not None]
    return (
        texts[0] if texts and (not known or texts[0] in known or cells[0] is texts[0]) else known[0] if known else None
    )


def _with_unit(cells: Sequence[Cell]) -> bool:
    """Tell whether an amount with its own unit stands there."""
    amounts = [amount_only(c.text) for c in cells if c.kind is Kind.TEXT]
    return any(a is not None and a.readings[0].unit is not None for a in amounts)


def _is_unit(cell: Cell) -> bool:
    return cell.kind is Kind.TEXT and read_unit(cell.text) is not None


def _find_amount(sheet: Sheet, line: Line, cells: Sequence[Cell], context: Context) -> None:
    """Find the amount, its unit, its share and the remarks among the cells beside the label."""
    label = line.label
    others = [c for c in cells if c is not label and not (c.kind is Kind.TEXT and superfat_said(c.text))]
    known = line.name is not None and line.name.kind is not None
    candidates = [
        c for c in others if is_amount(c) and not _left_aside(c, context) and (known or c.kind is not Kind.DATE)
    ]
    shares = [c for c in candidates if _is_share(c, context)]
    weights = [c for c in candidates if c not in shares]
    weights.sort(key=lambda c: _unlike_amounts(context.get(c.column)))
    if weights:
        line.amount = weights[0]
        line.share = shares[0] if shares else None
        like = _unlike_amounts(context.get(line.amount.column))  # a column less like amounts says something else of it
        alike = [c for c in weights[1:] if _unlike_amounts(context.get(c.column)) <= like]
        alike = [c for c in alike if not context.get(c.column, _NOTHING_SAID).of_a_kind]
        line.second = next((c for c in alike if context.get(c.column, _NOTHING_SAID).role == "amount"), None) or next(
            (c for c in weights[1:2] if _says_it_again(line.amount, c)), None
        )
    elif shares:
        line.amount = shares[0]
    if line.amount is None:
        weighed = (c for c in others if context.get(c.column, _NOTHING_SAID).role == "amount")
        line.amount = next(
            (c for c in weighed if known or (c.kind is not Kind.DATE and any(map(str.isdigit, c.text)))), None
        )
    if line.amount is not None:
        placed = context.get(line.amount.column)
        line.column_unit = placed.unit if placed else None
        again = context.get(line.second.column) if line.second is not None else None
        line.second_unit = again.unit if again else None
        line.unit_cell = _unit_beside(others, line.amount, context)
        line.unit = read_unit(line.unit_cell.text) if line.unit_cell else None
    elif label is not None and (split := _in_one_cell(sheet, label)):
        line.name_text, line.text = split
        line.amount = label
    line.stated = [(r.role, c) for c in others if (r := context.get(c.column)) is not None and r.role in _STATED]
    used = (label, line.amount, line.unit_cell, line.share, line.second)
    line.beside = [c for c in cells if c not in used and c.kind is Kind.TEXT and not _left_aside(c, context)]
    if line.amount is None and _amount_in_words(line):
        line.amount = line.beside.pop(0)


def _unlike_amounts(placed: ColumnRole | None) -> int:
    """Return how unlike amounts a column is, by its heading: `Theory (g)` more than `Weighed (g)`."""
    return 2 if placed is None or placed.role != "amount" else int(not placed.surely)


def _says_it_again(amount: Cell, beside: Cell) -> bool:
    """Tell whether the cell right of an amount says a weight once more, each in its own unit: `24 oz | 680 g`."""
    said = [amount_only(c.text) if c.kind is Kind.TEXT else None for c in (amount, beside)]
    units = {read.readings[0].unit for read in said if read is not None and read.readings[0].measures == "mass"}
    return beside.column == amount.column + 1 and len(units) == 2


def _amount_in_words(line: Line) -> bool:
    """Tell whether words stand where the amount of a known ingredient should: `most of a small tin`."""
    label, name = line.label, line.name
    if label is None or name is None or name.kind is None or name.certainty == "unknown" or not line.beside:
        return False
    if superfat_said(line.beside[0].text):
        return False
    return line.beside[0].column == label.column + 1 and not line.beside[0].text.startswith("(")


def _in_one_cell(sheet: Sheet, label: Cell) -> tuple[str, str] | None:
    """Split a cell into name and amount: a number without a unit counts only after a known ingredient (`Batch 12`)."""
    split = split_name_and_amount(label.text)
    if split is None:
        return None
    name, amount = split
    read = read_amount(amount)
    has_unit = bool(read.readings) and read.readings[0].unit is not None
    known = sheet.words.name(name)
    sure = ("exact", "read as") if sheet.words.loose else ("exact",)
    return (
        split
        if has_unit or (known.certainty in sure and known.kind in ("fat", "alkali", "liquid", "acid", "refused"))
        else None
    )


def _left_aside(cell: Cell, context: Context) -> bool:
    placed = context.get(cell.column)
    return placed is not None and (placed.role in ("ignore", "number", "date") or placed.role in _STATED)


def _is_share(cell: Cell, context: Context) -> bool:
    placed = context.get(cell.column)
    if placed is not None and placed.role in ("share", "amount"):
        return placed.role == "share"
    amount = amount_only(cell.text) if cell.kind is Kind.TEXT else None
    if amount is not None:
        return amount.readings[0].unit == "%"
    return cell.style.number_format.rstrip().endswith("%")


def _unit_beside(others: Sequence[Cell], amount: Cell, context: Context) -> Cell | None:
    units = [c for c in others if _is_unit(c)]
    placed = [c for c in units if context.get(c.column, _NOTHING_SAID).role == "unit"]
    right = [c for c in units if c.column == amount.column + 1]
    return next(iter((*placed, *right, *units)), None)


# --------------------------------------------------------------------------- kind


def _kind(sheet: Sheet, line: Line) -> LineKind:
    assert line.label is not None and line.heading is not None and line.name is not None  # noqa: S101, PT018 - set above
    role, named = line.heading.role, line.name.kind is not None
    if line.amount is line.label:
        return _kind_of_one_cell(sheet, line)
    if role in _STATED:
        return "statement" if _says_value(line) else "heading"
    if is_total(line.label.text) or role in ("fats total", "batch total"):
        return "total" if line.amount is not None or is_total(line.label.text) else "heading"
    if role in ("fat", "alkali", "liquid", "acid") and (line.heading.substance or line.amount is not None):
        return "ingredient"
    if role == "additive" and not line.heading.substance and not (named and line.amount is not None):
        return "extra" if line.beside or line.amount is not None else "heading"
    return _kind_of_other(line, role, named=named)


def _kind_of_other(line: Line, role: str | None, *, named: bool) -> LineKind:
    if role == "recipe" and len(line.cells) == 1 and line.label is not None and not line.beside:
        _, colon, name = line.label.text.partition(":")  # `Recipe: Barn soap` in one cell
        if colon and name.strip():
            line.beside = [replace(line.label, text=name.strip())]
    if role == "recipe" and line.beside:
        return "title label"
    counts = not named and line.label is not None and set(fold(line.label.text).split()) & words("no ingredient").keys()
    if role in _SPEAKING or counts:  # `Score /50`, `Bars cut`
        return "label"
    if role in _COLUMN_ROLES and line.amount is None:
        return "heading"
    if line.amount is not None and (named or not (_TIME_OR_HEAT.match(line.amount.text) or _is_told(line))):
        return "ingredient"
    if named and line.name is not None and line.name.kind in ("alkali", "refused"):
        return "ingredient"
    return "text"


def _is_told(line: Line) -> bool:
    """Tell whether words stand beside a label that names nothing known: `What we learnt: | stir for longer`."""
    label, told = line.label, line.amount
    if label is None or told is None or told.kind is not Kind.TEXT:
        return False
    if any(map(str.isdigit, told.text)):  # `Obs: | T 41 / 39`, but not `Fat: | 500-520 g`
        return label.text.rstrip().endswith(":") and not is_amount(told) and not _A_UNIT.search(told.text)
    return label.text.rstrip().endswith(":") or len(told.text.split()) > _WORDS_OF_AN_AMOUNT


def _says_value(line: Line) -> bool:
    label = line.label.text if line.label else ""
    return (
        line.amount is not None or bool(line.beside) or superfat_said(label) is not None or any(map(str.isdigit, label))
    )


def _kind_of_one_cell(sheet: Sheet, line: Line) -> LineKind:
    """`500 g olive oil` is an ingredient, `1 tbsp honey` an addition, `superfat 5 %` a statement."""
    label = line.label
    assert label is not None  # noqa: S101 - the caller's line has one
    heading = sheet.words.heading(line.name_text)
    name = sheet.words.name(line.name_text)
    if name.kind in ("alkali", "liquid") and name.certainty == "exact" and _is_weight(line.text):
        line.name, line.heading = name, heading  # `water for the lye 300 g`, `lye 4.5 oz at 5 % superfat`
        return "ingredient"
    if heading.role in _STATED or superfat_said(label.text):
        line.heading = heading
        return "statement"
    if heading.role in ("fats total", "batch total") or is_total(line.name_text):
        line.heading = heading
        return "total"
    if heading.role in _SPEAKING:
        return "label"
    known = name.kind in ("fat", "alkali", "liquid", "acid", "refused") and name.certainty != "unknown"
    weighed = name.kind is None and name.certainty == "unknown" and _is_weight(line.text)
    if speaks_of_yield(label.text) or (not known and not (weighed and _may_be_spelled(line.name_text))):
        return "extra"
    line.name, line.heading = name, heading
    return "ingredient"


def _may_be_spelled(name: str) -> bool:
    """Tell whether letters of a name that no table has speak for a fat, lye or liquid: it is not passed over."""
    return any(m.spelled and m.role in ("fat", "alkali", "liquid") for m in candidates(name)[:2])


def _is_weight(text: str | None) -> bool:
    readings = read_amount(text or "").readings
    return bool(readings) and readings[0].measures == "mass"


def without_amount(line: Line) -> bool:
    """Tell whether nothing at all stands where the amount of a line should be."""
    amount = line.amount
    return amount is None or (
        amount.kind is Kind.TEXT and line.text is None and is_nothing(amount.text) and "?" not in amount.text
    )


def as_cell(line: Line) -> Cell | None:
    """Return the amount as a cell that holds nothing else."""
    if line.amount is None or line.text is None:
        return line.amount
    return replace(line.amount, text=line.text)
