"""Settings that stand in the workbook itself: a sheet headed `Setting | Value`, one setting per row.

A setting that is a table is written with a dot: `names.beef drip` with the value `tallow`, `roles.Recipes!D` with
`liquid`, `limits.lye_strong_caution` with `42`, `units.dipper lard` with `205 g`. Of a list, the names are parted by
semicolons.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from sheetcheck.errors import SettingError
from sheetcheck.reading.text import clean, fold
from sheetcheck.settings import Settings, from_mapping
from sheetcheck.words import tr
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook

_HEADINGS = ("setting", "value")
_LISTS = frozenset({"leave_out_sheets", "leave_out_columns", "only_sheets"})
_TABLES = frozenset({"names", "roles", "limits", "slips", "bench", "units", "superfats"})
_LOOK_DOWN = 10


def find(workbook: Workbook) -> Grid | None:
    """Return the sheet with the settings, None where the workbook has none."""
    return next((g for g in workbook.grids if g.name == workbook.settings_sheet or _heading_row(g)), None)


def _heading_row(grid: Grid) -> int | None:
    for row in grid.rows()[:_LOOK_DOWN]:
        texts = [fold(c.text) for c in grid.row_cells(row) if c.kind is Kind.TEXT]
        if tuple(texts[:2]) == _HEADINGS:
            return row
    return None


def with_own_settings(workbook: Workbook, settings: Settings | None) -> Settings:
    """Lay the settings of a workbook below those given: a setting given on the command line or in a file wins.

    Raises
    ------
    SettingError
        Naming the sheet and cell of a setting that is unknown or has a wrong value.
    """
    given = settings or Settings()
    grid = find(workbook)
    if grid is None:
        return given
    plain = Settings()
    own = _read(grid)
    for field in (f for f in fields(Settings) if f.name != "places"):
        value, default = getattr(given, field.name), getattr(plain, field.name)
        if value == default:
            continue
        if field.name in _TABLES:
            value = {**getattr(own, field.name), **value}
        own = from_mapping({field.name: value}, field.name, own)
    return replace(own, places={**own.places, **given.places})


def _read(grid: Grid) -> Settings:
    settings = Settings()
    start = _heading_row(grid) or 0
    for row in (r for r in grid.rows() if r > start):
        cells = grid.row_cells(row)
        if len(cells) < 2 or cells[0].kind is not Kind.TEXT:
            continue
        key, value = clean(cells[0].text), _value(cells[1])
        name, _, part = key.partition(".")
        if name in _TABLES and part:
            value = {**getattr(settings, name), part: value}
        elif name in _LISTS and isinstance(value, str):
            value = [clean(v) for v in value.split(";") if v.strip()]
        place = f"{grid.name}!{cells[1].address}"
        settings = from_mapping({name: value}, place, settings)
        settings = replace(settings, places={**settings.places, key: place})
    return settings


def _value(cell: Cell) -> Any:  # noqa: ANN401 - checked by from_mapping
    if cell.kind is Kind.BOOL:
        return bool(cell.number)
    if cell.kind is Kind.NUMBER:
        return cell.number
    if cell.kind is Kind.TEXT:
        text = clean(cell.text)
        return {"true": True, "yes": True, "false": False, "no": False}.get(text.lower(), text)
    raise SettingError(cell.address, tr("holds “{text}”, which is no value", text=cell.text))
