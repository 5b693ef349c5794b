"""Sources, constants, limits, cautions, and the published tables of lye solutions."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from sheetcheck.reference.tables import number, rows


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from. `status` says how it was had: seen, second hand, computed, memory or practice."""

    id: str
    title: str
    edition: str
    status: str

    def __str__(self) -> str:
        edition = f", {self.edition}" if self.edition else ""
        how = _SAID.get(self.status)
        return f"{self.title}{edition} ({how})" if how else f"{self.title}{edition}"


_SAID = {"memory": "from memory, not yet compared with the printed text", "second hand": "second hand"}


@dataclass(frozen=True, slots=True)
class Constants:
    """Constants of chemistry, the same for every batch."""

    naoh_molar_mass: float  # g/mol, as are the next
    koh_molar_mass: float
    water_molar_mass: float
    carbon_dioxide_molar_mass: float
    glycerol_molar_mass: float
    koh_purity_low: float  # percent, as sold
    koh_purity_high: float
    naoh_purity_low: float
    naoh_purity_high: float

    @property
    def naoh_per_koh(self) -> float:
        """Grams of NaOH that do the work of one gram of KOH."""
        return self.naoh_molar_mass / self.koh_molar_mass


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a rule judges by. Those on free lye cannot be set."""

    name: str
    value: float
    unit: str
    meaning: str
    source: str
    settable: bool


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence of the cautions; `group` is one of `report.words.CAUTION_GROUPS`."""

    group: str
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class SolutionFigure:
    """One published figure on a solution of alkali: `value` [`unit`] at `x` [`x_unit`] and `temperature` [°C].

    `quantity` is one of those that `solution_figures` lists; NaN stands for "not stated".
    """

    quantity: str
    alkali: str
    x: float
    x_unit: str
    temperature: float
    value: float
    unit: str
    source: str
    note: str


@cache
def sources() -> Mapping[str, Source]:
    """Return every source that a table names, by its id."""
    return MappingProxyType({row["id"]: Source(**row) for row in rows("sources.csv")})


@cache
def constants() -> Constants:
    """Return the constants of `constants.csv`."""
    return Constants(**{row["name"]: float(row["value"]) for row in rows("constants.csv")})


@cache
def limits() -> Mapping[str, Limit]:
    """Return every limit by its name."""
    return MappingProxyType({row["name"]: _limit(row) for row in rows("limits.csv")})


@cache
def cautions() -> tuple[Caution, ...]:
    """Return the cautions in the order in which they are to be shown."""
    return tuple(Caution(**row) for row in rows("cautions.csv"))


@cache
def solution_figures(quantity: str, alkali: str = "NaOH") -> tuple[SolutionFigure, ...]:
    """Return the published figures of one quantity in the order of the table.

    Parameters
    ----------
    quantity
        "density", "content by density", "content by degrees Baume", "content by degrees Twaddell", "heat capacity",
        "heat of solution", "heat of solution at infinite dilution", "solubility", "freezing point", "boiling point",
        "Baume modulus".
    alkali
        NaOH or KOH; "" for what holds for any solution.

    Raises
    ------
    KeyError
        Where the table has no such figures.
    """
    found = tuple(_solution_figure(row) for row in rows("lye_solutions.csv") if _about(row) == (quantity, alkali))
    if not found:
        raise KeyError((quantity, alkali))
    return found


def _about(row: Mapping[str, str]) -> tuple[str, str]:
    return row["quantity"], row["alkali"]


def _limit(row: Mapping[str, str]) -> Limit:
    settable = row["settable"] == "yes"
    return Limit(row["name"], float(row["value"]), row["unit"], row["meaning"], row["source"], settable)


def _solution_figure(row: Mapping[str, str]) -> SolutionFigure:
    return SolutionFigure(
        quantity=row["quantity"],
        alkali=row["alkali"],
        x=number(row["x"]),
        x_unit=row["x_unit"],
        temperature=number(row["temperature"]),
        value=number(row["value"]),
        unit=row["unit"],
        source=row["source"],
        note=row["note"],
    )
