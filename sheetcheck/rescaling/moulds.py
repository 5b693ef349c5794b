"""Moulds: their shapes and volumes, as the command or a sheet of the workbook says them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sheetcheck.chemistry.volume import WATER_DENSITY
from sheetcheck.errors import SettingError
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.text import clean, fold
from sheetcheck.rescaling.bench import mass_of
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook

CENTIMETRES = {"cm": 1.0, "mm": 0.1, "in": 2.54}  # exact by definition
_UNITS = {"cm": "cm", "mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
_SHAPES = {"box": 3, "loaf": 3, "slab": 3, "cylinder": 2, "tube": 2}  # with how many sizes it has
_ALL = (*_SHAPES, "water")
SHEET_NAMES = frozenset({"moulds", "molds"})
EXAMPLE = later(
    "write it as: box 24x8x7 cm (length, width, height of the filling), cylinder 7.5x30 cm (diameter, height), "
    "slab 30x20x3 cm 24 bars, or water 950 g (the water that fills it); with how many in front: 2 box 10x3.5x2.5 in"
)
_MOULD = re.compile(
    r"""(?:(?P<count>\d+)\s*[x×]?\s+)?(?P<shape>[a-z]+)\s+(?P<sizes>[\d.]+(?:\s*[x×*]\s*[\d.]+)*)
        \s*(?P<unit>[a-z"]+)(?:\s+(?P<bars>\d+)\s*bars?)?""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Mould:
    """One kind of mould: what one holds up to the height of the filling, how many there are, bars cut from each."""

    what: str
    ml: float
    count: int = 1
    bars: int = 0


@dataclass(frozen=True, slots=True)
class MouldSet:
    """Moulds that are filled together, and the recipes that go into them; none named means all."""

    name: str
    moulds: tuple[Mould, ...]
    recipes: frozenset[str] = frozenset()

    @property
    def ml(self) -> float:
        """Volume of all its moulds."""
        return sum(m.ml * m.count for m in self.moulds)

    @property
    def bars(self) -> int:
        """Bars cut from all its moulds; 0 where a mould does not say."""
        return sum(m.bars * m.count for m in self.moulds) if all(m.bars for m in self.moulds) else 0

    def takes(self, recipe: str) -> bool:
        """Tell whether a recipe goes into this set."""
        return not self.recipes or fold(recipe) in self.recipes


def volume(shape: str, sizes: tuple[float, ...], unit: str) -> float:
    """Volume [mL] of a mould up to the height of its filling.

    Parameters
    ----------
    shape
        box, loaf or slab: length, width, height; cylinder or tube: diameter, height.
    sizes
        Inner sizes, in that order.
    unit
        cm, mm or in.

    Examples
    --------
    >>> round(volume("box", (10, 3.5, 2.5), "in"))
    1434
    """
    scale = CENTIMETRES[unit]
    if _SHAPES[shape] == 2:
        diameter, height = (size * scale for size in sizes)
        return math.pi / 4 * diameter**2 * height
    return math.prod(size * scale for size in sizes)


def read_mould(text: str, where: str) -> Mould:
    """Read one mould of the command, such as "2 box 24x8x7 cm"; raises SettingError that shows how."""
    said = clean(text).lower()
    water = re.fullmatch(r"(?:(\d+)\s*[x×]?\s+)?water\s+(.+)", said)
    if water:
        return _water_mould(water[2], int(water[1] or 1), where)
    found = _MOULD.fullmatch(said)
    if not found or found["shape"] not in _SHAPES or found["unit"] not in _UNITS:
        raise SettingError(
            where, tr("“{text}” is no mould that can be read; {example}", text=text.strip(), example=tr(EXAMPLE))
        )
    sizes = tuple(_size(size, where) for size in re.split(r"\s*[x×*]\s*", found["sizes"]))
    return _mould(
        found["shape"], sizes, _UNITS[found["unit"]], int(found["count"] or 1), int(found["bars"] or 0), where
    )


def read_moulds(text: str, where: str) -> MouldSet:
    """Read moulds joined by `+` as a set of their own."""
    moulds = tuple(read_mould(part, where) for part in text.split("+"))
    return MouldSet(" + ".join(f"{m.count} × {m.what}" if m.count > 1 else m.what for m in moulds), moulds)


def _size(text: str, where: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise SettingError(where, tr("“{text}” is no size; {example}", text=text, example=tr(EXAMPLE))) from None


def _mould(  # noqa: PLR0913, PLR0917 - what a mould is
    shape: str, sizes: tuple[float, ...], unit: str, count: int, bars: int, where: str
) -> Mould:
    if len(sizes) != _SHAPES[shape] or not all(size > 0 for size in sizes):
        why = tr(
            "a mould of the shape {shape} has {count} sizes above zero; {example}",
            shape=shape,
            count=_SHAPES[shape],
            example=tr(EXAMPLE),
        )
        raise SettingError(where, why)
    if not count:
        raise SettingError(where, tr("how many moulds there are should be 1 or more"))
    shown = "×".join(f"{size:g}" for size in sizes)
    return Mould(f"{shape} {shown} {unit}", volume(shape, sizes, unit), count, bars)


def _water_mould(text: str, count: int, where: str, bars: int = 0) -> Mould:
    grams, _ = mass_of(text, where, tr(EXAMPLE))
    return Mould(tr("mould for {mass} of water", mass=text.strip()), grams / WATER_DENSITY, count, bars)


# --------------------------------------------------------------------------- the sheet of moulds

_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "set": ("set", "mould set", "mold set", "moulds", "molds"),
    "shape": ("shape", "mould", "mold"),
    "length": ("length",),
    "width": ("width",),
    "height": ("height", "fill height", "height of the filling", "depth"),
    "diameter": ("diameter",),
    "unit": ("unit", "sizes in"),
    "water": ("water", "water that fills it", "weight of water"),
    "count": ("how many", "count", "number"),
    "bars": ("bars", "bars each", "bars from each"),
    "recipes": ("recipes", "for recipes", "only for"),
}
_SHEET_EXAMPLE = later(
    "a sheet of moulds has a row of headings with Set, Shape, Length, Width, Fill height, Diameter, Unit, Water, "
    "How many, Bars each, For recipes, and one mould on each row below it"
)
_ROLES = {heading: role for role, headings in _HEADINGS.items() for heading in headings}


def mould_sets(workbook: Workbook) -> dict[str, MouldSet]:
    """Return the sets of moulds that a workbook lists on sheets called Moulds; raises SettingError."""
    lists = [grid for grid in workbook.grids if grid.name.strip().lower() in SHEET_NAMES]
    return {name: moulds for grid in lists for name, moulds in read_mould_sheet(grid).items()}


def read_mould_sheet(grid: Grid) -> dict[str, MouldSet]:
    """Read the sets of moulds that a sheet lists, by name.

    A row without a set belongs to the set above it; recipes named on any row of a set hold for the whole set.

    Raises
    ------
    SettingError
        Naming the cell, and what it should say.
    """
    heading_row, roles = _heading_row(grid)
    found: dict[str, list[Mould]] = {}
    recipes: dict[str, set[str]] = {}
    name = ""
    for row in (r for r in grid.rows() if r > heading_row):
        cells = {roles[c.column]: c for c in grid.row_cells(row) if c.column in roles and _text(c)}
        name = _text(cells["set"]) if "set" in cells else name
        if not cells.keys() - {"set", "recipes", "unit"}:
            continue
        if not name:
            raise SettingError(_row(grid, row), tr("the set that this mould belongs to has no name"))
        found.setdefault(name, []).append(_mould_of_row(cells, _row(grid, row)))
        recipes.setdefault(name, set()).update(_names(cells.get("recipes")))
    return {name: MouldSet(name, tuple(moulds), frozenset(recipes[name])) for name, moulds in found.items()}


def _row(grid: Grid, row: int) -> str:
    return tr("{sheet}, row {row}", sheet=grid.name, row=row)


def _heading_row(grid: Grid) -> tuple[int, dict[int, str]]:
    for row in grid.rows():
        roles = {c.column: role for c in grid.row_cells(row) if (role := _ROLES.get(fold(c.text).strip()))}
        if {"set", "shape"} <= set(roles.values()):
            return row, roles
    raise SettingError(grid.name, tr(_SHEET_EXAMPLE))


def _mould_of_row(cells: Mapping[str, Cell], where: str) -> Mould:
    shape = fold(_text(cells["shape"])) if "shape" in cells else ("water" if "water" in cells else "")
    count, bars = int(_number(cells, "count", where, 1.0)), int(_number(cells, "bars", where, 0.0))
    if shape == "water":
        if "water" not in cells:
            raise SettingError(where, tr("the weight of the water that fills it is missing, for example 950 g"))
        return _water_mould(_text(cells["water"]), count, where, bars)
    if shape not in _SHAPES:
        why = tr("“{shape}” is no shape of mould: it should be one of {shapes}", shape=shape, shapes=", ".join(_ALL))
        raise SettingError(where, why)
    sizes = ("length", "width", "height") if _SHAPES[shape] == 3 else ("diameter", "height")
    unit = _UNITS.get(clean(_text(cells["unit"])).lower()) if "unit" in cells else None
    if unit is None:
        raise SettingError(where, tr("the unit of the sizes is missing: cm, mm or in"))
    return _mould(shape, tuple(_number(cells, size, where) for size in sizes), unit, count, bars, where)


def _number(cells: Mapping[str, Cell], role: str, where: str, default: float | None = None) -> float:
    if role not in cells:
        if default is None:
            raise SettingError(where, tr("the {what} is missing", what=role))
        return default
    cell = cells[role]
    readings = read_amount(cell.text).readings if cell.kind is Kind.TEXT else ()
    value = readings[0].value if len(readings) == 1 and readings[0].unit is None else cell.number
    if not value > 0:
        raise SettingError(
            f"{where}, {cell.address}", tr("“{text}” should be a plain number above zero", text=_text(cell))
        )
    return value


def _text(cell: Cell) -> str:
    return cell.text.strip() or ("" if math.isnan(cell.number) else f"{cell.number:g}")


def _names(cell: Cell | None) -> Iterator[str]:
    if cell is not None and fold(_text(cell)) != "all":
        yield from (fold(name) for name in re.split(r"[;\n]", _text(cell)) if name.strip())
