"""The rescaled recipes as tables in the shape that the maker's own have, so that they can be audited like hers."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from sheetcheck.model import Audit, column_letters
from sheetcheck.reading.sheet import name_unit
from sheetcheck.reading.units.units import split_heading_unit
from sheetcheck.rescaling.amounts import ALL_WEIGHTS, amount_text, in_table_unit, ingredient_name
from sheetcheck.rescaling.drift import too_coarse
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.rows import Line, job_rows, line_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.words import tr

_FIRST = 3  # row of the headings, from 0
_IN_POUNDS = 13  # characters: 16 lb 5.4 oz
_TEXT_WIDTH, _REMARK_WIDTH, _LINE_HEIGHT = 28, 36, 15.5  # characters, characters, points
_NAME_WIDTH, _LIST_NAME_WIDTH, _COLUMN_WIDTH = 34, 40, 14  # characters
SUPERFAT, REMARKS = (
    "Superfat %",
    "Remarks",
)  # these and the headings that stand in for missing ones are read back by an audit


@dataclass(frozen=True)
class Group:
    """The rescaled recipes of one sheet that are written in one unit."""

    name: str
    layout: str
    unit: str
    jobs: pd.DataFrame
    lines: Mapping[int, list[Line]]
    coarse: frozenset[int]  # batches that the scale is too coarse for
    headings: Mapping[tuple[str, str], str]  # ("role", role) or ("column", letters) -> the maker's own heading

    def heading(self, role: str, default: str) -> str:
        """Return the maker's own heading of a role, without a unit; else the default."""
        return split_heading_unit(self.headings.get(("role", role), default))[0] or default


def groups(rescaled: Rescaled) -> Iterator[Group]:
    """Part the rescaled recipes by the sheet that they come from and the unit that they are written in."""
    jobs = rescaled.jobs
    own_sheet = jobs["layout"] == "one sheet per recipe"
    key = pd.Series(np.where(own_sheet, "Recipes", jobs["sheet"]), index=jobs.index, dtype="object")
    coarse = frozenset(job.Index for job in job_rows(jobs) if too_coarse(job, rescaled))
    lines: dict[int, list[Line]] = {}
    for line in line_rows(rescaled.lines):
        lines.setdefault(line.recipe, []).append(line)
    for (sheet, layout, unit), own in jobs.groupby([key, jobs["layout"], jobs["table_unit"]], sort=False):
        several = len(set(jobs.loc[key == sheet, "table_unit"])) > 1
        yield Group(
            name=_sheet_name(str(sheet), str(unit), several=several),
            layout=str(layout),
            unit=str(unit),
            jobs=own,
            lines=lines,
            coarse=coarse,
            headings=_headings(rescaled.audit, str(sheet)),
        )


def _sheet_name(sheet: str, unit: str, *, several: bool) -> str:
    """Return the name of the source's sheet, with the unit where needed; none that says another unit."""
    says = name_unit(sheet)
    if says is not None and says != unit:
        return f"Recipes ({unit})"
    return f"{sheet[:20]} ({unit})" if several else sheet


def write_group(pages: Pages, name: str, group: Group) -> None:
    """Write one sheet of rescaled recipes."""
    sheet = pages.sheet(name, landscape=True)
    sheet.write(0, 0, tr("Rescaled recipes"), pages["title"])
    sheet.set_row(_FIRST, 31)
    sheet.write(1, 0, tr(ALL_WEIGHTS[group.unit]), pages["muted"])
    _SHAPES.get(group.layout, _cards)(pages, sheet, group)


def _headings(audit: Audit, sheet: str) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for reading in audit.book.sheets:
        if reading.sheet == sheet:
            for column in reading.columns:
                if column.heading:
                    found.setdefault(("role", column.role), column.heading)
                    found.setdefault(("column", column.place), column.heading)
    return found


# --------------------------------------------------------------------------- a table, either way round


@dataclass(frozen=True, slots=True)
class _Field:
    """One column of a table (one line, where recipes run across): an ingredient, or text with its own names."""

    place: int
    name: str  # "" where the cells name the ingredients themselves
    is_fat: bool
    ounces: bool = False  # in ounces beside pounds and ounces: an unknown word is read as an ingredient by its unit


def _named_inside(line: Line) -> bool:
    """Tell whether one cell of the workbook holds both the name and the amount: "2 tbsp ground oats"."""
    return bool((line.name_row, line.name_column) == (line.row, line.column))


def _field(line: Line, unit: str, *, across: bool) -> _Field:
    place = int(line.row if across else line.column)
    if _named_inside(line):
        return _Field(place, "", is_fat=False)
    in_ounces = unit == "lb oz" and bool(line.weighed) and not isinstance(line.substance, str)
    return _Field(place, ingredient_name(line), line.role == "fat", in_ounces)


def _fields(group: Group, *, across: bool) -> list[_Field]:
    found = {_field(line, group.unit, across=across) for job in group.jobs.index for line in group.lines[job]}
    return sorted(found, key=lambda f: (f.place, f.name))


def _rows(pages: Pages, sheet: Worksheet, group: Group) -> None:
    """One recipe per row: a column for each ingredient, the fats' total, the superfat."""
    for row, job in enumerate(job_rows(group.jobs), _FIRST + 1):
        sheet.set_row(row, _LINE_HEIGHT * _lines_of(job.name, _NAME_WIDTH))
    _table(pages, sheet, group, across=False)
    sheet.set_column(0, 0, _NAME_WIDTH)
    sheet.freeze_panes(_FIRST + 1, 1)


def _columns(pages: Pages, sheet: Worksheet, group: Group) -> None:
    """Ingredients down, one recipe per column."""
    lines = max(_lines_of(job.name, _COLUMN_WIDTH) for job in job_rows(group.jobs))
    sheet.set_row(_FIRST, _LINE_HEIGHT * max(lines, 2))
    _table(pages, sheet, group, across=True)
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, len(group.jobs), _COLUMN_WIDTH)
    sheet.freeze_panes(_FIRST + 1, 1)


def _lines_of(text: str, width: int) -> int:
    """Return how many lines a text takes in a column; words do not fill their lines."""
    return math.ceil(len(text) / (0.85 * width))


def _table(pages: Pages, sheet: Worksheet, group: Group, *, across: bool) -> None:
    fields = _fields(group, across=across)
    last_fat = max((n for n, f in enumerate(fields) if f.is_fat), default=-1)
    in_unit = "" if group.unit == "lb oz" else f" ({group.unit})"
    labels: list[tuple[_Field | None, str]] = [
        (
            f,
            f"{f.name}{' (oz)' if f.ounces else in_unit}"
            if f.name
            else group.headings.get(("column", str(f.place) if across else column_letters(f.place)), "Also"),
        )
        for f in fields
    ]
    if in_unit and _fats_are_numbers(group):
        total = group.heading("fats total", tr("All fats"))
        labels.insert(last_fat + 1, (None, f"{total}{in_unit}"))

    def cell(recipe: int, field: int) -> tuple[int, int]:
        return (_FIRST + field, recipe) if across else (_FIRST + recipe, field)

    sheet.write(*cell(0, 0), group.heading("recipe", "Recipe"), pages["heading"])
    for number, (_, label) in enumerate(labels, 1):
        sheet.write(*cell(0, number), label, pages["heading"])
    sheet.write(*cell(0, len(labels) + 1), SUPERFAT, pages["heading"])
    if group.coarse.intersection(group.jobs.index):
        remarks = cell(0, len(labels) + 2)
        sheet.write(*remarks, REMARKS, pages["heading"])
        if across:
            sheet.set_row(remarks[0], 3 * _LINE_HEIGHT)
        else:
            sheet.set_column(remarks[1], remarks[1], _REMARK_WIDTH)
    if group.unit == "lb oz" and not across:
        sheet.set_column(1, len(labels), _IN_POUNDS)
    _make_room(sheet, labels, across=across)
    for recipe, job in enumerate(job_rows(group.jobs), 1):
        sheet.write(*cell(recipe, 0), job.name, pages["text"])
        inside: dict[_Field, list[Line]] = {}
        for line in group.lines[job.Index]:
            inside.setdefault(_field(line, group.unit, across=across), []).append(line)
        places = [(field, cell(recipe, number)) for number, (field, _) in enumerate(labels, 1)]
        _write_amounts(pages, sheet, places, inside, group.unit)
        sheet.write_number(*cell(recipe, len(labels) + 1), round(job.own_superfat, 2), pages["percent"])
        _write_coarse(pages, sheet, cell(recipe, len(labels) + 2), job.Index, group)


def _write_amounts(
    pages: Pages,
    sheet: Worksheet,
    places: Sequence[tuple[_Field | None, tuple[int, int]]],
    inside: Mapping[_Field, list[Line]],
    unit: str,
) -> None:
    """Write the amounts of one recipe, and the formula that adds up its fats."""
    fats: list[tuple[str, float]] = []
    for field, place in places:
        if field is None:
            parts = ",".join(at for at, _ in fats)
            sheet.write_formula(*place, f"=SUM({parts})", pages["number"], round(sum(v for _, v in fats), 9))
        elif field in inside:
            _write_amount(pages, sheet, place, inside[field], "oz" if field.ounces else unit)
            weighed = [line for line in inside[field] if line.weighed and field.is_fat]
            fats += [(xl_rowcol_to_cell(*place), in_table_unit(line.shown, unit)) for line in weighed]


def _write_coarse(pages: Pages, sheet: Worksheet, place: tuple[int, int], job: int, group: Group) -> None:
    """Say beside a recipe that the scale is too coarse for it."""
    if job in group.coarse:
        sheet.write_string(*place, tr("Scale too coarse: see its weigh sheet"), pages["danger"])


def _look(pages: Pages, line: Line, unit: str, beside: str = "") -> Format:
    """Return the format of a weight: as many decimals as the scale shows; three of a pound or a kilogram."""
    if unit in ("lb", "kg"):
        return pages.weight(0.001, beside)
    return pages.weight(line.step, beside, fraction=bool(line.fraction), value=float(line.shown))


def _fats_are_numbers(group: Group) -> bool:
    """Tell whether each fat has a cell for its amount alone, so that a formula can add them up."""
    return not any(_named_inside(line) for job in group.jobs.index for line in group.lines[job] if line.role == "fat")


def _make_room(sheet: Worksheet, labels: Sequence[tuple[_Field | None, str]], *, across: bool) -> None:
    """Give room to what is written as text with its own names."""
    for number, (field, _) in enumerate(labels, 1):
        if field is not None and not field.name:
            if across:
                sheet.set_row(_FIRST + number, 2 * _LINE_HEIGHT)
            else:
                sheet.set_column(number, number, _TEXT_WIDTH)


def _write_amount(pages: Pages, sheet: Worksheet, place: tuple[int, int], lines: list[Line], unit: str) -> None:
    """Write a weight as a number; pounds and ounces, spoons and what stands with its own name as text."""
    named = any(_named_inside(line) for line in lines)
    if len(lines) == 1 and lines[0].weighed and not named and unit != "lb oz":
        sheet.write_number(*place, in_table_unit(lines[0].shown, unit), _look(pages, lines[0], unit))
    else:
        texts = (f"{amount_text(x, unit)} {ingredient_name(x)}" if named else amount_text(x, unit) for x in lines)
        sheet.write_string(*place, "; ".join(texts), pages["text"])


# --------------------------------------------------------------------------- one line for each ingredient


def _list(pages: Pages, sheet: Worksheet, group: Group) -> None:
    """One ingredient per row, the recipe's name on its first line."""
    defaults = (("recipe", "Recipe"), ("ingredient", "Ingredient"), ("amount", "Amount"), ("unit", "Unit"))
    headings = [*(group.heading(role, default) for role, default in defaults), SUPERFAT]
    if group.coarse.intersection(group.jobs.index):
        headings.append(REMARKS)
        sheet.set_column(len(headings) - 1, len(headings) - 1, _REMARK_WIDTH)
    sheet.write_row(_FIRST, 0, headings, pages["heading"])
    row = _FIRST + 1
    for job in job_rows(group.jobs):
        sheet.set_row(row, _LINE_HEIGHT * _lines_of(job.name, _LIST_NAME_WIDTH))
        sheet.write(row, 0, job.name, pages["text"])
        sheet.write_number(row, 4, round(job.own_superfat, 2), pages["percent"])
        _write_coarse(pages, sheet, (row, 5), job.Index, group)
        for line in group.lines[job.Index]:
            sheet.write(row, 1, ingredient_name(line), pages["text"])
            _write_split(pages, sheet, row, line, group.unit)
            row += 1
        row += 1
    sheet.set_column(0, 0, _LIST_NAME_WIDTH)
    sheet.set_column(1, 1, 28)
    sheet.freeze_panes(_FIRST + 1, 0)


def _write_split(pages: Pages, sheet: Worksheet, row: int, line: Line, unit: str) -> None:
    if line.weighed and unit != "lb oz":
        sheet.write_number(row, 2, in_table_unit(line.shown, unit), _look(pages, line, unit))
        sheet.write(row, 3, unit, pages["text"])
    else:
        sheet.write_string(row, 2, amount_text(line, unit), pages["text"])


def _cards(pages: Pages, sheet: Worksheet, group: Group) -> None:
    """Cards below each other: a title, its ingredients, the superfat."""
    row = _FIRST
    for job in job_rows(group.jobs):
        sheet.write(row, 0, job.name, pages["band"])
        sheet.write_blank(row, 1, None, pages["band"])
        for line in group.lines[job.Index]:
            row += 1
            if _named_inside(line):
                sheet.write(row, 0, f"{amount_text(line, group.unit)} {ingredient_name(line)}", pages["text"])
                continue
            sheet.write(row, 0, ingredient_name(line), pages["text"])
            if line.weighed and group.unit != "lb oz":
                sheet.write_number(
                    row, 1, in_table_unit(line.shown, group.unit), _look(pages, line, group.unit, group.unit)
                )
            else:
                sheet.write_string(row, 1, amount_text(line, group.unit), pages["text"])
        sheet.write(row + 1, 0, SUPERFAT, pages["text"])
        sheet.write_number(row + 1, 1, round(job.own_superfat, 2), pages["percent"])
        _write_coarse(pages, sheet, (row + 1, 2), job.Index, group)
        row += 3
    sheet.set_column(0, 0, 44)
    sheet.set_column(1, 1, 16)
    if group.coarse.intersection(group.jobs.index):
        sheet.set_column(2, 2, _REMARK_WIDTH)


_SHAPES: Mapping[str, Callable[[Pages, Worksheet, Group], None]] = {
    "one recipe per row": _rows,
    "ingredients down, recipes across": _columns,
    "one ingredient per row": _list,
}
