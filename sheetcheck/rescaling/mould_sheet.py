"""The maker's list of moulds, on a sheet of her book: ours (`sheetcheck start moulds`) or her own, as she keeps it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sheetcheck.errors import SettingError
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.text import clean, fold
from sheetcheck.rescaling.bench import mass_of
from sheetcheck.rescaling.mould_words import SHAPE_WORDS, fats_mould, number_of, read_mould, shaped, water_mould
from sheetcheck.rescaling.moulds import CENTIMETRES, Mould, MouldSet
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook

_CALLED = re.compile(r"\b(?:mou?lds?|formen|seifenformen|moules|moldes|stampi|mallen)\b")
_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "set": ("set", "mould set", "mold set", "for set"),
    "name": ("mould", "mold", "moulds", "molds", "name", "which", "my moulds", "my molds", "description"),
    "shape": ("shape", "kind", "type"),
    "length": ("length", "long", "l"),
    "width": ("width", "wide", "w"),
    "height": ("height", "fill height", "height of the filling", "depth", "deep", "high", "h", "d"),
    "diameter": ("diameter", "across", "dia"),
    "sizes": ("size", "sizes", "inside", "inner size", "dimensions", "measures", "l x w x h"),
    "unit": ("unit", "units", "sizes in"),
    "water": ("water", "water that fills it", "weight of water", "holds water"),
    "fats": ("fats", "oils", "holds fats", "holds oils", "fats it takes", "oils it takes", "fits oils", "fits fats"),
    "holds": ("holds", "volume", "capacity", "takes"),
    "count": ("how many", "count", "number", "qty", "quantity", "have", "i have"),
    "bars": ("bars", "bars each", "bars from each", "bars per mould"),
    "recipes": ("recipes", "for recipes", "only for", "used for"),
}
_ROLES = {heading: role for role, headings in _HEADINGS.items() for heading in headings}
_SIZES = ("length", "width", "height", "diameter")
_SAYS_SIZE = frozenset({*_SIZES, "sizes", "water", "fats", "holds"})
_UNITS = {"cm": "cm", "mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_IN_HEADING = re.compile(
    r"[(\[,]?\s*\b(?P<unit>cm|mm|in|inch|inches|oz|lb|lbs|g|kg|ml|l|qt|fl\.? ?oz)\b\.?\s*[)\]]?\s*$"
)
_SHEET_EXAMPLE = later(
    "no mould could be read on it; name the columns Mould, Length, Width, Fill height (or Diameter), Unit, or Water, "
    "or Fats it takes, with How many and Bars each where you like; or write a mould in one cell: 24 x 8 x 7 cm"
)
_TITLE_ROWS = 3


@dataclass(frozen=True, slots=True)
class _Column:
    role: str
    unit: str = ""


def mould_sets(workbook: Workbook) -> dict[str, MouldSet]:
    """Return the sets of moulds that a workbook lists; raises SettingError for a row that cannot be read."""
    found: dict[str, MouldSet] = {}
    for grid in workbook.grids:
        if _is_list(grid):
            found |= read_mould_sheet(grid)
    return found


def _is_list(grid: Grid) -> bool:
    """Tell whether a sheet is a list of moulds: by its name, or by a title at its top and headings of sizes."""
    if _CALLED.search(fold(grid.name)):
        return True
    top = [fold(c.text) for row in grid.rows()[:_TITLE_ROWS] for c in grid.row_cells(row) if c.kind is Kind.TEXT]
    return any(_CALLED.search(text) and len(text.split()) < 4 for text in top) and _heading_row(grid) is not None


def read_mould_sheet(grid: Grid) -> dict[str, MouldSet]:
    """Read the sets of moulds that a sheet lists, by name.

    Where a column names sets, a row without one belongs to the set above it, and recipes named on any row of a set hold
    for the whole set; else each row is a set of its own, called as its mould is. Rows that say no size are passed over.

    Raises
    ------
    SettingError
        Naming the row, and what it should say.
    """
    heading = _heading_row(grid)
    if heading is None:
        return _without_headings(grid)
    at, columns = heading
    in_sets = any(column.role == "set" for column in columns.values())
    found: dict[str, list[Mould]] = {}
    recipes: dict[str, set[str]] = {}
    name = ""
    for row in (r for r in grid.rows() if r > at):
        cells = {columns[c.column].role: c for c in reversed(grid.row_cells(row)) if c.column in columns and _text(c)}
        name = _text(cells["set"]) if "set" in cells else (name if in_sets else _text(cells.get("name")))
        if not cells.keys() - {"set", "name", "recipes", "unit", "count"}:
            continue
        where = tr("{sheet}, row {row}", sheet=grid.name, row=row)
        mould = _mould_of_row(cells, {column.role: column.unit for column in columns.values()}, where)
        if not name and in_sets:
            raise SettingError(where, tr("the set that this mould belongs to has no name"))
        own = name or mould.what
        found.setdefault(own, []).append(mould)
        recipes.setdefault(own, set()).update(_names(cells.get("recipes")))
    return {name: MouldSet(name, tuple(moulds), frozenset(recipes[name])) for name, moulds in found.items()}


def _heading_row(grid: Grid) -> tuple[int, dict[int, _Column]] | None:
    """Return the row of headings and what its columns are; None where there is none."""
    for row in grid.rows():
        columns = {c.column: column for c in grid.row_cells(row) if (column := _column(c)) is not None}
        roles = {column.role for column in columns.values()}
        if {"set", "shape"} <= roles or (len(roles) > 1 and roles & _SAYS_SIZE):
            return row, columns
    return None


def _column(cell: Cell) -> _Column | None:
    if cell.kind is not Kind.TEXT:
        return None
    text = clean(cell.text).lower()
    role = _ROLES.get(fold(text))
    if role:
        return _Column(role)
    unit = _IN_HEADING.search(text)
    role = _ROLES.get(fold(text[: unit.start()])) if unit else None
    return _Column(role, unit["unit"]) if unit and role else None


def _mould_of_row(cells: Mapping[str, Cell], units: Mapping[str, str], where: str) -> Mould:
    mould = _one_of_row(cells, units, where)
    count, bars = _number(cells, "count", where, mould.count), _number(cells, "bars", where, mould.bars or math.inf)
    return replace(mould, count=int(count), bars=0 if math.isinf(bars) else int(bars))


def _one_of_row(cells: Mapping[str, Cell], units: Mapping[str, str], where: str) -> Mould:
    word = fold(_text(cells.get("shape")) or _text(cells.get("name")))
    kind = next((SHAPE_WORDS[w] for w in word.split() if w in SHAPE_WORDS), "")
    if word == "water" or "water" in cells:
        if "water" not in cells:
            raise SettingError(where, tr("the weight of the water that fills it is missing, for example 950 g"))
        mass = _with_unit(cells["water"], units.get("water", ""))
        return water_mould(mass, mass_of(mass, where, tr("for example 950 g"))[0])
    if "fats" in cells:
        mass = _with_unit(cells["fats"], units.get("fats", ""))
        return fats_mould(mass, mass_of(mass, where, tr("for example 60 oz"))[0])
    if not any(size in cells for size in _SIZES):
        told = [role for role in ("sizes", "holds") if role in cells] or ["shape"]
        if told[0] == "shape" and "shape" in cells and kind:
            raise SettingError(where, tr("the {what} is missing", what="height"))
        return _told(cells, told[0], kind, units, where)
    if "shape" in cells and not kind:
        shapes = ", ".join(dict.fromkeys(("box", "loaf", "slab", "cylinder", "tube", "water")))
        raise SettingError(
            where, tr("“{text}” is no shape of mould: it should be one of {shapes}", text=word, shapes=shapes)
        )
    kind = kind or ("cylinder" if "diameter" in cells else "box")
    sizes = ("length", "width", "height") if kind == "box" else ("diameter", "height")
    unit = _UNITS.get(clean(_text(cells.get("unit"))).lower()) or next(
        (_UNITS[units[size]] for size in sizes if units.get(size) in _UNITS), None
    )
    if unit is None or unit not in CENTIMETRES:
        raise SettingError(where, tr("the unit of the sizes is missing: cm, mm or in"))
    called = word if word in SHAPE_WORDS else ("box" if kind == "box" else "cylinder")
    return shaped(kind, called, [_number(cells, size, where) for size in sizes], unit, where)


def _told(cells: Mapping[str, Cell], role: str, kind: str, units: Mapping[str, str], where: str) -> Mould:
    """Read a mould that one cell tells: its sizes, or what it holds."""
    said = _with_unit(cells[role], units.get(role, "") or _text(cells.get("unit"))) if role in cells else ""
    return read_mould(f"{kind} {said}".strip() if role == "sizes" else said, where)


def _with_unit(cell: Cell, unit: str) -> str:
    text = _text(cell)
    return f"{text} {unit}" if unit and re.fullmatch(r"[\d.,/ ½¼¾⅓⅔x×*]+", text) else text


def _without_headings(grid: Grid) -> dict[str, MouldSet]:
    """Read a list that has no headings: a mould in one cell of each row, called as the cell before it says."""
    found: dict[str, MouldSet] = {}
    for row in grid.rows():
        cells = [_text(c) for c in grid.row_cells(row) if _text(c)]
        read = _first_mould(cells)
        if read is not None:
            name, mould = read
            found[name or mould.what] = MouldSet(name or mould.what, (mould,))
    if not found:
        raise SettingError(grid.name, tr(_SHEET_EXAMPLE))
    return found


def _first_mould(cells: Sequence[str]) -> tuple[str, Mould] | None:
    for at, text in enumerate(cells):
        name, colon, rest = text.partition(":")
        for called, said in ((" ".join(cells[:at]), text), (name.strip(), rest)):
            if not said or (said is rest and not colon):
                continue
            try:
                return called, read_mould(said, "")
            except SettingError:
                continue
    return None


def _number(cells: Mapping[str, Cell], role: str, where: str, default: float | None = None) -> float:
    if role not in cells:
        if default is None:
            raise SettingError(where, tr("the {what} is missing", what=role))
        return default
    cell = cells[role]
    value = cell.number
    if cell.kind is Kind.TEXT:
        readings = read_amount(cell.text).readings
        value = readings[0].value if len(readings) == 1 and readings[0].unit is None else math.nan
        said = clean(cell.text)
        value = number_of(said) if math.isnan(value) and re.fullmatch(r"\d+ \d+/\d+", said) else value
    if not value > 0:
        raise SettingError(
            f"{where}, {cell.address}", tr("“{text}” should be a plain number above zero", text=_text(cell))
        )
    return value


def _text(cell: Cell | None) -> str:
    if cell is None:
        return ""
    return cell.text.strip() or ("" if math.isnan(cell.number) else f"{cell.number:g}")


def _names(cell: Cell | None) -> Iterator[str]:
    if cell is not None and fold(_text(cell)) != "all":
        yield from (fold(name) for name in re.split(r"[;\n]", _text(cell)) if name.strip())
