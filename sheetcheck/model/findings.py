"""What the rules and the search for slips have to say: findings and repairs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from sheetcheck.words import with_own_mark

Certainty = Literal["sure", "likely", "possible"]
RepairKind = Literal[
    "unit", "decimal", "digit", "swap", "stale", "alkali", "substance", "copied", "twice", "missing", "other"
]


class Signal(StrEnum):
    """How bad it is if the recipe is followed as written. Words borrowed from ANSI Z535.6; the meaning here is ours."""

    DANGER = "DANGER"  # free lye
    WARNING = "WARNING"  # hardly any margin, lye that cannot dissolve, an unmistakable slip
    CAUTION = "CAUTION"  # poor soap, an unusual amount
    NOTICE = "NOTICE"  # for information

    @property
    def rank(self) -> int:
        """4 for DANGER down to 1 for NOTICE."""
        return _RANK[self.value]


_RANK = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}


@dataclass(frozen=True, slots=True)
class Change:
    """What one cell should say: `value` in `unit`, or another substance."""

    sheet: str
    cell: str
    written: str
    value: float | None = None
    unit: str | None = None
    substance: str | None = None
    is_number: bool = False  # `written` is a number, with a point whatever the book's decimal mark

    @property
    def shown(self) -> str:
        """What is written, as the maker sees it."""
        return with_own_mark(self.written) if self.is_number else self.written


@dataclass(frozen=True, slots=True)
class Repair:
    """One edit that would make a row fit, and how probable it is that this edit is what went wrong."""

    kind: RepairKind
    changes: tuple[Change, ...]
    probability: float
    superfat_percent: float | None
    why: str
    only: bool = False  # the only single slip that explains the row


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to look at. `recipe` is None where it stands for many, which `recipes` then lists."""

    rule: str
    signal: Signal
    sheet: str
    cell: str
    message: str
    recipe: int | None = None
    recipes: tuple[int, ...] = ()
    written: str = ""
    expected: str = ""
    look_at: str = ""
    certainty: Certainty | None = None
    repairs: tuple[Repair, ...] = ()
    answer: str = ""  # what the maker answered to it in an earlier copy
    is_number: bool = False  # `written` is a number, with a point whatever the book's decimal mark

    @property
    def shown(self) -> str:
        """What is written, as the maker sees it."""
        return with_own_mark(self.written) if self.is_number else self.written

    def about(self) -> tuple[int, ...]:
        """Return the numbers of the recipes that it is about; none for a finding on the workbook as a whole."""
        return self.recipes or (() if self.recipe is None else (self.recipe,))
