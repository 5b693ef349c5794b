"""The amounts of a recipe as formulas refer to them: the maker's own cells, and for texts a sheet with their grams."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

from sheetcheck.chemistry.lines import Lines, read_lines
from sheetcheck.model import Audit, address
from sheetcheck.report.arithmetic import Worked, constant
from sheetcheck.report.places import KOH_PURITY, LESS, MORE, NAOH_PURITY, TAKES, WATER, WORKINGS, Values
from sheetcheck.report.words import GRAMS_PER
from sheetcheck.workbook.ranges import quoted

BESIDE_THE_TABLE = "one recipe per row"  # the layout whose results stand in columns beside the recipes
FIRST_TEXT = 5  # row of the sheet of workings with the first text
COLUMNS = (
    "recipe",
    "sheet",
    "row",
    "column",
    "name_row",
    "name_column",
    "name",
    "written",
    "stored",
    "value",
    "grams",
)
LONGEST_TEXT = 255  # characters of a text within a formula (Excel specifications and limits)
_WILDCARD = re.compile(r"(?=[~*?])")  # characters that SEARCH does not take as they are
_WORD = re.compile(r"[A-Za-z]{3,}")


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount of a recipe."""

    line: int  # position among the amounts of the book
    sheet: str
    cell: str
    held: float | str  # what the cell held when it was audited
    grams: float
    text_row: int  # row of the sheet of workings where its grams stand; 0 for a cell that holds a number
    name: str
    name_cell: str  # the cell that names it, "" where it is the heading of a table or not known
    names_itself: bool  # the cell of the amount names it too, so that `held` is a part of its text

    def reference(self, home: str) -> str:
        """Return its cell as a formula on the sheet `home` names it."""
        return self.cell if self.sheet == home else f"{quoted(self.sheet)}!{self.cell}"

    def worked(self, home: str, unit: str) -> Worked:
        """Return the amount in a mass unit."""
        if self.text_row:
            grams = Worked(f"{quoted(WORKINGS)}!$D${self.text_row}", self.grams)
            return grams / GRAMS_PER[unit]
        held = float(self.held)
        per_unit = self.grams / held / GRAMS_PER[unit]
        plain = Worked(self.reference(home), held)
        return plain if math.isclose(per_unit, 1, rel_tol=1e-12) else plain * per_unit

    def same(self, home: str) -> str | None:
        """Return the condition that the cell holds what it held; None where that cannot be compared."""
        where = self.reference(home)
        if not isinstance(self.held, str):
            return None if math.isnan(self.held) else f"{where}={constant(self.held).text}"
        if not self.text_row or len(self.held) > LONGEST_TEXT:
            return None
        return has(self.held, where) if self.names_itself else f"{where}={in_quotes(self.held)}"

    def same_name(self, home: str) -> str | None:
        """Return the condition that the cell beside it names what it named."""
        if not self.name_cell:
            return None
        return says(self.name, self.name_cell if self.sheet == home else f"{quoted(self.sheet)}!{self.name_cell}")


def says(name: str, where: str) -> str | None:
    """Return the condition that a cell still has the longest word of a name; None for a name without a plain word."""
    word = max(_WORD.findall(name), key=len, default=None)
    return None if word is None else f"ISNUMBER(SEARCH({in_quotes(word)},{where}))"


def has(part: str, where: str) -> str:
    """Return the condition that a cell has a text in it, and no more of a number before that."""
    search = f"SEARCH({in_quotes(_WILDCARD.sub('~', part))},{where})"
    return f'AND(ISNUMBER({search}),ISERROR(FIND(MID({where},{search}-1,1),"0123456789.,/")))'


def in_quotes(text: str) -> str:
    """Return a text as a formula writes it."""
    return '"' + text.replace('"', '""') + '"'


@dataclass(frozen=True, slots=True)
class Facts:
    """What the tables say about each amount of a book, in plain lists: one recipe at a time looks them up."""

    grams: list[float]
    low: list[float]
    typical: list[float]
    high: list[float]
    doubtful: list[float]
    water: list[float]
    strength: list[float]
    source_of_spread: list[int]
    is_naoh: list[bool]
    is_koh: list[bool]
    is_alkali: list[bool]
    is_liquid: list[bool]

    @classmethod
    def of(cls, lines: Lines) -> Facts:
        """Take them out of the arrays."""
        return cls(**{field.name: getattr(lines, field.name).tolist() for field in fields(cls)})


@dataclass(frozen=True)
class Amounts:
    """All amounts of a book, by recipe."""

    audit: Audit
    values: Values

    @cached_property
    def facts(self) -> Facts:
        """What the tables say about each amount, as the audit computed with it."""
        audit = self.audit
        return Facts.of(read_lines(audit.recipes.index, audit.book.components, self.values.table, audit.settings))

    @cached_property
    def by_recipe(self) -> Mapping[int, Sequence[Amount]]:
        """The amounts of each recipe, in reading order."""
        found: dict[int, list[Amount]] = defaultdict(list)
        text_row = FIRST_TEXT
        in_rows = dict(self.audit.recipes["layout"] == BESIDE_THE_TABLE)
        for line, c in enumerate(self.audit.book.components[list(COLUMNS)].to_dict("records")):
            is_text = not (c["stored"] in ("number", "formula") and c["written"] is None and c["value"])
            row = text_row if is_text and self._bears[line] else 0
            amount = _amount(line, c, row, heading=in_rows[c["recipe"]])
            text_row += amount.text_row > 0
            found[int(c["recipe"])].append(amount)
        return found

    @cached_property
    def texts(self) -> tuple[Amount, ...]:
        """The amounts that go through the sheet of workings."""
        return tuple(a for amounts in self.by_recipe.values() for a in amounts if a.text_row)

    @cached_property
    def _bears(self) -> list[bool]:
        """Whether grams of a line enter a formula."""
        f = self.facts
        enter = zip(f.typical, f.water, f.is_alkali, f.is_liquid, strict=True)
        return [any(facts) and not math.isnan(grams) for facts, grams in zip(enter, f.grams, strict=True)]

    @cached_property
    def _substances(self) -> list[object]:
        return list(self.audit.book.components["substance"])

    @cached_property
    def _stated_strengths(self) -> list[float]:
        return [float(strength) for strength in self.audit.book.components["strength"]]

    # ------------------------------------------------------------------ what one gram does

    def takes(self, amount: Amount) -> Worked | None:
        """Return the g NaOH that a gram takes up; None where it takes up none."""
        return self._share(amount, TAKES, self.facts.typical[amount.line])

    def less(self, amount: Amount) -> Worked | None:
        """Return how much less a gram may take up; None where its fat has no range."""
        return self._share(amount, LESS, self.facts.typical[amount.line] - self.facts.low[amount.line])

    def more(self, amount: Amount) -> Worked | None:
        """Return how much more a gram may take up; None where its fat has no range."""
        return self._share(amount, MORE, self.facts.high[amount.line] - self.facts.typical[amount.line])

    def perhaps(self, amount: Amount) -> Worked | None:
        """Return what a gram may take up besides; None where that is known."""
        share = self.facts.doubtful[amount.line]
        return constant(share) if share else None

    def water(self, amount: Amount) -> Worked | None:
        """Return the water in a gram; None where there is none."""
        share = self.facts.water[amount.line]
        return constant(1) if share == 1 else self._share(amount, WATER, share)

    def strength(self, amount: Amount) -> Worked:
        """Return the pure alkali in a gram."""
        strength = self.facts.strength[amount.line]
        name = NAOH_PURITY if self.facts.is_naoh[amount.line] else KOH_PURITY
        usual = self.values.setting(name)
        stated = self._stated_strengths[amount.line]
        return usual if math.isnan(stated) and usual.value == strength else constant(strength)

    def _share(self, amount: Amount, column: str, value: float) -> Worked | None:
        if value == 0:
            return None
        return self.values.share(column, self._substances[amount.line], value) or constant(value)


def _amount(line: int, c: Mapping[Any, Any], text_row: int, *, heading: bool) -> Amount:
    name_cell = address(c["name_row"], c["name_column"]) if c["name_row"] and not heading else ""
    return Amount(
        line=line,
        sheet=str(c["sheet"]),
        cell=address(c["row"], c["column"]),
        held=c["written"] if isinstance(c["written"], str) else float(c["value"]),
        grams=float(c["grams"]),
        text_row=text_row,
        name=str(c["name"]),
        name_cell=name_cell,
        names_itself=(c["name_row"], c["name_column"]) == (c["row"], c["column"]),
    )
