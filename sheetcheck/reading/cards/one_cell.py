"""What may stand in one cell of a card: a line behind a list mark, several ingredients in a row, a card of lines."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.amounts.texts import amount_with_remark, is_amount, is_remark, split_name_and_amount
from sheetcheck.reading.candidates import candidates
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import words
from sheetcheck.workbook.grid import Cell, Kind

Rows = Mapping[int, Sequence[Cell]]

_MARK = re.compile(r"^\s*(?:[•·*▪◦●○‣–+-]|\(?[0-9]{1,2}[.)])\s+(?=\S)")
_BETWEEN = re.compile(
    r"\s*(?:[;\n+&•|]|,(?!\d)|\s/\s|\b(?:and|und|et|y|e|en|con|avec|mit|with|in|dans|met|com|plus)\b)\s*", re.IGNORECASE
)
_STATED = frozenset({"superfat", "lye concentration", "liquid to lye", "alkali strength"})
_GROUPS = frozenset({"fats total", "ingredient", "fat", "alkali", "liquid", "acid", "additive"})
_BEARING = frozenset({"fat", "alkali", "liquid", "acid"})
_ENOUGH = 2
_SHORT = 8  # letters


def without_marks(rows: Rows) -> Rows:
    """Return rows without what marks an ingredient in a list: `• 500 g lard`, `1. Olive oil`, `+ 2 oz water`."""
    return {row: _without_marks(cells) for row, cells in rows.items()}


def _without_marks(cells: Sequence[Cell]) -> Sequence[Cell]:
    if not any(cell.kind is Kind.TEXT and _MARK.match(cell.text) for cell in cells):
        return cells
    return [_without_mark(cell, [c for c in cells if c is not cell]) for cell in cells]


def _without_mark(cell: Cell, beside: Sequence[Cell]) -> Cell:
    """Take the mark off where an amount stands in the cell or beside it: `1. Rose` alone may be a title."""
    mark = _MARK.match(cell.text) if cell.kind is Kind.TEXT else None
    if mark is None:
        return cell
    bare = cell.text[mark.end() :]
    lists = split_name_and_amount(bare) is not None or (
        amount_with_remark(bare) is None and identify(bare).kind is not None and any(map(is_amount, beside))
    )
    return replace(cell, text=bare) if lists else cell


def lines_in(cells: Sequence[Cell]) -> list[Sequence[Cell]]:
    """Return the lines that a row holds: one, or those that its only cell, or the one behind a label, names.

    A title with the lye beside it (`TANNER | LYE 9 oz | water 20 oz | 6 %`) is a line a cell; one with a total beside
    it (`Castile | all oils | 1000 g`) is two lines.
    """
    if lye_beside_title(cells):
        return [[cell] for cell in cells]
    if _total_beside_title(cells):
        return [cells[:1], cells[1:]]
    if len(cells) > 2 or cells[-1].kind is not Kind.TEXT or (len(cells) == 2 and not _labels_the_next(cells[0])):
        return [cells]
    last = cells[-1]
    parts = several(last.text) or ((last.text,) if len(cells) == 2 and _is_weighed_ingredient(last.text) else ())
    parts = parts or (_told_alone(last.text) if len(cells) == 1 or is_step(cells[0]) else ())
    return [[replace(last, text=part)] for part in parts] if parts else [cells]


def lye_beside_title(cells: Sequence[Cell]) -> bool:
    """Tell whether lye and liquid stand beside a title, each in one cell with its amount."""
    if len(cells) < 3 or any(cell.kind is not Kind.TEXT for cell in cells[:2]):
        return False
    split = [split_name_and_amount(cell.text) if cell.kind is Kind.TEXT else None for cell in cells]
    kinds = [identify(each[0]).kind for each in split if each is not None]
    return split[0] is None and kinds.count("alkali") == 1 and "liquid" in kinds and "fat" not in kinds


def _total_beside_title(cells: Sequence[Cell]) -> bool:
    """Tell whether a weighed total stands beside a text that has no amount of its own."""
    if len(cells) < 3 or any(cell.kind is not Kind.TEXT or is_amount(cell) for cell in cells[:2]):
        return False
    return read_heading(cells[1].text).role in ("fats total", "batch total") and is_amount(cells[2])


def is_group_label(cell: Cell) -> bool:
    """Tell whether a text heads a kind of ingredients and names none itself: `Fats:`, `Liquid`."""
    if cell.kind is not Kind.TEXT or any(map(str.isdigit, cell.text)):
        return False
    heading = read_heading(cell.text)
    return heading.role in _GROUPS and heading.certainty in ("exact", "ambiguous") and heading.unit is None


def is_step(cell: Cell) -> bool:
    """Tell whether a cell counts the steps of what is told beside it: `1`, `2.`, `Step 3`, `Rg 4`."""
    if cell.kind is Kind.NUMBER:
        return 0 < cell.number <= _MOST_STEPS and cell.number == int(cell.number)
    return cell.kind is Kind.TEXT and _STEP.fullmatch(cell.text.strip()) is not None


_STEP, _MOST_STEPS = re.compile(r"[^\W\d]{0,8}\.? ?\d{1,2}[.):]?"), 30


def _labels_the_next(cell: Cell) -> bool:
    return is_group_label(cell) or is_step(cell)


@lru_cache(maxsize=4096)
def several(text: str) -> tuple[str, ...]:
    """Split `Olive oil 500 g, coconut oil 300 g`, `NaOH 141 g in 300 g water`, `SF 5 %, lye conc. 33 %`; else nothing.

    Of a text of several lines each line is one, whatever it says, if two of them are ingredients, or most of them weigh
    something: names that only the book explains.
    """
    if sum(map(str.isdigit, text)) < _ENOUGH:
        return ()
    if "\n" in text.strip():
        lines = tuple(part for line in text.splitlines() if line.strip() for part in several(line) or (line.strip(),))
        weighed = sum(split_name_and_amount(line) is not None for line in lines)
        listed = weighed > _ENOUGH and weighed * 2 > len(lines)
        return lines if listed or sum(map(_is_weighed_ingredient, lines)) >= _ENOUGH else ()
    parts = _with_remarks([part for part in _BETWEEN.split(text) if part and part.strip()])
    if len(parts) >= _ENOUGH and all(map(_is_statement, parts)):
        return parts
    if len(parts) < _ENOUGH:
        return ()
    short = _in_short(parts)  # `BT = 100; L = 1900`: what they mean, the book tells
    listed = all(map(_is_weighed, parts)) or _mostly_weighed(text, parts)
    weighed = (short or listed) and any(map(_is_weighed_ingredient, parts))
    return parts if weighed or (short and all("=" in part for part in parts)) else ()


def _mostly_weighed(text: str, parts: Sequence[str]) -> bool:
    """Tell whether a list weighs most of what it names, and heads the rest: `Fats:, lard: 80 g, …, Superfat: 3 %`."""
    weighed = sum(map(_is_weighed, parts))
    rest = (part for part in parts if any(map(str.isdigit, part)) and not _is_weighed(part))
    mostly = weighed > _ENOUGH and weighed > _MOST * len(parts) and not _SENTENCES.search(text)
    return mostly and all(map(_is_statement, rest))


_MOST = 0.6  # of the parts
_SENTENCES = re.compile(r"[.!?] +[^\W\d_]")


def _with_remarks(parts: Sequence[str]) -> tuple[str, ...]:
    """Join to an ingredient the remark behind its comma: `300 g sheep milk`, `frozen`."""
    joined: list[str] = []
    for part in parts:
        if joined and not any(map(str.isdigit, part)) and identify(part).kind is None and is_remark(part):
            joined[-1] = f"{joined[-1]}, {part}"
        else:
            joined.append(part)
    return tuple(joined)


def weighed_in(text: str, *, alone: bool = False) -> tuple[str, ...]:
    """Return the ingredients that a cell names with amounts, where it names several; one `alone` may tell of them."""
    parts = several(text) or (_told_alone(text) if alone else ())
    return tuple(part for part in parts if _is_weighed_ingredient(part))


def _is_statement(part: str) -> bool:
    split = split_name_and_amount(part)
    return split is not None and read_heading(split[0]).role in _STATED


def _is_weighed(part: str) -> bool:
    """Tell whether a text is a name with an amount; a bare number counts behind a name that is known for certain."""
    split = split_name_and_amount(part)
    if split is None:
        return False
    name, (reading, *_) = identify(split[0]), read_amount(split[1]).readings
    return reading.unit is not None or (name.certainty == "exact" and name.kind in _BEARING)


def _in_short(parts: Sequence[str]) -> bool:
    """Tell whether short forms stand with bare numbers, three or more or with `=`: `OO 8 / CO 5.5 / shea 1`."""
    split = [split_name_and_amount(part) for part in parts]
    enough = len(parts) > _ENOUGH or (len(parts) == _ENOUGH and all("=" in part for part in parts))
    return enough and all(each is not None and len(each[0]) <= _SHORT for each in split)


def _is_weighed_ingredient(part: str) -> bool:
    split = split_name_and_amount(part)
    return split is not None and identify(split[0]).kind in _BEARING


_SENTENCE = re.compile(r"\.(?=\s|$)|[!:()]")
_INTO = re.compile(r"\b(?:into|dissolved)\b|\bfor\b(?= ?\d)", re.IGNORECASE)
_FILLING = re.compile(r"\b(?:the|is|are)\b", re.IGNORECASE)  # `the lye is 4 oz`
_AN_AMOUNT = re.compile(r"(?<![\d.,/A-Za-z])\d")
_MOST_TRAILING = 4  # words behind a name that tell what is done with it: `caustic soda dissolved`, `lavender if wanted`


@lru_cache(maxsize=4096)
def told(text: str, own_names: tuple[tuple[str, str], ...] = ()) -> tuple[str, ...]:
    """Take the weighed parts out of running words; the rest is left: what is done, when, and for how long.

    `Melt 14 oz lard and 5 oz coconut oil. Lye 3 oz in 8 oz water, stir 20 min` gives four parts. `own_names` are the
    maker's own words with what they mean.
    """
    if sum(map(str.isdigit, text)) < _ENOUGH:
        return ()
    mine = dict(own_names)
    sentences = [sentence for whole in _SENTENCE.split(text) for sentence in _INTO.split(whole)]
    pieces = [_FILLING.sub(" ", piece) for sentence in sentences for piece in _BETWEEN.split(sentence) if piece.strip()]
    sure = [_surely_weighed(piece.strip(), lambda name: identify(name, mine).kind) for piece in pieces]
    behind = sum(part is not None and part[:1].isdigit() for part in sure) * 2 >= sum(part is not None for part in sure)
    parts = (part or _perhaps_weighed(piece.strip(), behind=behind) for piece, part in zip(pieces, sure, strict=True))
    return tuple(part for part in parts if part is not None)


def _told_alone(text: str) -> tuple[str, ...]:
    """Return the weighed parts of a line of words that tells of hardly anything else: `For the lye: 6.5 oz lye`."""
    parts = told(text)
    if (
        not all(map(_by_weight, parts))
        or not any(map(_is_weighed_ingredient, parts))
        or split_name_and_amount(text.rstrip(" .")) is not None
    ):
        return ()
    length = len(text.rpartition(":")[2].split())
    return parts if len(parts) >= _ENOUGH or sum(len(p.split()) for p in parts) * 2 > length else ()


def _has_a_liquid(behind: str) -> bool:
    """Tell whether an amount is followed by a few words with a liquid among them: `flat ale`."""
    split = split_name_and_amount(behind)
    likeliest = candidates(split[0])[0] if split is not None and len(split[0].split()) <= _MOST_TRAILING else None
    return likeliest is not None and likeliest.spelled and likeliest.role == "liquid"


def _is_likely(name: str) -> bool:
    """Tell whether the letters of a name speak for a fat, a lye or a liquid: `son de riz`, `watee`."""
    likeliest = candidates(name)[0]
    return likeliest.spelled and likeliest.role in _BEARING and likeliest.substance is not None


def _by_weight(part: str) -> bool:
    split = split_name_and_amount(part)
    return split is not None and read_amount(split[1]).readings[0].measures == "mass"


def _surely_weighed(piece: str, kind_of: Callable[[str], str | None]) -> str | None:
    """Return a known name and its amount in a few words, None where there is none: `when cool into 20 oz olive`."""
    if _is_statement(piece):
        return piece
    first = _AN_AMOUNT.search(piece)
    if first is None:
        return None
    before, after = piece[: first.start()], piece[first.start() :]
    return _named_behind(after, kind_of) or _named_before(before, after, lambda name: kind_of(name) is not None)


def _perhaps_weighed(piece: str, *, behind: bool) -> str | None:
    """Return an amount with a name that nothing knows, on the side on which the others of the text have theirs."""
    first = _AN_AMOUNT.search(piece)
    if first is None:
        return None
    before, after = piece[: first.start()], piece[first.start() :]
    if _has_a_liquid(after) and _is_weighed(after):
        return after
    likely = None if behind else _named_before(before, after, _is_likely)
    return likely or _weighed_unknown(piece, after)


def _named_behind(behind: str, kind_of: Callable[[str], str | None]) -> str | None:
    """Return an amount with the name behind it, and no more of its words than name it: `320 g water, cold`."""
    listed = behind.split()
    found = [" ".join(listed[:end]) for end in range(len(listed), max(len(listed) - _MOST_TRAILING, 1), -1)]
    split = [(part, each[0]) for part in found if (each := split_name_and_amount(part)) and _is_weighed(part)]
    bearing = next((part for part, name in split if kind_of(name) in (*_BEARING, "refused")), None)
    if bearing is None and split and split[0][0] == behind and _is_likely(split[0][1]):
        return behind  # `250 g de son de riz`: `son` alone is bran
    return bearing or next((part for part, name in split if kind_of(name) is not None), None)


def _named_before(before: str, behind: str, is_name: Callable[[str], bool]) -> str | None:
    """Return an amount with the name before it, and no more of the words that name it: `Stir in the lye 184 g`."""
    amount = read_amount(behind)
    if not amount.readings:
        return None
    alone = behind[: behind.rindex(amount.rest)] if amount.rest and amount.rest in behind else behind
    listed = before.split()
    for start in range(max(len(listed) - _MOST_TRAILING, 0), len(listed)):
        part = f"{' '.join(listed[start:])} {alone}".strip()
        if is_name(" ".join(listed[start:])) and _is_weighed(part):
            return part
    return None


def _weighed_unknown(piece: str, behind: str) -> str | None:
    """Return a weight and the few words behind it that nothing knows: it may have gone into the pot."""
    split = split_name_and_amount(behind)
    told = set(fold(piece).split())
    elsewhere = told & (words("outcome").keys() | words("not in the pot").keys() | words("no ingredient").keys())
    if split is None or elsewhere or not _by_weight(behind) or len(split[0].split()) > _MOST_TRAILING:
        return None
    return behind
