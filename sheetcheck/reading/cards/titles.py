"""Which line of a card is its title: a name may hold ingredients, numbers, shares (`100 % Olive`, `2 lb loaf`)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.amounts.texts import is_amount
from sheetcheck.reading.cards.lines import Line, without_amount
from sheetcheck.reading.statements import superfat_said
from sheetcheck.reading.text import fold
from sheetcheck.reading.units.units import read_unit
from sheetcheck.workbook.grid import Cell, Kind

_BEARING = frozenset({"fat", "alkali"})
_WEIGHED = ("ingredient", "total")  # kinds of lines that a title may stand right above
_CALLED_SOAP = re.compile(
    r"soap|\b(?:loaf|loaves|bars?|batch|log|slab|block|mou?ld)\b|seife|block|savon|pain|jabon|barra|sapon|zeep|sabao|sabonete"
)


def is_line_of(line: Line, role: str) -> bool:
    """Tell whether a line weighs an ingredient of a role."""
    return line.kind == "ingredient" and line.role == role and line.amount is not None


def may_be_title(lines: Sequence[Line]) -> bool:
    """Tell whether the first line of a block titles the rest."""
    first, rest = lines[0], lines[1:]
    if not rest or not first.cells:
        return False
    if _stands_over_a_recipe(first, rest):
        return True
    if first.cells[0].kind is not Kind.TEXT:
        return False
    if first.kind == "text":
        return True
    if first.label is None:
        return False
    whole = roles_weighed(rest) >= _BEARING
    alone = all(_is_remark_on_a_title(c, rest[0]) or (whole and c.kind is Kind.DATE) for c in first.cells[1:])
    bare = alone and (len(first.cells) > 1 or without_amount(first)) and first.label is first.cells[0]
    role = first.heading.role if first.heading else None
    named_like_ingredient = first.kind in ("ingredient", "extra", "label") and first.role != "alkali"
    named_like_ingredient = named_like_ingredient or (role in ("fat", "liquid", "additive") and first.kind == "heading")
    below = rest[0].kind == "heading" or (rest[0].kind in _WEIGHED and not without_amount(rest[0]))
    return bare and named_like_ingredient and not _is_group_word(first) and below


def _is_remark_on_a_title(cell: Cell, following: Line) -> bool:
    """Tell whether a text beside a title is no amount: `Coffee | superfat 7 %`, `Lard | grams`, `Coffee | tried`."""
    if cell.kind is not Kind.TEXT:
        return False
    said = read_unit(cell.text) is not None or superfat_said(cell.text) is not None
    return said or (following.kind == "heading" and not is_amount(cell))


def titles_the_next(line: Line, following: Sequence[Line]) -> bool:
    """Tell whether a lone text below a whole recipe titles the next one, with no blank row between."""
    first, *others = line.cells
    if first.kind is not Kind.TEXT or not following or any(c.kind is Kind.NUMBER or is_amount(c) for c in others):
        return False
    until = next((i for i, x in enumerate(following) if len(x.cells) == 1 and x.amount is None), len(following))
    own = following[:until]
    whole = roles_weighed(own) >= _BEARING
    if line.kind == "text":
        return whole or is_line_of(following[0], "fat")
    if not whole or following[0].kind not in ("heading", *_WEIGHED):
        return False
    return without_amount(line) or bool(others) or _holds_a_number(line, own)


def _holds_a_number(first: Line, rest: Sequence[Line]) -> bool:
    """Tell whether an amount in one cell is part of a name: `2 lb loaf`, `Lemon 5`, `72 % Marseille`."""
    if first.text is None or not roles_weighed(rest) >= _BEARING:
        return False
    weighed = [line for line in rest if line.kind == "ingredient" and not without_amount(line)]
    if sum(line.text is None for line in weighed) * 3 > 2 * len(weighed):
        return True
    readings = read_amount(first.text).readings
    like_amount = bool(readings) and readings[0].measures == "mass" and not _CALLED_SOAP.search(fold(first.name_text))
    return first.kind == "extra" and not like_amount and first.name is not None and first.name.kind is None


def _stands_over_a_recipe(first: Line, rest: Sequence[Line]) -> bool:
    """Tell whether a lone number, share or addition over fats and lye is a name: `42`, `100% Olive`, `Sage & Salt`."""
    if len(first.cells) > 1 or not roles_weighed(rest) >= _BEARING or rest[0].kind == "text":
        return False
    if first.cells[0].kind is Kind.NUMBER:
        return True
    if first.text is not None:
        return (_is_share(first) and not any(map(_is_share, rest))) or _holds_a_number(first, rest)
    return first.kind == "heading" and first.name is not None and first.name.kind == "additive"


def roles_weighed(lines: Sequence[Line]) -> set[str]:
    """Return the roles of the ingredients that have an amount in some lines."""
    return {line.role for line in lines if line.kind == "ingredient" and not without_amount(line)}


def name_not_share(lines: Sequence[Line]) -> None:
    """Take the only share in a cell of its own for words, in place, where the fats are weighed: a soap `100% Olive`."""
    shares = [line for line in lines if _is_share(line)]
    if len(shares) == 1 and len(shares[0].cells) == 1 and any(is_line_of(x, "fat") and x.text is None for x in lines):
        shares[0].kind = "text"


def _is_share(line: Line) -> bool:
    return line.kind == "ingredient" and line.text is not None and "%" in line.text


def _is_group_word(line: Line) -> bool:
    """Tell whether a lone word heads a part of a recipe (`Extras`, `Liquids`) and names nothing itself."""
    heading, name = line.heading, line.name
    return (
        heading is not None
        and heading.role is not None
        and not heading.substance
        and (name is None or not (name.substance or name.candidates))
    )
