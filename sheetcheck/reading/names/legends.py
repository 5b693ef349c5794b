"""The maker's own short forms: `OO = olive oil` in a line, a small table, or a note on a cell, anywhere in the book."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sheetcheck.model import ShortForm, address
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.names.forms import BRACKET
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.names.qualified import qualifies
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import dimension, unit_of_spelling
from sheetcheck.reading.word_list import words
from sheetcheck.workbook.grid import Cell, Grid, Kind

LONGEST_SHORT = 5
_LONGEST_KEYED = 10  # … on a page or in a column that holds short forms: `Snflwr`
_LONGEST_HEADING = 20
_LONGEST_TEXT = 5_000  # characters of a text that explains short forms
_LONGEST_KEY, _ENOUGH_PAIRS = 60, 3  # rows of a page that explains short forms and nothing else
_MOST_CELLS = 20_000  # a sheet with more is no legend, though a line on it may be
_FREE = frozenset({None, "additive"})  # roles of headings that a short form may take over
_FREE_IF_SAID = _FREE | {"superfat", "number"}  # … where `=` says so
_FREE_IF_HEADED = _FREE_IF_SAID | {"ingredient"}  # … where a heading says that the column holds short forms
_PAIR = re.compile(r"(?P<one>[^=:]+?)\s*(?P<sign>=|:|->|→|\s[-–]\s)\s*(?P<other>[^=:]+)")
_BETWEEN = re.compile(r"[,;\n|•]|\s/\s")
_RUN_ON = re.compile(r"\s(?=[^\W\d_][^\W_]{0,4}\s*=)")  # `OO = olive oil CO = coconut oil`
_MAY_HOLD_A_PAIR = re.compile(
    r"(?<![^\W_])[^\W\d_][^\W_]{0,4}\.?\s*(?:=|:|->|→| [-–] )|(?:=|→|->)\s*[^\W\d_][^\W_]{0,4}\.?\s*(?:$|[,;\n])"
)
_MELTS_AT = re.compile(r"(?<=[^\W\d_] )(?:76|92|24)(?: ?°)?$")  # `coconut 76`: in degrees F, or C
_MONTH = re.compile(r"\d{4}[-/]\d{1,2}|\d{1,2}[-/]\d{4}")  # bought, opened
_CODE = re.compile(r"[^\W\d_][^\W_]*")  # `M01`
_SHORT = re.compile(r"(?:[^\W\d_]\.? ?){1,4}[^\W_]?\.?")

Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Legend:
    """What a book says of its short forms, and which cells of each sheet say it."""

    forms: tuple[ShortForm, ...] = ()
    cells: Mapping[str, frozenset[Place]] = field(default_factory=dict)  # by sheet

    @property
    def names(self) -> dict[str, str]:
        """Return the meaning of each short form."""
        return {form.short: form.meaning for form in self.forms}


@dataclass(frozen=True, slots=True)
class _Found:
    form: ShortForm
    places: tuple[Place, ...]  # none where a note on a cell says it
    sure: bool  # says `=`, or its letters are those of its meaning


def find_legend(grids: Iterable[Grid]) -> Legend:
    """Find the short forms that a book explains; one with two meanings is left in doubt."""
    found: list[_Found] = []
    for grid in grids:
        here = [*_in_texts(grid), *_in_tables(grid), *_in_notes(grid)]
        several = len({fold(each.form.short) for each in here}) > 1
        found += [each for each in here if each.sure or several]
    sure = {fold(each.form.short) for each in found if each.sure}
    found = [each for each in found if each.sure or fold(each.form.short) not in sure]
    meanings: dict[str, set[str | None]] = defaultdict(set)
    for each in found:
        meanings[fold(each.form.short)].add(identify(each.form.meaning).substance)
    kept = [each for each in found if len(meanings[fold(each.form.short)]) == 1]
    cells: dict[str, set[Place]] = defaultdict(set)
    for each in kept:
        cells[each.form.sheet].update(each.places)
    first = {fold(each.form.short): each.form for each in reversed(kept)}
    return Legend(tuple(first.values()), {sheet: frozenset(places) for sheet, places in cells.items()})


def _form(  # noqa: PLR0913 - two texts, where they stand, what says that they belong together
    grid: Grid,
    place: Place,
    short: str,
    meaning: str,
    *,
    says_is: bool = False,
    listed: bool = False,
    headed: bool = False,
) -> _Found | None:
    """Return a short form, None where these two texts are none."""
    short, meaning = clean(short).strip(" ."), clean(meaning).strip(" .")
    like_initials = short.isupper() and (listed or len(short) > 1)
    if not _is_short(short, meaning, headed=headed) or not (says_is or headed or like_initials):
        return None
    if headed and not _is_substance(meaning):
        meaning = _without_more(meaning)
    if not _is_substance(meaning) or not _may_be_taken(short, meaning, says_is=says_is, headed=headed):
        return None
    form = ShortForm(short, meaning, grid.name, address(*place))
    return _Found(form, (place,), says_is or headed or _has_its_letters(short, meaning))


def _is_short(short: str, meaning: str, *, headed: bool) -> bool:
    if any(map(str.isdigit, _MELTS_AT.sub("", BRACKET.sub("", meaning)))):  # `OO: olive oil 500 g` is an amount
        return False
    like_one = bool(_SHORT.fullmatch(short)) or (headed and bool(_CODE.fullmatch(short)))
    longest = _LONGEST_KEYED if headed else LONGEST_SHORT
    return len(short) <= longest and len(short) < len(meaning) and like_one


def _is_substance(meaning: str) -> bool:
    name = identify(meaning)
    return name.certainty in ("exact", "read as") and name.kind is not None


def _without_more(meaning: str) -> str:
    """Return a meaning without what is said behind a comma, where that changes nothing: `Olive oil, own pressing`."""
    name = meaning.partition(",")[0]
    return meaning if qualifies(meaning, identify(name).substance) else name


def _may_be_taken(short: str, meaning: str, *, says_is: bool, headed: bool) -> bool:
    """Tell whether a word is free to be a short form: no unit of weight, no word of a heading (`Oil: olive`)."""
    unit = unit_of_spelling(short)
    if unit is not None and (len(short) > 1 or dimension(unit) == "mass"):
        return (says_is or headed) and dimension(
            unit
        ) != "mass"  # `Cas = castor oil` explains a word that else is a spoon
    heading = read_heading(short)
    if headed and any(word.startswith(fold(short)) for word in fold(meaning).split()):
        return True  # `Vin` for `olio di vinaccioli` on a page of short forms is no wine
    if says_is or headed:
        return heading.role in (_FREE_IF_HEADED if headed else _FREE_IF_SAID) or heading.certainty == "ambiguous"
    known = identify(short)
    if known.certainty == "exact":  # `PÖ` may be a scent, and palm oil
        return known.kind == "additive" and _has_its_letters(short, meaning)
    return heading.role in _FREE or heading.certainty == "ambiguous"


def _has_its_letters(short: str, meaning: str) -> bool:
    """Tell whether the letters of a short form stand in its meaning in this order, the first one at its start."""
    letters = iter(fold(meaning).replace(" ", ""))
    wanted = fold(short).replace(" ", "")
    begins = fold(meaning)[:1] == wanted[:1]
    return begins and short.isupper() and all(letter in letters for letter in wanted)


# --------------------------------------------------------------------------- where they stand


def _in_texts(grid: Grid) -> Iterator[_Found]:
    """Find `OO = olive oil, CO = coconut oil` and `PO: palm oil` in the texts of a sheet."""
    texts = np.flatnonzero(grid.kind == Kind.TEXT)
    pairs = {t for t in set(grid.text[texts].tolist()) if len(t) <= _LONGEST_TEXT and _MAY_HOLD_A_PAIR.search(t)}
    for index in texts.tolist() if pairs else ():
        text = str(grid.text[index])
        if text in pairs:
            yield from _in_text(grid, (int(grid.row[index]), int(grid.column[index])), text)


def _in_text(grid: Grid, place: Place, text: str) -> Iterator[_Found]:
    for part in _BETWEEN.split(text):
        found = _pair(grid, place, part)
        yield from [found] if found else filter(None, (_pair(grid, place, piece) for piece in _RUN_ON.split(part)))


def _pair(grid: Grid, place: Place, part: str) -> _Found | None:
    pair = _PAIR.fullmatch(part.rpartition(": ")[2].strip() if "=" in part else part.strip())
    if pair is None:
        return None
    one, other, says_is = pair["one"], pair["other"], pair["sign"] in ("=", "->", "→")
    return _form(grid, place, one, other, says_is=says_is) or _form(grid, place, other, one, says_is=says_is)


def _in_tables(grid: Grid) -> Iterator[_Found]:
    """Find short forms below each other with their meanings in the next column, in rows that hold no number."""
    if len(grid.row) > _MOST_CELLS:
        return
    columns: dict[int, list[_Found]] = defaultdict(list)
    headed, keys = _columns_of_codes(grid), _keys(grid)
    texts = grid.kind == Kind.TEXT
    for index in np.flatnonzero(texts[:-1] & texts[1:] & (np.diff(grid.row) == 0)).tolist():
        row, column, short = int(grid.row[index]), int(grid.column[index]), str(grid.text[index])
        headed_so = row > headed.get(column, grid.last_row) or column in keys
        if len(short) <= _LONGEST_KEYED and (short.isupper() or column in keys):
            found = _form(grid, (row, column), short, str(grid.text[index + 1]), listed=True, headed=headed_so)
            if found is None:
                continue
            both = (row, column), (row, column + 1)
            beside = _together(grid.row_cells(row), column)
            numbered = any(_has_digits(c) for c in beside if (c.row, c.column) not in both or not headed_so)
            if headed_so:
                columns[column].append(replace(found, places=() if numbered else both, sure=True))
            elif not numbered:
                columns[column].append(replace(found, places=both))
    for listed in columns.values():
        if len({fold(each.form.short) for each in listed if len(each.form.short) > 1}) > 1:
            yield from listed  # one letter alone is a short form among others


def _keys(grid: Grid) -> set[int]:
    """Return the column of short words on a sheet of nothing but these and what they mean, none on any other."""
    rows = [grid.row_cells(row) for row in grid.rows()[:_LONGEST_KEY]]
    pairs = [cells for cells in rows if len(cells) == 2 and all(c.kind is Kind.TEXT for c in cells)]
    columns = {cells[0].column for cells in pairs}
    if len(columns) != 1 or len(pairs) < _ENOUGH_PAIRS or len(pairs) < len(rows) - 1:
        return set()
    named = [len(short.text) <= _LONGEST_KEYED and _is_substance(meaning.text) for short, meaning in pairs]
    return columns if sum(named) * 2 > len(pairs) else set()


def _together(cells: Sequence[Cell], column: int) -> list[Cell]:
    """Return the cells of a row that stand with a column, no blank one between."""
    groups: list[list[Cell]] = []
    for cell in cells:
        if groups and groups[-1][-1].column == cell.column - 1:
            groups[-1].append(cell)
        else:
            groups.append([cell])
    return next(group for group in groups if any(cell.column == column for cell in group))


def _columns_of_codes(grid: Grid) -> dict[int, int]:
    """Return the columns that a heading says hold short forms (`Code`, `Kürzel`), with its row: a list of stock may."""
    codes = words("short form")
    return {
        int(grid.column[i]): int(grid.row[i])
        for i in np.flatnonzero(grid.kind == Kind.TEXT).tolist()
        if len(grid.text[i]) <= _LONGEST_HEADING and fold(str(grid.text[i])) in codes
    }


def _has_digits(cell: Cell) -> bool:
    if cell.kind is Kind.DATE or _MONTH.fullmatch(cell.text):
        return False
    return cell.kind is not Kind.TEXT or any(map(str.isdigit, BRACKET.sub("", cell.text)))


def _in_notes(grid: Grid) -> Iterator[_Found]:
    """Find what the notes on cells say: a pair, or the meaning of the cell's own text."""
    for (row, column), note in grid.notes.items():
        yield from (replace(found, places=()) for found in _in_text(grid, (row, column), note))
        cell = grid.cell(row, column)
        if cell is None or cell.kind is not Kind.TEXT:
            continue
        for line in note.splitlines():
            found = _form(grid, (row, column), read_heading(cell.text).text, line, says_is=True)
            if found is not None:
                yield replace(found, places=())
