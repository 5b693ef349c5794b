"""From what the layouts found to the frames: recipes in reading order, one line per amount, one per statement."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.model import (
    COMPONENT_COLUMNS,
    RECIPE_READ_COLUMNS,
    STATEMENT_COLUMNS,
    NotUnderstood,
    OwnValue,
    SheetAccount,
    SheetReading,
)
from sheetcheck.reading.names.acids import acids_said

if TYPE_CHECKING:
    from sheetcheck.workbook.grid import Cell

Columns = MutableMapping[str, Any]

STATED_FROM = ("column", "line", "remark", "section", "sheet")  # the nearer to the recipe, the sooner believed
NO_MARGIN = 1.0  # percent; "0 to 1 %" is what a sheet says of laundry soap
_WEIGHED_IN = ("g", "kg", "mg", "oz", "lb", "st")


@dataclass(slots=True)
class Component:
    """One amount, as `COMPONENT_COLUMNS` has it; `recipe` is the draft's number."""

    recipe: int
    sheet: str
    row: int
    column: int
    name: str
    role: str
    name_row: int = 0
    name_column: int = 0
    substance: str | None = None
    name_certainty: str = "unknown"
    written: str | None = None
    stored: str = "text"
    value: float = np.nan
    unit: str | None = None
    unit_from: str | None = None
    units_said: tuple[tuple[str, str], ...] | None = None
    grams: float = np.nan
    other_grams: float = np.nan
    by_volume: bool = False
    strength: float = np.nan
    decimals: int = 0
    bears: bool = True
    problem: str | None = None


@dataclass(slots=True)
class Statement:
    """One thing that the sheet says about a recipe, as `STATEMENT_COLUMNS` has it."""

    recipe: int
    sheet: str
    row: int
    column: int
    kind: str
    about_row: int = 0
    about_column: int = 0
    written: str | None = None
    stored: str = "text"
    value: float = np.nan
    other_value: float = np.nan
    unit: str | None = None
    place: str = "line"


@dataclass(slots=True)
class Draft:
    """A recipe before its number in reading order is known."""

    sheet: int  # place of the sheet in tab order
    layout: str
    name: str
    row: int
    column: int
    first_row: int
    first_column: int
    last_row: int
    last_column: int
    table: int = 0
    section: str = ""
    remarks: list[str] = field(default_factory=list)
    said: list[tuple[int, int, str]] = field(default_factory=list)  # row, column and words that name an acid
    struck: bool = False
    unit_group: int = 0  # amounts without a unit are judged together with those of the same group

    def remark(self, row: int, column: int, text: str) -> None:
        """Keep a remark, and where it stands."""
        self.remarks.append(text)
        self.say(row, column, text)

    def say(self, row: int, column: int, text: str) -> None:
        """Keep words that name an acid, and where they stand."""
        if acids_said(text):
            self.said.append((row, column, text))

    def cover(self, row: int, column: int) -> None:
        """Widen the range of the recipe so that it holds a cell."""
        self.first_row, self.last_row = min(self.first_row, row), max(self.last_row, row)
        self.first_column, self.last_column = min(self.first_column, column), max(self.last_column, column)


@dataclass
class Findings:
    """All that the layouts found in a book, in any order."""

    sheet_names: Sequence[str]
    drafts: list[Draft] = field(default_factory=list)
    components: list[Component] = field(default_factory=list)
    component_blocks: list[Columns] = field(default_factory=list)  # equally long arrays, or one value for all lines
    statements: list[Statement] = field(default_factory=list)
    statement_blocks: list[Columns] = field(default_factory=list)
    sheets: list[SheetReading] = field(default_factory=list)
    accounts: list[SheetAccount] = field(default_factory=list)
    not_understood: list[NotUnderstood] = field(default_factory=list)
    own_values: list[OwnValue] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    unit_groups: int = 0

    def take_in(self, part: Findings) -> None:
        """Add what was found apart; its recipes and unit groups are numbered on."""
        offset, groups = len(self.drafts), self.unit_groups
        for draft in part.drafts:
            draft.unit_group += groups if draft.unit_group else 0
        for amount in part.components:
            amount.recipe += offset
        for stated in part.statements:
            stated.recipe += offset
        for block in (*part.component_blocks, *part.statement_blocks):
            block["recipe"] = block["recipe"] + offset
        self.unit_groups += part.unit_groups
        for name in ("drafts", "components", "component_blocks", "statements", "statement_blocks", "sheets",
                     "not_understood", "own_values", "notices"):  # fmt: skip
            getattr(self, name).extend(getattr(part, name))

    def copied(self) -> Findings:
        """Return the same with lists and blocks of its own: frames are made of blocks by taking them apart."""
        return replace(
            self,
            drafts=list(self.drafts),
            components=list(self.components),
            component_blocks=[dict(block) for block in self.component_blocks],
            statements=list(self.statements),
            statement_blocks=[dict(block) for block in self.statement_blocks],
        )

    def add_draft(self, draft: Draft) -> int:
        """Keep a recipe and return its number for components and statements."""
        self.drafts.append(draft)
        return len(self.drafts) - 1

    def new_unit_group(self) -> int:
        """Return a number for amounts whose missing unit is to be worked out together."""
        self.unit_groups += 1
        return self.unit_groups

    def reading_order(self) -> NDArray[np.int64]:
        """Return the number from 1 of each draft: by sheet, then row, then column of its name."""
        keys = np.array([(d.sheet, d.row, d.column) for d in self.drafts], dtype=np.int64).reshape(-1, 3)
        order = np.lexsort((keys[:, 2], keys[:, 1], keys[:, 0]))
        numbers = np.empty(len(order), dtype=np.int64)
        numbers[order] = np.arange(1, len(order) + 1)
        return numbers

    def unit_group_of(self, numbers: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the unit group of each recipe by its number from 1."""
        groups = np.zeros(len(self.drafts) + 1, dtype=np.int64)
        groups[numbers] = [d.unit_group for d in self.drafts]
        return groups


def stored_as(cell: Cell) -> str:
    """Tell how a cell holds what it says: number, text or formula."""
    if cell.formula is not None:
        return "formula"
    return "text" if cell.text and not np.isfinite(cell.number) else "number"


# --------------------------------------------------------------------------- frames


def components_frame(found: Findings, numbers: NDArray[np.int64]) -> pd.DataFrame:
    """All amounts, by recipe, then cell; `numbers` is the recipe of each draft."""
    lines, found.components = found.components, []  # let go of, so that a large book does not stand in memory twice
    blocks, found.component_blocks = found.component_blocks, []
    return _frame(COMPONENT_COLUMNS, lines, blocks, numbers)


def statements_frame(found: Findings, numbers: NDArray[np.int64]) -> pd.DataFrame:
    """All statements, by recipe, then cell; `numbers` is the recipe of each draft."""
    lines, found.statements = found.statements, []
    blocks, found.statement_blocks = found.statement_blocks, []
    return _frame(STATEMENT_COLUMNS, lines, blocks, numbers)


def _frame(
    columns: Mapping[str, str], lines: Sequence[Any], blocks: Sequence[Columns], numbers: NDArray[np.int64]
) -> pd.DataFrame:
    parts = list(blocks)
    if lines:
        names = [f.name for f in fields(lines[0])]
        parts.append({name: _objects([getattr(line, name) for line in lines]) for name in names})
    lengths = [_length(part) for part in parts]
    recipe = numbers[_joined(parts, lengths, "recipe", "int64")] if parts else np.empty(0, dtype=np.int64)
    place = {name: _joined(parts, lengths, name, columns[name]) for name in ("row", "column")}
    order = np.lexsort((place["column"], place["row"], recipe))
    arrays: dict[str, Any] = {"recipe": recipe[order]}
    for name, dtype in columns.items():  # one column at a time: a large book must not stand in memory twice
        if dtype == "category":
            arrays[name] = _categories(parts, lengths, name)[order]
        elif name != "recipe":
            arrays[name] = (place[name] if name in place else _joined(parts, lengths, name, dtype))[order]
        for part in parts:
            part.pop(name, None)
    index = pd.RangeIndex(len(order))
    series = {name: pd.Series(arrays[name], index, dtype=dtype, copy=False) for name, dtype in columns.items()}
    return pd.DataFrame(series, copy=False)


def without_bulk(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the same frame, in which a column that says nothing in any line is one blank and not a million."""
    columns = dict(frame.items())
    for name, column in columns.items():
        if _says_nothing(column):
            blank = np.array(None, dtype=object) if column.dtype == object else np.array(np.nan)
            columns[name] = pd.Series(np.broadcast_to(blank, len(frame)), frame.index, copy=False)
    return pd.DataFrame(columns, copy=False)


def _says_nothing(column: pd.Series) -> bool:
    if column.dtype == object:
        return all(value is None for value in column)
    return column.dtype == np.float64 and bool(column.isna().all())


def _joined(parts: Sequence[Columns], lengths: Sequence[int], name: str, dtype: str) -> NDArray[Any]:
    pieces = [_spread(part[name], length, dtype) for part, length in zip(parts, lengths, strict=True)]
    return np.concatenate(pieces) if pieces else np.empty(0, dtype=dtype)


def _categories(parts: Sequence[Columns], lengths: Sequence[int], name: str) -> pd.Categorical:
    """Join a column of words, each of which is kept once; None is no word."""
    words: dict[Any, int] = {None: -1}
    codes = [np.empty(0, dtype=np.int32)]
    for part, length in zip(parts, lengths, strict=True):
        value = part[name]
        if isinstance(value, np.ndarray):
            numbers = [words.setdefault(word, len(words) - 1) for word in value.tolist()]
            codes.append(np.array(numbers, dtype=np.int32))
        else:
            codes.append(np.full(length, words.setdefault(value, len(words) - 1), dtype=np.int32))
    del words[None]
    return pd.Categorical.from_codes(np.concatenate(codes), pd.Index(list(words), dtype=object))


def _objects(values: Sequence[Any]) -> NDArray[np.object_]:
    array = np.empty(len(values), dtype=object)
    array[:] = list(values)
    return array


def _length(part: Columns) -> int:
    return next(len(v) for v in part.values() if isinstance(v, np.ndarray))


def _spread(value: Any, length: int, dtype: str) -> NDArray[Any]:  # noqa: ANN401 - any value a frame may hold
    if isinstance(value, np.ndarray):
        return value.astype(dtype, copy=False)
    array = np.empty(length, dtype=dtype)
    if isinstance(value, tuple):
        array[:] = _objects([value] * length)
    else:
        array[:] = value
    return array


def recipes_frame(
    found: Findings, numbers: NDArray[np.int64], components: pd.DataFrame, statements: pd.DataFrame
) -> pd.DataFrame:
    """One line per recipe, index = its number from 1."""
    order = np.argsort(numbers)
    drafts = [found.drafts[i] for i in order]
    index = pd.RangeIndex(1, len(drafts) + 1, name="recipe")
    plain = ("name", "layout", "row", "column", "first_row", "first_column", "last_row", "last_column", "table",
             "section", "struck")  # fmt: skip
    columns: dict[str, Any] = {name: _objects([getattr(d, name) for d in drafts]) for name in plain}
    columns["sheet"] = _objects([found.sheet_names[d.sheet] for d in drafts])
    remarks = ["; ".join(d.remarks) for d in drafts]
    once = {text: text for text in remarks}  # what many recipes share is kept once
    columns["remarks"] = _objects([once[text] for text in remarks])
    columns["unit"] = own_units(components, len(drafts))[1:]
    columns |= _stated_superfat(statements, len(drafts))
    columns["stated_concentration"] = _stated_concentration(statements, len(drafts))
    unread = components.loc[components["bears"] & components["grams"].isna(), "recipe"].to_numpy()
    columns["unread"] = np.bincount(unread, minlength=len(drafts) + 1)[1:]
    return pd.DataFrame(
        {name: pd.Series(columns[name], dtype=dtype, index=index) for name, dtype in RECIPE_READ_COLUMNS.items()}
    )


def own_units(components: pd.DataFrame, count: int) -> NDArray[np.object_]:
    """Return the mass unit that most amounts of each recipe are written in, by its number; None where there is none."""
    tally = np.zeros((count + 1, len(_WEIGHED_IN)), dtype=np.int64)
    for place, unit in enumerate(_WEIGHED_IN):
        same = components["unit"].isin((unit, "lb oz") if unit == "oz" else (unit,))
        of_unit = components.loc[same & components["bears"], "recipe"].to_numpy()
        tally[:, place] = np.bincount(of_unit, minlength=count + 1)
    own: NDArray[np.object_] = np.array(_WEIGHED_IN, dtype=object)[tally.argmax(axis=1)]
    own[tally.max(axis=1) == 0] = None
    return own


def _stated_superfat(statements: pd.DataFrame, count: int) -> dict[str, NDArray[Any]]:
    """Stated superfat of each recipe: of several statements the one nearest to the recipe."""
    value = np.full(count, np.nan)
    other = np.full(count, np.nan)
    stated = statements[(statements["kind"] == "superfat") & statements["value"].notna()]
    if not stated.empty:
        rank = stated["place"].map({place: i for i, place in enumerate(STATED_FROM)}).to_numpy()
        stated = stated.iloc[np.argsort(rank, kind="stable")].drop_duplicates("recipe")
        at = stated["recipe"].to_numpy() - 1
        value[at], other[at] = stated["value"], stated["other_value"]
    with np.errstate(invalid="ignore"):
        none = (value >= 0) & (value <= NO_MARGIN) & np.isnan(other)
    return {"stated_superfat": value, "stated_superfat_other": other, "no_margin_stated": none}


def _stated_concentration(statements: pd.DataFrame, count: int) -> NDArray[np.float64]:
    """Return the lye concentration [%] that each recipe states, by itself or as liquid to lye; the first counts."""
    result = np.full(count, np.nan)
    kinds = ("lye concentration", "liquid to lye")
    stated = statements[statements["kind"].isin(kinds) & (statements["value"] > 0)].drop_duplicates("recipe")
    value = stated["value"].to_numpy()
    is_ratio = (stated["kind"] == "liquid to lye").to_numpy()
    result[stated["recipe"].to_numpy() - 1] = np.where(is_ratio, 100 / (1 + value), value)
    return result
