"""What goes into a batch: fats, alkalis, liquids, acids, additives, and what is recognised but cannot be computed."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, TypeAlias

from sheetcheck.reference.tables import number, rows

Role: TypeAlias = Literal["fat", "alkali", "liquid", "acid", "additive"]
Kind: TypeAlias = Role | Literal["refused"]

_REFUSED, _VAGUE = "yes", "range"  # in the column `refused` of the tables

_USUAL = (("fat_low", "fat"), ("strength_low", "usual_strength"))  # columns of the least, and of what is usual

LANGUAGES = ("en", "de", "fr", "es", "it", "nl", "pt")

_TABLES: Mapping[str, Role] = {
    "fats.csv": "fat",
    "alkalis.csv": "alkali",
    "liquids.csv": "liquid",
    "acids.csv": "acid",
    "additives.csv": "additive",
}


@dataclass(frozen=True, slots=True)
class Substance:
    """One row of the tables of substances. Shares are by mass, 0 to 1; unknown is NaN.

    Parameters
    ----------
    key
        Unique, lower case, English: "olive oil", "sodium hydroxide", "goat milk".
    kind
        fat, alkali, liquid, acid, additive, or refused: recognised, and it cannot be computed with; `note` says why.
    names
        Spellings in lower case by language code; the first English one is the name to show.
    sap_low, sap_typical, sap_high
        Saponification value, mg KOH per g; of a liquid with fat, that of its fat.
    density
        g/mL near 20 °C; of a fat that is solid then, molten.
    water, fat, sugar, alcohol
        Shares of a liquid, and of whatever else brings some.
    naoh_per_g
        g NaOH that 1 g takes up; 0 for salts and other things that take up none.
    g_per_cup
        Published weight of a US cup, g.
    source
        Key in `sources()`, of the range for a fat, of the shares for a liquid.
    note
        What a maker should know, in plain words.
    similar
        Keys of substances that it is easily confused with and that have other values.
    unsaponifiable
        Share of a fat that takes up no lye, where it is large enough to matter.
    solution_of
        For a solution whose strength has to be stated: key of what is dissolved in it.
    weighed
        For a package: key of what is in it, which an amount by weight is of (`8 1/4 oz can lye`).
    role
        What it is in a recipe: its kind, and for what is refused, what it was meant as.
    usual_strength
        Share of pure acid, 0 to 1, that `naoh_per_g` is for: 0.05 for vinegar, 1 for a pure acid. Where no strength is
        usual, the least that is sold.
    strength_low, strength_high
        Least and most share of pure acid that is sold under the name.
    fat_low, fat_high
        Least and most share of fat that is sold under the name of a liquid; where no share is usual, `fat` is the
        least.
    unknown
        Whether what is sold under the name differs so much that nothing is usual: cream, cleaning vinegar. It surely
        takes up what the least does; all between that and the most is in doubt.
    vague
        Whether a fat is a group and not one fat: shortening, vegetable oil. Its range is that of what it may be made
        of, its typical value the least of theirs: lye is judged by it, and never recomputed from it.
    """

    key: str
    kind: Kind
    names: Mapping[str, tuple[str, ...]]
    sap_low: float
    sap_typical: float
    sap_high: float
    density: float
    water: float
    fat: float
    sugar: float
    alcohol: float
    naoh_per_g: float
    g_per_cup: float
    source: str
    note: str
    similar: tuple[str, ...]
    unsaponifiable: float = math.nan
    solution_of: str = ""
    weighed: str = ""
    role: Role = "additive"
    usual_strength: float = math.nan
    strength_low: float = math.nan
    strength_high: float = math.nan
    fat_low: float = math.nan
    fat_high: float = math.nan
    unknown: bool = False
    vague: bool = False

    @property
    def name(self) -> str:
        """The name to show."""
        return self.names["en"][0]


@cache
def substances() -> Mapping[str, Substance]:
    """Return every substance of the tables by its key, fats first."""
    found: dict[str, Substance] = {}
    for table, role in _TABLES.items():
        for row in rows(table):
            found[row["key"]] = _substance(row, role, found)
    return MappingProxyType(found)


@cache
def name_index() -> Mapping[str, tuple[str, ...]]:
    """Return the keys that a spelling may mean, in any language: one where it is clear, more where it is ambiguous.

    Spellings are as the tables have them: lower case, with accents.
    """
    index: dict[str, tuple[str, ...]] = {}
    for key, substance in substances().items():
        for spelling in spellings(substance):
            known = index.get(spelling, ())
            index[spelling] = known if key in known else (*known, key)
    return MappingProxyType(index)


def spellings(substance: Substance) -> Iterator[str]:
    """Yield every spelling of a substance, of all languages."""
    for names in substance.names.values():
        yield from names


def _substance(row: Mapping[str, str], role: Role, found: Mapping[str, Substance]) -> Substance:
    of_its_fat = found[row["fat_kind"]] if row.get("fat_kind") else None
    fat_low, fat, fat_high = _range(row, "fat_low", "fat", "fat_high")
    weakest, usual, strongest = _range(row, "strength_low", "usual_strength", "strength_high")
    return Substance(
        key=row["key"],
        kind="refused" if row.get("refused") == _REFUSED else role,
        names=_names(row["names"]),
        sap_low=of_its_fat.sap_low if of_its_fat else number(row.get("sap_low")),
        sap_typical=of_its_fat.sap_typical if of_its_fat else number(row.get("sap_typical")),
        sap_high=of_its_fat.sap_high if of_its_fat else number(row.get("sap_high")),
        density=number(row.get("density")),
        water=number(row.get("water")),
        fat=fat,
        sugar=number(row.get("sugar")),
        alcohol=number(row.get("alcohol")),
        naoh_per_g=number(row.get("naoh_per_g")),
        g_per_cup=number(row.get("g_per_cup")),
        source=row["source"],
        note=row["note"],
        similar=_keys(row.get("similar")),
        unsaponifiable=number(row.get("unsaponifiable")),
        solution_of=row.get("solution_of") or "",
        weighed=row.get("weighed") or "",
        role=role,
        usual_strength=usual,
        strength_low=weakest,
        strength_high=strongest,
        fat_low=fat_low,
        fat_high=fat_high,
        unknown=any(row.get(least) and not row[figure] for least, figure in _USUAL),
        vague=row.get("refused") == _VAGUE,
    )


def _range(row: Mapping[str, str], low: str, usual: str, high: str) -> tuple[float, float, float]:
    """Return least, usual and most of a figure: the usual where a row has no ends, the least where none is usual."""
    least, most = number(row.get(low)), number(row.get(high))
    middle = least if math.isnan(number(row.get(usual))) else number(row.get(usual))
    return (middle if math.isnan(least) else least), middle, (middle if math.isnan(most) else most)


def _names(text: str) -> Mapping[str, tuple[str, ...]]:
    """Split `olive oil|evoo|de:olivenöl` by language; a name without a language code is English."""
    names: dict[str, list[str]] = {}
    for entry in text.split("|"):
        code, colon, name = entry.partition(":")
        language, spelling = (code, name) if colon else ("en", entry)
        names.setdefault(language, []).append(spelling)
    return MappingProxyType({language: tuple(found) for language, found in names.items()})


def _keys(text: str | None) -> tuple[str, ...]:
    return tuple(text.split("|")) if text else ()
