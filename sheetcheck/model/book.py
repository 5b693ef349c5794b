"""A whole book: how it was read, its frames, what was found in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sheetcheck.faults import Fault
from sheetcheck.model.findings import Finding
from sheetcheck.model.frames import UnitFrom
from sheetcheck.words import Manner

if TYPE_CHECKING:  # pandas takes a third of a second to load: only the stages that compute with it do
    import pandas as pd

    from sheetcheck.settings import Settings


_OUNCES = ("oz", "lb", "lb oz")


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """How one column, or one line of a table that runs across, was understood."""

    place: str  # "D" for a column, "7" for a line
    heading: str
    role: str
    substance: str | None = None
    unit: str | None = None
    unit_from: UnitFrom | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class SheetReading:
    """How one sheet was understood, in words that can be shown."""

    sheet: str
    layout: str  # name of a layout, or "no recipe"
    evidence: tuple[str, ...]
    columns: tuple[ColumnReading, ...] = ()
    recipes: int = 0
    range: str = ""


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Something on a sheet that was not read, and why."""

    sheet: str
    cell: str
    what: str
    why: str
    recipe: int | None = None
    like_recipe: bool = False  # numbers beside the names of a fat and of lye: a book is not fine with them unread


@dataclass(frozen=True, slots=True)
class OwnValue:
    """A saponification value that the maker keeps in her own book."""

    substance: str
    mg_koh_per_g: float
    sheet: str
    cell: str
    written: str


@dataclass(frozen=True, slots=True)
class ShortForm:
    """A short form that the maker explains in her own book: `OO = olive oil`."""

    short: str
    meaning: str
    sheet: str
    cell: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A doubtful word, unit or arrangement that the whole book's readings settled: shown, and open to correction."""

    text: str
    means: str  # a substance, a role in words ("total of the fats", "not an ingredient"), a unit
    cells: tuple[str, ...]  # "Sheet!D7"
    recipes: tuple[int, ...]
    ground: str  # in the maker's words
    probability: float  # 0 to 1


@dataclass(frozen=True, slots=True)
class PossibleAnswer:
    """What a doubtful word may mean, and in how many recipes it would come out as soap."""

    means: str
    probability: float
    fits: int


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask the maker, however many recipes wait for the answer; choices likeliest first."""

    text: str  # the word as it stands
    ask: str  # the question as a sentence
    cells: tuple[str, ...]  # "Sheet!D7"
    recipes: tuple[int, ...]
    choices: tuple[PossibleAnswer, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetAccount:
    """What became of the numbers of a sheet that holds a recipe; those neither used nor explained were not read."""

    sheet: str
    numbers: int
    used: int
    explained: int

    @property
    def not_read(self) -> int:
        """How many numbers nothing is known of."""
        return self.numbers - self.used - self.explained


@dataclass(frozen=True, slots=True)
class SheetCells:
    """What the cells of a sheet held when it was read, by row and column."""

    held: Mapping[tuple[int, int], str | float]  # of a formula its value; "" where it has none
    formulas: Mapping[tuple[int, int], str]  # without the equals sign


@dataclass(frozen=True, slots=True)
class SinceLast:
    """What became of the things to look at since the check that an earlier copy keeps."""

    put_right: int
    new: int
    as_before: int


@dataclass(frozen=True)
class Book:
    """A workbook as understood by reading/. Its frames have the columns of `model.frames`."""

    name: str
    sha256: str
    components: pd.DataFrame
    recipes: pd.DataFrame  # RECIPE_READ_COLUMNS; index = recipe number from 1
    statements: pd.DataFrame
    sheets: tuple[SheetReading, ...]
    not_understood: tuple[NotUnderstood, ...]
    own_values: tuple[OwnValue, ...] = ()
    short_forms: tuple[ShortForm, ...] = ()
    notices: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    questions: tuple[Question, ...] = ()
    account: tuple[SheetAccount, ...] = ()
    cells: Mapping[str, SheetCells] = field(default_factory=dict)  # by sheet; of a very large book none are kept
    manner: Manner = field(default_factory=Manner)  # in which it is spoken of


@dataclass(frozen=True)
class Audit:
    """A book with its numbers, findings and verdicts."""

    book: Book
    recipes: pd.DataFrame  # read, computed and judged columns
    findings: tuple[Finding, ...]
    settings: Settings
    meanings: Mapping[str, str] = field(default_factory=dict)  # of words, as the maker answered in an earlier copy
    since_last: SinceLast | None = None  # None where no earlier copy was found
    missing: tuple[str, ...] = ()  # what is not complete, in the maker's words: no work was left, or a part failed
    faults: tuple[Fault, ...] = ()  # of parts that failed, for maintainers

    @property
    def paper(self) -> str:
        """Paper of the sheets that are made for this book: as set, else Letter where most recipes are in ounces."""
        in_ounces = bool(self.recipes["unit"].isin(_OUNCES).mean() > 0.5)
        return self.settings.paper or ("letter" if in_ounces else "a4")
