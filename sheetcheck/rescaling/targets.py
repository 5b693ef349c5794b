"""What a recipe is rescaled to: a factor, a mass of fats or of the batch, a number of bars, a set of moulds."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.errors import SettingError
from sheetcheck.reading.text import clean, fold
from sheetcheck.rescaling.bench import Bench, mass_of
from sheetcheck.rescaling.mould_words import number_of, read_moulds
from sheetcheck.rescaling.moulds import MouldSet
from sheetcheck.words import later, tr
from sheetcheck.words import number as number_text

Kind = Literal["factor", "fats", "batch", "bars", "moulds"]
EXAMPLE = later("a size is one of: x2, fats=5kg, batch=9lb, bars=40x110g, moulds=NAME, mould=box 24x8x7 cm")
_LARGEST_FACTOR = 10_000
_SETS = ("moulds", "molds")
_FACTOR = r"(?:\d+[ -])?\d+\s*/\s*\d+|\d+(?:[.,]\d+)?|[.,]\d+"
_TIMES = re.compile(rf"[x×X*]\s*(?P<after>{_FACTOR})|(?P<before>{_FACTOR})\s*(?:[x×X]|times)")
_WORDS_FOR_TIMES = {"half": "x1/2", "double": "x2", "twice": "x2", "triple": "x3"}
_UNKNOWN_VOLUME = later(
    "the volume of its batter is not known: the density of an ingredient is not in the tables, or its lye is outside "
    "5 to 50 %. Give the size as fats=, batch= or a factor instead"
)


@dataclass(frozen=True, slots=True)
class Target:
    """One size to rescale to.

    Parameters
    ----------
    label
        As it stands in headings and in the names of the rescaled recipes.
    amount
        The factor; grams of fats, of the batch, or of all bars as cut; mL of all moulds to the height of the filling
        (NaN where one is known by the fats that fill it).
    pots
        Least number of equal batches: of moulds that are each to be filled from a pot of its own, their number.
    """

    label: str
    kind: Kind
    amount: float
    bars: int = 0
    moulds: MouldSet | None = None
    pots: int = 1

    def parts(self, *, pot_for: str) -> tuple[Target, ...]:
        """Return the size as it is made: one pot for all moulds of a set, or a pot for each of its moulds."""
        if self.moulds is None or pot_for == "set":
            return (self,)
        return tuple(replace(_of_set(one), pots=sum(m.count for m in one.moulds)) for one in self.moulds.apart())

    def takes(self, recipe: str) -> bool:
        """Tell whether a recipe is to be rescaled to this size."""
        return self.moulds is None or self.moulds.takes(recipe)

    def factors(self, recipes: pd.DataFrame, bench: Bench) -> npt.NDArray[np.float64]:
        """Return how many times each recipe is to be made; NaN where that cannot be told."""
        made = 1 - bench.left_in_pot / 100
        if self.kind == "factor":
            return np.full(len(recipes), self.amount)
        if self.moulds is not None and self.moulds.by_fats:
            fats = sum(m.fats_g * m.count for m in self.moulds.moulds)
            return fats * (1 - bench.headspace / 100) / _floats(recipes, "fat_g")
        if self.moulds is not None:
            batter = _floats(recipes, "batter_ml")
            return self.moulds.full(batter / _floats(recipes, "fat_g"), made) * (1 - bench.headspace / 100) / batter
        column = "fat_g" if self.kind == "fats" else "batch_g"
        wanted = self.amount / made if self.kind == "bars" else self.amount
        return wanted / _floats(recipes, column)

    @property
    def why_not(self) -> str:
        """Say why there is no factor."""
        return tr(_UNKNOWN_VOLUME) if self.kind == "moulds" else tr("its own size is not known")


def _floats(recipes: pd.DataFrame, column: str) -> npt.NDArray[np.float64]:
    values = recipes[column].to_numpy(dtype=np.float64)
    return np.where(values > 0, values, np.nan)


def read_targets(texts: Sequence[str], sets: Mapping[str, MouldSet]) -> tuple[Target, ...]:
    """Read the sizes asked for; `moulds=all` stands for every set of the workbook.

    Raises
    ------
    SettingError
        Naming the option, with an example.
    """
    if not texts:
        raise SettingError("--to", tr("says what to rescale to; {example}", example=tr(EXAMPLE)))
    targets = [target for text in texts for target in _read(clean(text), sets)]
    labels = [t.label for t in targets]
    twice = next((label for label in labels if labels.count(label) > 1), None)
    if twice is not None:
        raise SettingError("--to", tr("“{size}” is asked for twice", size=twice))
    return tuple(targets)


def names_sets(texts: Sequence[str]) -> bool:
    """Tell whether a size asks for the maker's list of moulds."""
    return any(fold(clean(text).partition("=")[0]).strip() in _SETS for text in texts)


def _read(text: str, sets: Mapping[str, MouldSet]) -> list[Target]:
    where = f"--to {text}"
    factor = _TIMES.fullmatch(text) or _WORDS_FOR_TIMES.get(text.lower())
    if isinstance(factor, str):
        factor = _TIMES.fullmatch(factor)
    if factor:
        return [_factor((factor["after"] or factor["before"]).strip(), where)]
    word, equals, rest = text.partition("=")
    read = {"fats": _mass, "batch": _mass, "bars": _bars, "mould": _mould, "mold": _mould}.get(fold(word).strip())
    if fold(word).strip() in _SETS:
        return _sets(rest.strip() or "all", sets, where)
    if read is None or not equals or not rest.strip():
        raise SettingError(where, tr("is no size that can be read; {example}", example=tr(EXAMPLE)))
    return [read(fold(word).strip(), rest.strip(), where)]


def _factor(said: str, where: str) -> Target:
    factor = number_of(said)
    if not 0 < factor <= _LARGEST_FACTOR:
        largest = number_text(_LARGEST_FACTOR, 0)
        why = tr("a factor lies above 0 and is at most {largest}, for example x2 or x0.5", largest=largest)
        raise SettingError(where, why)
    return Target(f"×{said}" if "/" in said else f"×{factor:.6g}", "factor", factor)


def _mass(word: str, text: str, where: str) -> Target:
    grams, _ = mass_of(text, where, f"{word}=5kg, {word}=9 lb")
    if word == "fats":
        return Target(tr("{mass} fats", mass=_spaced(text)), "fats", grams)
    return Target(tr("{mass} batch", mass=_spaced(text)), "batch", grams)


def _spaced(text: str) -> str:
    """Put a space between a number and its unit."""
    return re.sub(r"(\d)([a-z])", r"\1 \2", text)


def _bars(_: str, text: str, where: str) -> Target:
    found = re.fullmatch(r"(\d+)\s*(?:[x×*]|of|à|at)\s*(.+)", text)
    if not found or int(found[1]) == 0:
        raise SettingError(where, tr("says how many bars of what weight when cut, for example bars=40x110g"))
    grams, _ = mass_of(found[2], where, "bars=40x110g")
    label = tr("{count} bars of {mass}", count=found[1], mass=_spaced(found[2]))
    return Target(label, "bars", int(found[1]) * grams, bars=int(found[1]))


def _mould(_: str, text: str, where: str) -> Target:
    moulds = read_moulds(text, where)
    return _of_set(moulds)


def _sets(name: str, sets: Mapping[str, MouldSet], where: str) -> list[Target]:
    if not sets:
        raise SettingError(
            where,
            tr("the workbook has no list of moulds; `sheetcheck start moulds` makes one to fill in, or use mould="),
        )
    if fold(name) == "all":
        return [_of_set(s) for s in sets.values()]
    known = {fold(s): moulds for s, moulds in sets.items()}
    if fold(name) not in known:
        known_names = ", ".join(sets)
        raise SettingError(where, tr("there is no such set on the sheet of moulds; it has: {names}", names=known_names))
    return [_of_set(known[fold(name)])]


def _of_set(moulds: MouldSet) -> Target:
    return Target(moulds.name, "moulds", moulds.ml, bars=moulds.bars, moulds=moulds)
